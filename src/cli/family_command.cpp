#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "circuit/latest_date.h"
#include "cli/draw_options.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/sheet_fields.h"
#include "cli/terminal.h"
#include "family/add_member.h"
#include "family/consensus.h"
#include "family/history.h"
#include "publish/pdf.h"
#include "publish/svg.h"
#include "publish/variants_page.h"

namespace tallyboard {
namespace {

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

// The latest date that the family's files name.
std::string date_of(const GatheredFamily& family, const Settings& settings) {
    if (settings.date) return *settings.date;
    LatestDate latest;
    latest.consider(*family.base);
    for (const Unit& unit : family.units) latest.consider(unit.dated);
    return latest.text();
}

// What is to be drawn: the version called by its number, or the whole family with its years.
NotedDrawing chosen_drawing(const GatheredFamily& family, const FamilyHistory& history, const std::string& which, const KindTable& kinds) {
    if (which == "family") return noted_drawing(family, history, kinds);
    for (std::size_t v = 0; v < history.variants.size(); ++v) {
        if (which != fmt::format("{}", v + 1)) continue;
        FamilyDrawing drawing = consensus_drawing(family, history, v, kinds);
        return {std::move(drawing.circuit), {}, std::move(drawing.remarks)};
    }
    throw CommandError("", fmt::format("--drawing {}: there are versions 1 to {}, or write family", which, history.variants.size()));
}

// Draws it to `out`, or writes a version as a drawing's file.
void write_drawing(const GatheredFamily& family, const FamilyHistory& history, const std::string& which, const std::string& out, const KindTable& kinds,
                   const DrawChoices& choices, const Settings& settings) {
    NotedDrawing drawing = chosen_drawing(family, history, which, kinds);
    for (const std::string& remark : drawing.remarks) print_aside("warning: " + remark + "\n");
    if (out.ends_with(".xml")) {
        if (which == "family") throw CommandError(out, "the family's drawing has years in place of values and is no circuit file; use .svg or .pdf");
        write_file(out, drawing.circuit.source.bytes());
        return;
    }
    Progress progress;
    DrawOptions options = choices.options(settings, progress);
    options.fields = sheet_fields(drawing.circuit, settings, date_of(family, settings));
    options.fields.supplementary += (options.fields.supplementary.empty() ? "" : ", ") + (which == "family" ? std::string("all versions") : "version " + which);
    options.fields.notes.insert(options.fields.notes.end(), drawing.notes.begin(), drawing.notes.end());
    Picture picture = draw_picture(drawing.circuit, options);
    if (out.ends_with(".svg")) write_file(out, write_svg(picture.sheets));
    else write_file(out, write_pdf(picture.sheets, {.title = options.fields.title, .author = options.fields.creator}));
}

}  // namespace

int family_command(const Arguments& arguments) {
    std::string path;
    std::optional<std::string> add, csv, serial, seen, made, out, drawing;
    FamilyOptions family_options;
    Knowledge knowledge;
    Settings settings;
    DrawChoices choices;
    Options options("family FILE [options]",
                    "Compares the boards of one design with their base drawing and tells what varies, what changed between which\n"
                    "serials and dates, and what is one unit's own.");
    options.place(path, "FILE", "the family file");
    options.text(add, "--add", "BOARD", "gather one more board: its <member> is written into the family file");
    options.text(serial, "--serial", "NUMBER", "with --add: the unit's number, where the board's file has none");
    options.text(made, "--made", "DATE", "with --add: when it was made (EDTF: 1972, 1972?, 1972/1974)");
    options.text(seen, "--seen", "WHERE", "with --add: where the unit was seen");
    options.text(csv, "--csv", "OUT.csv", "write the table as CSV");
    options.text(out, "-o", "OUT", "write the variants sheet (.pdf), or with --drawing a drawing (.svg, .pdf; a version also as .xml)");
    options.text(drawing, "--drawing", "K|family", "with -o: draw version K, or the whole family with its years at each place that changed");
    options.number(family_options.effort, "--effort", "X", "how long to search for each board; 0.7 is usual", 0.001, 1000);
    choices.add_options(options);
    settings.add_options(options);
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;
    if (csv) require_writable(*csv);
    if (drawing && !out) throw CommandError("", "--drawing needs -o OUT");
    bool known_ending = out && (out->ends_with(".pdf") || (drawing && (out->ends_with(".svg") || out->ends_with(".xml"))));
    if (out && !known_ending) throw CommandError(*out, drawing ? "the ending says no format; use .svg, .pdf or .xml" : "the variants sheet is a .pdf");
    if (out) require_writable(*out);
    settings.read();
    family_options.threads = choices.threads;

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
    if (out && drawing) write_drawing(gathered, history, *drawing, *out, kinds, choices, settings);
    else if (out) write_file(*out, write_pdf(variants_document(gathered, history, settings.owner.value_or(""), date_of(gathered, settings))));
    print((gathered.title.empty() ? "" : gathered.title + "\n\n") + table_text(gathered) + history_text(gathered, history));
    std::vector<std::string> written;
    for (const std::optional<std::string>& file : {csv, out})
        if (file) written.push_back(*file);
    if (!written.empty()) print("\nwritten: " + join_words(written) + "\n");
    return exit_agree;
}

}  // namespace tallyboard
