#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "circuit/understood.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

std::string circuit_text(const Circuit& circuit) {
    Understood u = understood(circuit);
    std::string out;
    for (const std::string& sentence : sentences(u, circuit)) out += "  " + wrapped(sentence, 2) + "\n";
    std::vector<std::string> kinds;
    for (const KindCount& kind : u.kinds) kinds.push_back(fmt::format("{} {}", kind.parts, kind.kind));
    if (!kinds.empty()) out += "  " + wrapped("parts by kind: " + join(kinds, ", "), 2) + "\n";
    for (const Diagnostic& remark : circuit.remarks)
        out += fmt::format("  {}:{} {}{}\n", remark.at.line, remark.at.column, remark.severity == Severity::warning ? "warning: " : "taken: ",
                           wrapped(remark.message, 12));
    for (const Oddity& oddity : u.oddities) {
        TextPosition at = circuit.source.position(oddity.span.begin);
        out += fmt::format("  {}:{} odd: {}\n", at.line, at.column, wrapped(oddity.says, 12));
    }
    return out;
}

std::string review_text(const Review& review) {
    std::size_t open = 0;
    for (const Decision& decision : review.decisions) open += decision.is == DecisionIs::open;
    return fmt::format("  decisions on {} and {}: {}, {} of them open; {} fixed by hand\n", review.drawing, review.board,
                       counted(review.decisions.size(), "finding"), open, counted(review.pairs.size(), "pair"));
}

std::string family_text(const Family& family) {
    std::string out = fmt::format("  a family on {}: {}\n", family.base, counted(family.members.size(), "member"));
    for (const FamilyMember& member : family.members)
        out += fmt::format("  {}{}{}\n", member.file, member.serial.empty() ? "" : ", no. " + member.serial, member.made ? ", " + member.made->text : "");
    return out;
}

std::string file_text(const std::string& path, const KindTable& kinds) {
    SourceText text = read_file(path);
    if (path.ends_with(".csv")) throw CommandError(path, "is a table, not XML; `tallyboard convert " + path + "` makes a circuit file of it");
    std::string root = root_of(text);
    if (root == "review") return review_text(read_review(std::move(text)));
    if (root == "family") return family_text(read_family(std::move(text)));
    if (root == "kinds") {
        KindTable all = built_in_kinds();
        add_kinds(text, all);
        std::vector<std::string> added = all.names();
        added.erase(added.begin(), added.begin() + static_cast<std::ptrdiff_t>(built_in_kinds().size()));
        return "  " + counted(added.size(), "kind") + " besides those built in" + (added.empty() ? "" : ": " + join(added, ", ")) + "\n";
    }
    if (root == "devices") {
        std::vector<Device> more;
        add_devices(text, more);
        return "  parameters of " + counted(more.size(), "device") + "\n";
    }
    return circuit_text(read_circuit(std::move(text), kinds));
}

}  // namespace

int check_command(const Arguments& arguments) {
    std::vector<std::string> paths;
    Knowledge knowledge;
    Options options("check FILE…", "Reads files of any kind and tells what was understood: parts, nets, what was assumed, what looks odd.");
    options.places(paths, "FILE", "drawings, boards, reviews, families, kinds, devices");
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;
    KindTable kinds = knowledge.kinds();
    bool trouble = false;
    for (const std::string& path : paths) {
        // One file that cannot be used does not keep the others from being told about.
        try {
            std::string text = file_text(path, kinds);
            print(path + ":\n" + text);
        } catch (const InputError& error) {
            print_aside(error.what());
            trouble = true;
        } catch (const CommandError& error) {
            print_aside(std::string(error.what()) + "\n");
            trouble = true;
        }
    }
    return trouble ? exit_trouble : exit_agree;
}

}  // namespace tallyboard
