#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/file.h"
#include "base/text.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "family/archive.h"
#include "family/identify.h"

namespace tallyboard {
namespace {

using Json = nlohmann::ordered_json;

// A board held against a family: everything the two forms of output tell.
struct Told {
    GatheredFamily family;
    FamilyHistory history;
    Identification answer;
    Comparison comparison;     // of the base and the board
};

std::string unit_words(const GatheredFamily& family, std::size_t unit) {
    const Unit& u = family.units[unit];
    return u.label() + (u.made ? " (" + u.made->text + ")" : "");
}

std::string left_words(const Told& told) {
    std::vector<std::string> names;
    for (std::size_t v : told.answer.left) names.push_back(told.history.variants[v].name);
    return join_words(names, "or");
}

std::string bounds_words(const Told& told) {
    const Bounds& b = told.answer.bounds;
    std::vector<std::string> words;
    if (b.after) words.push_back("numbered above " + told.family.units[*b.after].label());
    if (b.by) words.push_back("numbered below " + told.family.units[*b.by].label());
    if (b.not_before) words.push_back("made not before " + b.not_before->to_text());
    if (b.not_after) words.push_back("made not after " + b.not_after->to_text());
    return join(words, ", ");
}

std::string look_text(const Told& told, const Look& look) {
    std::vector<std::string> tells;
    for (std::size_t i = 0; i < look.by_variant.size(); ++i)
        tells.push_back(fmt::format("{}: {}", told.history.variants[told.answer.left[i]].name, look.by_variant[i]));
    return fmt::format("{}: {}; {}", told.family.rows[look.row].place, look_words(look.at), join(tells, ", "));
}

void add_section(std::string& out, const std::string& title, const std::vector<std::string>& lines) {
    if (lines.empty()) return;
    out += "\n" + title + "\n";
    for (const std::string& line : lines) out += "  " + wrapped(line, 2) + "\n";
}

std::string three_way_text(const Told& told) {
    if (told.answer.three_way.empty()) return "";
    std::string sister = told.answer.sister ? told.family.units[*told.answer.sister].label() : "";
    std::vector<std::vector<std::string>> rows{{"place", "drawn", "this board", sister}};
    for (const ThreeWay& row : told.answer.three_way) rows.push_back({row.place, row.drawn, row.board, row.sister});
    std::vector<std::size_t> widths(4);
    for (const auto& row : rows) for (std::size_t c = 0; c < 4; ++c) widths[c] = std::max(widths[c], count_characters(row[c]));
    std::string out = "\nDrawn, this board, its nearest sister\n";
    for (const auto& row : rows) {
        std::string line = "  ";
        for (std::size_t c = 0; c < 4; ++c) line += row[c] + std::string(widths[c] + 2 - count_characters(row[c]), ' ');
        out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
    }
    return out;
}

std::string text_of(const Told& told) {
    const Identification& answer = told.answer;
    std::string out = told.family.title.empty() ? "" : told.family.title + ": ";
    if (told.history.changes.empty()) out += "the family knows no changes in production, so there is one version\n";
    else if (answer.consistent) out += left_words(told) + (answer.left.size() == 1 ? "" : fmt::format(", of {}", told.history.variants.size())) + "\n";
    else out += "no version fits; least speaks against " + left_words(told) + "\n";
    if (std::string bounds = bounds_words(told); !bounds.empty()) out += bounds + "\n";
    std::vector<std::string> lines;
    for (const VariantFit& fit : answer.fits)
        lines.push_back(told.history.variants[fit.variant].name + ": " + (fit.against.empty() ? "fits" : join(fit.against, "; ")));
    add_section(out, "Versions", lines);
    lines.clear();
    for (const Look& look : answer.looks) lines.push_back(look_text(told, look));
    add_section(out, "Look here to decide, cheapest first", lines);
    add_section(out, "Not to be told apart on this board", answer.undecidable);
    if (answer.sister)
        add_section(out, "Nearest sister", {fmt::format("{}: alike at {} of the {} that vary and both show", unit_words(told.family, *answer.sister), answer.sister_agrees,
                                                       counted(answer.sister_agrees + answer.sister_differs, "place"))});
    out += three_way_text(told);
    add_section(out, "Of this board alone", answer.own);
    add_section(out, "Noticed", answer.remarks);
    return out;
}

Json day_json(const std::optional<Day>& day) { return day ? Json(day->to_text()) : Json(nullptr); }
Json unit_json(const Told& told, const std::optional<std::size_t>& unit) { return unit ? Json(told.family.units[*unit].label()) : Json(nullptr); }

Json json_of(const Told& told) {
    const Identification& answer = told.answer;
    Json out{{"family", told.family.title}, {"consistent", answer.consistent}, {"versions", Json::array()}};
    for (const VariantFit& fit : answer.fits)
        out["versions"].push_back({{"name", told.history.variants[fit.variant].name}, {"fits", fit.against.empty()}, {"against", fit.against}});
    out["left"] = Json::array();
    for (std::size_t v : answer.left) out["left"].push_back(told.history.variants[v].name);
    out["serial"] = {{"above", unit_json(told, answer.bounds.after)}, {"below", unit_json(told, answer.bounds.by)}};
    out["made"] = {{"not_before", day_json(answer.bounds.not_before)}, {"not_after", day_json(answer.bounds.not_after)}};
    out["look"] = Json::array();
    for (const Look& look : answer.looks) {
        Json tells = Json::object();
        for (std::size_t i = 0; i < look.by_variant.size(); ++i) tells[told.history.variants[answer.left[i]].name] = look.by_variant[i];
        out["look"].push_back({{"place", told.family.rows[look.row].place}, {"how", look_words(look.at)}, {"tells", tells}});
    }
    out["undecidable"] = answer.undecidable;
    out["sister"] = answer.sister ? Json{{"unit", told.family.units[*answer.sister].label()}, {"alike", answer.sister_agrees}, {"unlike", answer.sister_differs}} : Json(nullptr);
    out["places"] = Json::array();
    for (const ThreeWay& row : answer.three_way) out["places"].push_back({{"place", row.place}, {"drawn", row.drawn}, {"board", row.board}, {"sister", row.sister}});
    out["own"] = answer.own;
    out["remarks"] = answer.remarks;
    return out;
}

Told held_against(const std::string& family_file, const Circuit& board, const KindTable& kinds, const FamilyOptions& options) {
    Told told{gather(read_family(read_file(family_file)), kinds, options), {}, {}, {}};
    told.history = read_history(told.family);
    CompareOptions compare_options;
    compare_options.effort = options.effort;
    told.comparison = compare(*told.family.base, board, compare_options);
    told.answer = identify(told.family, told.history, board, told.comparison);
    return told;
}

std::string design_line(const DesignMatch& match) {
    std::string name = match.title.empty() ? match.file : match.title;
    return fmt::format("{}: {}; {} ({})", name, match.comparison.agree ? "agrees" : fmt::format("differences that cost {} in {}", match.comparison.cost, counted(match.parts, "part")),
                       match.family.empty() ? match.file : match.family, fmt::format("fingerprints {:.0f} % alike", 100 * match.alike));
}

}  // namespace

int identify_command(const Arguments& arguments) {
    std::string path;
    std::optional<std::string> family;
    bool json = false;
    FamilyOptions family_options;
    Knowledge knowledge;
    Options options("identify BOARD --family FILE|FOLDER [options]",
                    "Tells which version of a family a board is, the numbers and dates that follow, and where to look to decide\n"
                    "between the versions that are left. Against a folder: which design the board is at all.");
    options.place(path, "BOARD", "the board on the bench");
    options.text(family, "--family", "FILE|FOLDER", "a family file; or a folder of families, drawings and boards");
    options.flag(json, "--json", "print as JSON");
    options.number(family_options.effort, "--effort", "X", "how long to search for each board; 0.7 is usual", 0.001, 1000);
    options.whole(family_options.threads, "--threads", "N", "at most so many threads (the result is the same)", 1, 256);
    knowledge.add_kinds_option(options);
    options.note("A folder is indexed once, in its file .tallyboard-index, which may be deleted; a folder that cannot be written works without.");
    if (!options.parse(arguments)) return exit_agree;
    if (!family) throw CommandError("", "identify needs --family FILE, or a folder");

    KindTable kinds = knowledge.kinds();
    Circuit board = load_circuit(path, kinds, CircuitRole::board);
    Progress progress;
    family_options.progress = [&progress](double share) { progress.show("comparing boards", share); };
    std::string family_file = *family, out;
    Json designs = Json::array();
    if (std::filesystem::is_directory(*family)) {
        Archive archive = open_archive(*family, kinds, [&progress](double share) { progress.show("indexing", share); });
        for (const std::string& remark : archive.remarks) print_aside(fmt::format("{}: warning: {}\n", *family, remark));
        std::vector<DesignMatch> matches = likely_designs(archive, board, kinds);
        family_file.clear();
        for (const DesignMatch& match : matches)
            if (family_file.empty() && !match.family.empty()) family_file = (std::filesystem::path(*family) / match.family).string();
        out = matches.empty() ? "No design of the folder is like this board.\n" : "Most like, of " + counted(archive.entries.size(), "circuit") + "\n";
        for (const DesignMatch& match : matches) {
            out += "  " + wrapped(design_line(match), 2) + "\n";
            designs.push_back({{"title", match.title}, {"file", match.file}, {"family", match.family}, {"alike", match.alike}, {"agree", match.comparison.agree},
                               {"cost", match.comparison.cost}, {"parts", match.parts}});
        }
        if (!family_file.empty()) out += "\n";
    }
    Json answer = Json::object();
    if (!family_file.empty()) {
        Told told = held_against(family_file, board, kinds, family_options);
        if (is_other_design(told.comparison)) {
            out += fmt::format("{}: this board is of another design: its differences cost {} against {}.\n",
                               told.family.title, told.comparison.cost, counted(told.comparison.drawing_parts, "drawn part"));
            answer["other-design"] = true;
        } else {
            out += text_of(told);
            answer = json_of(told);
        }
    }
    if (std::filesystem::is_directory(*family)) answer["designs"] = designs;
    print(json ? answer.dump(2) + "\n" : out);
    return exit_agree;
}

}  // namespace tallyboard
