#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "family/add_member.h"
#include "family/history.h"

namespace tallyboard {
namespace {

std::string padded(const std::string& text, std::size_t width) {
    std::size_t used = count_characters(text);
    return used < width ? text + std::string(width - used, ' ') : text;
}

// Rows by place, columns by unit, as wide as their widest cell.
std::string table_text(const GatheredFamily& family) {
    std::vector<std::vector<std::string>> rows{{"place", "drawn"}, {"", ""}};
    for (const Unit& unit : family.units) {
        rows[0].push_back(unit.label());
        rows[1].push_back(unit.made ? unit.made->text : "undated");
    }
    for (const PlaceRow& row : family.rows) {
        rows.push_back({row.place, row.drawn});
        for (const Cell& cell : row.cells)
            rows.back().push_back(cell.state == CellState::same ? "." : cell.text + (cell.later ? " *" : ""));
    }
    std::vector<std::size_t> widths(rows[0].size());
    for (const auto& row : rows)
        for (std::size_t c = 0; c < row.size(); ++c) widths[c] = std::max(widths[c], count_characters(row[c]));
    std::string out;
    for (const auto& row : rows) {
        std::string line;
        for (std::size_t c = 0; c < row.size(); ++c) line += padded(row[c], widths[c] + 2);
        out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
    }
    return out + ". as drawn   ? not traced   * later work by its own evidence\n";
}

std::string history_text(const GatheredFamily& family, const FamilyHistory& history) {
    std::string out;
    auto section = [&](const std::string& title, const std::vector<std::string>& lines) {
        if (lines.empty()) return;
        out += "\n" + title + "\n";
        for (const std::string& line : lines) out += "  " + wrapped(line, 2) + "\n";
    };
    std::vector<std::string> lines;
    for (const ProductionChange& change : history.changes) lines.push_back(change.says);
    section("Changes in production", lines);
    lines.clear();
    for (const PlaceChange& change : history.common)
        lines.push_back(fmt::format("{}: {} on every unit, drawn {}", family.rows[change.row].place, change.to, change.from));
    section("On every unit otherwise than drawn", lines);
    lines.clear();
    for (const OwnDifference& own : history.own) lines.push_back(own.says);
    section("One unit's own", lines);
    lines.clear();
    for (const Undecided& undecided : history.undecided) lines.push_back(undecided.says);
    section("Not decidable", lines);
    lines.clear();
    for (const Misdated& misdated : history.misdated) lines.push_back(misdated.says);
    section("Dates against the numbers", lines);
    lines.clear();
    for (const Variant& variant : history.variants) {
        std::vector<std::string> units;
        for (std::size_t unit : variant.units) units.push_back(family.units[unit].label());
        lines.push_back(fmt::format("{}: {}", variant.name, units.empty() ? "no unit surely" : join_words(units)));
    }
    if (history.variants.size() > 1) section("Versions", lines);
    section("Noticed", family.remarks);
    return out;
}

}  // namespace

int family_command(const Arguments& arguments) {
    std::string path;
    std::optional<std::string> add, csv, serial, seen, made;
    FamilyOptions family_options;
    Knowledge knowledge;
    Options options("family FILE [options]",
                    "Compares the boards of one design with their base drawing and tells what varies, what changed between which\n"
                    "serials and dates, and what is one unit's own.");
    options.place(path, "FILE", "the family file");
    options.text(add, "--add", "BOARD", "gather one more board: its <member> is written into the family file");
    options.text(serial, "--serial", "NUMBER", "with --add: the unit's number, where the board's file has none");
    options.text(made, "--made", "DATE", "with --add: when it was made (EDTF: 1972, 1972?, 1972/1974)");
    options.text(seen, "--seen", "WHERE", "with --add: where the unit was seen");
    options.text(csv, "--csv", "OUT.csv", "write the table as CSV");
    options.number(family_options.effort, "--effort", "X", "how long to search for each board; 1 is usual", 0.01, 1000);
    options.whole(family_options.threads, "--threads", "N", "at most so many threads (the result is the same)", 1, 256);
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;
    if (csv) require_writable(*csv);

    KindTable kinds = knowledge.kinds();
    Family family = read_family(read_file(path));
    if (add) {
        AddedMember added = add_member(family, *add, serial.value_or(""), made.value_or(""), seen.value_or(""), kinds);
        for (const std::string& remark : added.remarks) print_aside(fmt::format("{}: warning: {}\n", path, remark));
        write_file(path, added.text);
        print(fmt::format("{}: {} gathered\n", path, added.label));
        return exit_agree;
    }
    Progress progress;
    family_options.progress = [&progress](double share) { progress.show("comparing boards", share); };
    GatheredFamily gathered = gather(family, kinds, family_options);
    FamilyHistory history = read_history(gathered);
    if (csv) write_file(*csv, table_csv(gathered));
    print((gathered.title.empty() ? "" : gathered.title + "\n\n") + table_text(gathered) + history_text(gathered, history));
    return exit_agree;
}

}  // namespace tallyboard
