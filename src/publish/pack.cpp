#include "publish/pack.h"

#include "base/text.h"
#include "publish/text_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace tallyboard {
namespace {

std::string row_anchor(int mark) { return fmt::format("row {}", mark); }
std::string mark_anchor(int mark) { return fmt::format("mark {}", mark); }
std::string or_dash(const std::string& text) { return text.empty() ? "–" : text; }

TableCell places_cell(const RevisionSheetRow& row) {
    std::vector<Words> words;
    if (!row.drawing.empty()) words.emplace_back(row.drawing, true);
    if (!row.board.empty()) words.emplace_back("board: " + row.board);
    return words;
}

TableCell reason_cell(const RevisionSheetRow& row) {
    std::vector<Words> words;
    words.emplace_back(row.says);
    const FindingNotes& notes = row.notes;
    if (!notes.evidence.empty()) words.emplace_back("Evidence: " + join(notes.evidence, "; "));
    if (!notes.consequence.empty()) words.emplace_back("Effect: " + notes.consequence);
    if (!notes.decision.empty()) words.emplace_back("Decided: " + notes.decision, true);
    else if (!notes.suggestion.empty()) words.emplace_back("Suggested: " + notes.suggestion);
    return words;
}

TableRow printed(const RevisionSheetRow& row) {
    TableRow result;
    TableCell number;
    if (row.mark > 0) {
        number.mark = std::to_string(row.mark);
        number.mark_link = mark_anchor(row.mark);
        result.anchor = row_anchor(row.mark);
    } else {
        number = TableCell("–");
    }
    TableCell zone(row.zone);
    if (row.mark > 0 && !zone.words.empty()) zone.words.front().link = mark_anchor(row.mark);
    TableCell drawn(or_dash(row.drawn)), found(or_dash(row.found));
    if (row.mark > 0 && !row.drawn.empty() && !row.found.empty()) drawn.words.front().struck = true;  // in black: a photocopy keeps it
    if (!row.found.empty()) found.words.front().bold = true;
    TableCell cost(Words(row.what));
    cost.words.emplace_back(row.cost == 0 ? "no cost" : fmt::format("cost {}", row.cost));
    if (!row.notes.grade.empty()) cost.words.emplace_back("grade " + row.notes.grade);
    result.cells = {number, zone, places_cell(row), drawn, found, reason_cell(row), cost};
    return result;
}

const std::vector<TableColumn> revision_columns{{"No", 9, Align::left}, {"Zone", 11, Align::left}, {"Place", 30, Align::left},
                                                {"Drawn", 25, Align::left}, {"Found", 25, Align::left}, {"What is different, and how it is known", 125, Align::left},
                                                {"Class", 20, Align::left}};

void add_revision_sheet(TextPages& pages, const PackContents& contents) {
    pages.new_page();
    pages.heading("Revision sheet", "revision sheet");
    if (!contents.summary.empty()) pages.paragraph(contents.summary);
    pages.cautions(contents.cautions);
    Table table{revision_columns, {}};
    std::set<std::string> grouped;
    const auto heading = [&](const std::string& text) {
        TableRow row;
        row.cells = {TableCell(Words(text, true))};
        row.spans = true;
        row.grey = 0.95;
        table.rows.push_back(std::move(row));
    };
    for (const RevisionGroup& group : contents.groups) {
        bool first = true;
        for (const RevisionSheetRow& row : contents.rows) {
            if (std::find(group.ids.begin(), group.ids.end(), row.id) == group.ids.end() || !grouped.insert(row.id).second) continue;
            if (first) heading(group.says);
            first = false;
            table.rows.push_back(printed(row));
        }
    }
    // Three parts: what the sheet corrects, what costs but is no correction, what is told without cost.
    const auto section = [&](const std::string& says, auto belongs) {
        bool first = true;
        for (const RevisionSheetRow& row : contents.rows) {
            if (grouped.count(row.id) || !belongs(row)) continue;
            if (first && (!says.empty())) heading(says);
            first = false;
            table.rows.push_back(printed(row));
        }
    };
    section(contents.groups.empty() ? "" : "Each by itself", [](const RevisionSheetRow& row) { return row.mark > 0; });
    section("Different, but no correction of the drawing", [](const RevisionSheetRow& row) { return row.mark == 0 && row.cost > 0; });
    section("Told without cost", [](const RevisionSheetRow& row) { return row.mark == 0 && row.cost == 0; });
    if (table.rows.empty()) pages.paragraph("No differences: the drawing and the board agree.");
    else pages.table(table);
    if (!contents.rows.empty())
        pages.paragraph("Grades: A seen and measured out of circuit, B measured in circuit or continuity tested, C read from a marking, D from a photograph, E inferred. "
                        "Cost weighs how much would have to be changed; it is no price.");
    for (const std::string& remark : contents.remarks) pages.paragraph(remark);
    pages.subheading("Files, both attached to this document");
    pages.table({{{"", 20, Align::left}, {"File", 60, Align::left}, {"SHA-256", 120, Align::left}},
                 {{{"drawing", contents.drawing_file, contents.drawing_digest}, "", 1, false, 0},
                  {{"board", contents.board_file, contents.board_digest}, "", 1, false, 0}}});
}

void add_parts_list(TextPages& pages, const PackContents& contents) {
    pages.new_page();
    pages.heading("Parts list", "parts list");
    Table table{{{"Mark", 12, Align::left}, {"Drawing", 22, Align::left}, {"Board", 22, Align::left}, {"Kind", 26, Align::left},
                 {"Drawn", 34, Align::left}, {"Found", 34, Align::left}, {"Remark", 80, Align::left}}, {}};
    for (const PartsListRow& row : contents.parts) {
        TableRow printed;
        TableCell mark;
        if (row.mark > 0) {
            Words number(std::to_string(row.mark), true);
            number.link = row_anchor(row.mark);
            mark = TableCell(number);
        }
        printed.cells = {mark, row.drawing, row.board, row.kind, or_dash(row.drawn), or_dash(row.found), row.remark};
        if (row.mark > 0) printed.cells[5].words.front().bold = true;
        table.rows.push_back(std::move(printed));
    }
    pages.table(table);
}

}  // namespace

Document pack_document(const PackContents& contents) {
    Document document;
    const SheetFields& fields = contents.fields;
    document.title = fields.title + ": corrected schematic and revision sheet";
    document.author = fields.creator.empty() ? fields.owner : fields.creator;
    document.subject = contents.summary;
    document.date = fields.date;
    document.attachments = contents.attachments;

    document.bookmarks.push_back({"Corrected schematic", "sheet 1", 0});
    add_sheets(document, contents.sheets, 1);
    const std::size_t text_begins = document.pages.size();
    std::vector<std::string> right;
    for (const std::string& piece : {fields.number, fields.date, fields.revision.empty() ? "" : "revision " + fields.revision})
        if (!piece.empty()) right.push_back(piece);
    TextPages pages(document, {true, fields.title + (fields.supplementary.empty() ? "" : ", " + fields.supplementary), join(right, "   ")});
    add_revision_sheet(pages, contents);
    if (contents.response) add_response(pages, *contents.response);
    add_parts_list(pages, contents);
    if (contents.specimen) add_specimen(pages, *contents.specimen);
    if (contents.scan) add_scan(pages, document, *contents.scan);
    if (!contents.before.empty()) {
        document.bookmarks.push_back({"As drawn", fmt::format("sheet {}", contents.sheets.size() + 1), 0});
        add_sheets(document, contents.before, 1, contents.sheets.size() + 1);
    }
    number_pages(document, text_begins);
    drop_dangling_links(document);
    return document;
}

}  // namespace tallyboard
