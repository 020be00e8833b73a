#include "family/add_member.h"

#include <filesystem>
#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "xml/edit.h"

namespace tallyboard {
namespace {

void refuse_other_design(const Family& family, const Circuit& board, const KindTable& kinds) {
    const Circuit base = read_circuit(read_file(path_beside(family.source.name(), family.base)), kinds, CircuitRole::drawing);
    CompareOptions options;
    options.prove = false;
    const Comparison comparison = compare(base, board, options);
    if (is_other_design(comparison))
        throw CommandError(board.source.name(), fmt::format("is of another design than this family: its differences cost {} against {}; if it belongs "
                                                            "here all the same, write its <member> by hand",
                                                            comparison.cost, counted(comparison.drawing_parts, "drawn part")));
}

}  // namespace

AddedMember add_member(const Family& family, const std::string& board_path, const std::string& serial, const std::string& made,
                       const std::string& seen, const KindTable& kinds) {
    namespace fs = std::filesystem;
    Circuit board = read_circuit(read_file(board_path), kinds, CircuitRole::board);
    if (!made.empty())
        if (Result<Date> date = read_date(made); !date) throw CommandError("", fmt::format("--made {}: {}", made, date.error()));
    refuse_other_design(family, board, kinds);
    AddedMember out;
    std::string number = serial.empty() ? board.about.serial : serial;
    fs::path folder = fs::absolute(family.source.name()).parent_path();
    fs::path target = fs::absolute(board_path);
    for (const FamilyMember& member : family.members) {
        std::string file = path_beside(family.source.name(), member.file);
        std::error_code error;
        if (fs::equivalent(file, board_path, error)) throw CommandError(board_path, "is a member of this family already");
        if (number.empty()) continue;
        std::string other = member.serial;
        bool same_content = false;
        if (fs::exists(file)) {
            Circuit read = read_circuit(read_file(file), kinds, CircuitRole::board);
            if (other.empty()) other = read.about.serial;
            same_content = read.source.bytes() == board.source.bytes();
        }
        if (other == number)
            out.remarks.push_back(fmt::format("{} says number {} too, with {} content", member.file, number, same_content ? "the same" : "other"));
    }
    std::string element = fmt::format("<member file=\"{}\"", escaped_attribute(fs::path(target).lexically_relative(folder).generic_string()));
    if (!serial.empty()) element += fmt::format(" serial=\"{}\"", escaped_attribute(serial));
    if (!made.empty()) element += fmt::format(" made=\"{}\"", escaped_attribute(made));
    if (!seen.empty()) element += fmt::format(" seen=\"{}\"", escaped_attribute(seen));
    element += "/>";
    out.text = spliced(family.source, {family.members.empty() ? append_child(family.source, family.root_span, element)
                                                              : insert_behind(family.source, family.members.back().span, element)});
    out.label = number.empty() ? target.filename().string() : number;
    // What is written must read again.
    read_family(SourceText(family.source.name(), out.text));
    return out;
}

}  // namespace tallyboard
