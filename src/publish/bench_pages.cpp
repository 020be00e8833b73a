#include "publish/bench_pages.h"

#include "base/text.h"
#include "publish/text_pages.h"
#include "values/span_text.h"

#include <fmt/format.h>

#include <set>

namespace tallyboard {
namespace {

constexpr double room_to_write = 8.2;  // millimetres: a row for a hand with a pencil

std::string amount(const std::optional<double>& value, Quantity quantity) { return value ? engineering_text(*value, quantity, 3) : "–"; }

std::string span_or_blank(const std::optional<double>& low, const std::optional<double>& high, Quantity quantity) {
    return low && high ? span_text(*low, *high, quantity) : "";
}

TableRow group_heading(const std::string& says) {
    TableRow row;
    row.cells = {TableCell(Words(says, true))};
    row.spans = true;
    row.grey = 0.95;
    return row;
}

std::string group_says(ProbeGroup group) {
    switch (group) {
        case ProbeGroup::supplies: return "Supplies first";
        case ProbeGroup::bias: return "Bias";
        case ProbeGroup::signal: return "Signal path";
    }
    return {};
}

std::string proves_says(const ResistanceRow& row) {
    switch (row.proves) {
        case Proves::the_part: return "proves the part";
        case Proves::not_open: return "proves that it is not open";
        case Proves::nothing: return "proves nothing";
    }
    return {};
}

void open_sheet(TextPages& pages, const BenchHead& head, const std::string& anchor) {
    pages.new_page();
    pages.heading(head.title, anchor);
    if (!head.unit.empty()) pages.paragraph(Words(head.unit, true));
    pages.cautions(head.cautions);
}

Document begun(const BenchHead& head) {
    Document document;
    document.title = head.title + (head.unit.empty() ? "" : ": " + head.unit);
    document.date = head.date;
    return document;
}

void add_voltages(TextPages& pages, const ProbeSheet& sheet) {
    if (sheet.voltages.empty()) return;
    pages.subheading("Power on: direct voltages");
    Table table{{{"No", 7, Align::left}, {"Red lead", 34, Align::left}, {"Black", 13, Align::left}, {"Shows", 17, Align::right}, {"Span", 32, Align::right},
                 {"Of rail", 23, Align::left}, {"Read", 26, Align::left}, {"Remark", 32, Align::left}}, {}};
    std::optional<ProbeGroup> group;
    int number = 0;
    for (const VoltageRow& row : sheet.voltages) {
        if (group != row.group) table.rows.push_back(group_heading(group_says(row.group)));
        group = row.group;
        TableCell place(Words((row.hazardous ? "⚠ " : "") + row.place, true));
        // Near ground the ratio says nothing.
        const std::string share = row.rail_share && *row.rail_share > 0.05 ? fmt::format("{:.0f} % of {}", *row.rail_share * 100, row.rail) : "";
        TableRow printed;
        printed.cells = {std::to_string(++number), place, row.back, TableCell(Words(amount(row.shows, Quantity::voltage), true)),
                         span_or_blank(row.low, row.high, Quantity::voltage), share, "", row.note};
        printed.least_height = room_to_write;
        table.rows.push_back(std::move(printed));
    }
    pages.table(table);
}

void add_resistances(TextPages& pages, const Circuit& circuit, const ProbeSheet& sheet) {
    if (sheet.resistances.empty()) return;
    pages.subheading("Power off, capacitors discharged: resistances");
    Table table{{{"No", 7, Align::left}, {"Part", 13, Align::left}, {"Red", 17, Align::left}, {"Black", 17, Align::left}, {"Shows", 17, Align::right},
                 {"Turned", 17, Align::right}, {"Span", 32, Align::right}, {"Read", 24, Align::left}, {"What it proves", 52, Align::left}}, {}};
    int number = 0;
    for (const ResistanceRow& row : sheet.resistances) {
        std::vector<Words> proves{proves_says(row)};
        if (!row.note.empty()) proves.emplace_back(row.note);
        if (!row.lift.empty()) proves.emplace_back("for proof lift " + row.lift);
        TableRow printed;
        printed.cells = {std::to_string(++number), TableCell(Words(circuit[row.part].ref, true)), row.from, row.to,
                         TableCell(Words(amount(row.shows, Quantity::resistance), true)), amount(row.reversed, Quantity::resistance),
                         span_or_blank(row.low, row.high, Quantity::resistance), "", TableCell(proves)};
        printed.least_height = room_to_write;
        table.rows.push_back(std::move(printed));
    }
    pages.table(table);
}

}  // namespace

Document probe_document(const Circuit& circuit, const ProbeSheet& sheet, const BenchHead& head) {
    Document document = begun(head);
    TextPages pages(document, {false, head.unit, head.date});
    open_sheet(pages, head, "probe sheet");
    pages.paragraph("For " + sheet.meter + (sheet.controls.empty() ? "." : ", with " + join_words(sheet.controls) + "."));
    bool marked = false;
    for (const VoltageRow& row : sheet.voltages) marked = marked || row.hazardous;
    if (marked) pages.paragraph("⚠ above 60 V, or not known: one hand, insulated probe.");
    add_voltages(pages, sheet);
    add_resistances(pages, circuit, sheet);
    for (const std::string& remark : sheet.remarks) pages.paragraph(remark);
    number_pages(document);
    return document;
}

std::vector<TraceRow> trace_rows(Tracing tracing, const Circuit& board, std::size_t most) {
    constexpr double worth_asking = 0.2;
    std::vector<TraceRow> rows;
    std::set<PinId> searched;  // pins of which nothing is likely: one row each, to be filled in
    for (std::size_t asked = 0; asked < 20 * most && rows.size() < most; ++asked) {
        const std::optional<Question> question = tracing.next();
        if (!question) break;
        if (question->sought || (question->likely < worth_asking && !question->isolation)) {
            if (searched.insert(question->from).second) rows.push_back({pin_name(board, question->from), "", "write in what it beeps to; " + question->why});
        } else if (!question->again) {   // doubts come of answers, which paper does not have yet
            rows.push_back({pin_name(board, question->from), pin_name(board, question->to), question->why});
        }
        const Beeps guess = question->likely >= 0.5 ? Beeps::yes : Beeps::no;
        // A guess that contradicts the file's own nets is passed over, not believed.
        if (tracing.answer({question->from, question->to, guess})) tracing.skip(question->from, question->to);
    }
    return rows;
}

Document trace_document(const std::vector<TraceRow>& rows, const BenchHead& head) {
    Document document = begun(head);
    TextPages pages(document, {false, head.unit, head.date});
    open_sheet(pages, head, "check sheet");
    pages.paragraph("Power off, capacitors discharged. Tick yes where it beeps (one net), part where a low part lies between, no where it does not. "
                    "Where an answer surprises, the tests after it may be others: trace again from there.");
    Table table{{{"No", 8, Align::left}, {"From", 24, Align::left}, {"To", 24, Align::left}, {"yes", 9, Align::centre}, {"part", 9, Align::centre}, {"no", 9, Align::centre},
                 {"Why this one", 62, Align::left}, {"Note", 36, Align::left}}, {}};
    int number = 0;
    for (const TraceRow& row : rows) {
        TableRow printed;
        printed.cells = {std::to_string(++number), TableCell(Words(row.from, true)), TableCell(Words(row.to.empty() ? "……………" : row.to, true)), "☐", row.to.empty() ? "" : "☐", row.to.empty() ? "" : "☐", row.why, ""};
        printed.least_height = 6.6;
        table.rows.push_back(std::move(printed));
    }
    if (rows.empty()) pages.paragraph("Nothing is left to be traced.");
    else pages.table(table);
    number_pages(document);
    return document;
}

}  // namespace tallyboard
