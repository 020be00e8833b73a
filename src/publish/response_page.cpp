#include "publish/response_page.h"

#include "base/number_text.h"
#include "draw/furniture.h"
#include "publish/plot.h"
#include "values/value.h"

#include <fmt/format.h>

#include <cmath>

namespace tallyboard {
namespace {

const Pen drawn_pen{0.35, Ink::normal, Dash::dashed}, found_pen{0.65, Ink::added, Dash::solid};

// b − a, where both are known.
std::vector<std::optional<double>> difference(const std::vector<std::optional<double>>& a, const std::vector<std::optional<double>>& b) {
    std::vector<std::optional<double>> result(a.size());
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
        if (a[i] && b[i]) result[i] = *b[i] - *a[i];
    return result;
}

std::string volts(const std::optional<double>& value) {
    if (!value) return "–";
    // What lies below a microvolt is the solution's own dust.
    return std::fabs(*value) < 1e-6 ? "0 V" : engineering_text(*value, Quantity::voltage, 3);
}

}  // namespace

void plot_response(Page& page, const Box& box, const ResponseSection& section) {
    FrequencyPlot response{"Response", "dB", section.hz, {}, {}, 6};
    if (section.spread) response.bands.push_back({"production spread", section.spread->low, section.spread->high});
    if (section.drawing) response.lines.push_back({section.drawing->name, section.drawing->db, section.board ? drawn_pen : found_pen});
    if (section.board) response.lines.push_back({section.board->name, section.board->db, found_pen});
    if (!section.drawing || !section.board) {
        draw_plot(page, box, response);
        return;
    }
    const double upper = box.h * 0.62;
    draw_plot(page, {box.x, box.y, box.w, upper}, response);
    FrequencyPlot below{"Difference", "dB", section.hz, {}, {}, 2};
    if (section.spread)
        below.bands.push_back({"production spread", difference(section.drawing->db, section.spread->low), difference(section.drawing->db, section.spread->high)});
    below.lines.push_back({fmt::format("{} less {}", section.board->name, section.drawing->name), difference(section.drawing->db, section.board->db), found_pen});
    draw_plot(page, {box.x, box.y + upper + 2, box.w, box.h - upper - 2}, below);
}

void add_response(TextPages& pages, const ResponseSection& section) {
    pages.new_page();
    pages.heading("What the differences do", "consequences");
    if (!section.conditions.empty()) pages.paragraph(section.conditions);
    if (!section.hz.empty() && (section.drawing || section.board)) {
        const double height = std::min(pages.room_left() - 2, 150.0);
        const Box box = pages.figure(std::max(height, 90.0));
        plot_response(pages.page(), box, section);
    }
    for (const std::string& remark : section.remarks) pages.paragraph(remark);
    if (!section.effects.empty()) {
        pages.subheading("The findings by what they do, the gravest first");
        if (!section.first.empty()) pages.paragraph(section.first);
        Table table{{{"Mark", 10, Align::left}, {"Finding", 36, Align::left}, {"Place", 30, Align::left}, {"Effect", 130, Align::left}, {"Severity", 28, Align::left}}, {}};
        for (const EffectRow& row : section.effects) {
            TableRow printed;
            TableCell mark;
            if (row.mark > 0) {
                Words number(std::to_string(row.mark), true);
                number.link = fmt::format("row {}", row.mark);
                mark = TableCell(number);
            }
            printed.cells = {mark, row.id, row.place, row.effect, TableCell(Words(row.severity, true))};
            table.rows.push_back(std::move(printed));
        }
        pages.table(table);
    }
    if (!section.readings.empty()) {
        pages.subheading("Readings, beside what they should be with that meter");
        Table table{{{"Reading", 44, Align::left}, {"Meter", 16, Align::left}, {"Read", 22, Align::right}, {"By the drawing", 38, Align::right},
                     {"By the board", 38, Align::right}, {"What it says", 76, Align::left}}, {}};
        for (const ReadingComparison& row : section.readings) {
            TableRow printed;
            printed.cells = {row.place, row.meter, TableCell(Words(row.read, true)), row.drawn, row.found, row.remark};
            table.rows.push_back(std::move(printed));
        }
        pages.table(table);
        if (!section.fault.empty()) pages.paragraph(section.fault);
    }
    if (!section.voltages.empty()) {
        pages.subheading("Direct voltages that change, all findings together");
        Table table{{{"Net", 40, Align::left}, {"As drawn", 30, Align::right}, {"As found", 30, Align::right}, {"Production spread", 50, Align::right},
                     {"Judgement", 84, Align::left}}, {}};
        for (const VoltageComparison& row : section.voltages) {
            const std::string span = row.low && row.high ? fmt::format("{} to {}", volts(row.low), volts(row.high)) : "–";
            TableRow printed;
            printed.cells = {row.net, volts(row.drawn), volts(row.found), span, row.remark};
            table.rows.push_back(std::move(printed));
        }
        pages.table(table);
    }
}

Document response_document(const std::string& title, const ResponseSection& section) {
    Document document;
    document.title = title;
    Page page;
    page.width = 240;
    page.height = section.drawing && section.board ? 180 : 130;
    double y = 14;
    page.items.push_back(page_text(title, {12, y}, page_style::heading_size, true));
    for (const std::string& line : wrapped(section.conditions, Face::text, page_style::text_size, page.width - 24)) {
        y += 5;
        page.items.push_back(page_text(line, {12, y}));
    }
    plot_response(page, {12, y + 5, page.width - 24, page.height - y - 15}, section);
    document.pages.push_back(std::move(page));
    return document;
}

}  // namespace tallyboard
