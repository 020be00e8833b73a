#include "draw/furniture.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

namespace tallyboard {
namespace {

// Widths of line and heights of capitals, millimetres (ISO 128, ISO 3098).
constexpr double frame_line = 0.7, block_line = 0.35, grid_line = 0.25;
constexpr double small_cap = 1.8, usual_cap = 2.5, title_cap = 3.5;
constexpr double line_pitch = 1.75;         // of text lines, in capital heights
constexpr double strip = 5;                 // from the frame line to the border of the zones
constexpr double zone_length = 50;
constexpr double margin = 5;                // from the frame line to the circuit
constexpr double clear = 4;                 // round a block
constexpr double title_height = 30;
constexpr double row_height = 5.6;          // of the revision block
constexpr double legend_pitch = 5.6;

double em(double cap) { return size_for_cap_height(Face::sheet, cap); }

Line rule(Point a, Point b, double width) { return {{a, b}, {width, Ink::normal, Dash::solid}, false, {}}; }
Line outline(const Box& box, double width) {
    return {{{box.x, box.y}, {box.x + box.w, box.y}, {box.x + box.w, box.y + box.h}, {box.x, box.y + box.h}},
            {width, Ink::normal, Dash::solid}, true, {}};
}
Text lettering(std::string text, Point at, double cap, Align align = Align::left, bool heavy = false) {
    Text item;
    item.at = at;
    item.text = std::move(text);
    item.size = em(cap);
    item.align = align;
    item.heavy = heavy;
    return item;
}

// ---- frame and zones ----

// The borders between zones along a side: every 50 mm from the middle of the sheet, the first and last where the frame begins and ends.
std::vector<double> zone_borders(double length, double from, double to) {
    std::vector<double> borders{from};
    const double middle = length / 2;
    for (double at = middle - zone_length * std::floor((middle - from) / zone_length); at < to - 1; at += zone_length)
        if (at > from + 1) borders.push_back(at);
    borders.push_back(to);
    // A sliver at an end belongs to its neighbour: no standard sheet has one shorter than a quarter of a zone.
    return borders;
}

std::string zone_letter(std::size_t row) {
    static constexpr std::string_view letters = "ABCDEFGHJKLMNPQRSTUVWXYZ";
    return std::string(1, letters[std::min(row, letters.size() - 1)]);
}

std::size_t zone_index(const std::vector<double>& borders, double at) {
    std::size_t i = 0;
    while (i + 2 < borders.size() && at >= borders[i + 1]) ++i;
    return i;
}

void add_frame(std::vector<Item>& items, const Paper& paper) {
    const Box frame = paper.frame();
    const Box border{frame.x - strip, frame.y - strip, frame.w + 2 * strip, frame.h + 2 * strip};
    const auto columns = zone_borders(paper.width, frame.x, frame.x + frame.w);
    const auto rows = zone_borders(paper.height, frame.y, frame.y + frame.h);
    const auto middle = [](double a, double b) { return (a + b) / 2; };
    const double text_drop = usual_cap * 1.2 / 2;
    // On A4 the zones stand at the top and the right alone.
    const bool all_round = paper.name != "A4";
    items.push_back(outline(border, grid_line));
    for (std::size_t i = 0; i + 1 < columns.size(); ++i) {
        const double x = middle(columns[i], columns[i + 1]);
        const std::string name = std::to_string(i + 1);
        items.push_back(lettering(name, {x, frame.y - strip / 2 + text_drop}, usual_cap * 1.2, Align::centre));
        if (i > 0) items.push_back(rule({columns[i], border.y}, {columns[i], frame.y}, grid_line));
        if (!all_round) continue;
        items.push_back(lettering(name, {x, frame.y + frame.h + strip / 2 + text_drop}, usual_cap * 1.2, Align::centre));
        if (i > 0) items.push_back(rule({columns[i], frame.y + frame.h}, {columns[i], border.y + border.h}, grid_line));
    }
    for (std::size_t i = 0; i + 1 < rows.size(); ++i) {
        const double y = middle(rows[i], rows[i + 1]) + text_drop;
        items.push_back(lettering(zone_letter(i), {frame.x + frame.w + strip / 2, y}, usual_cap * 1.2, Align::centre));
        if (i > 0) items.push_back(rule({frame.x + frame.w, rows[i]}, {border.x + border.w, rows[i]}, grid_line));
        if (!all_round) continue;
        items.push_back(lettering(zone_letter(i), {frame.x - strip / 2, y}, usual_cap * 1.2, Align::centre));
        if (i > 0) items.push_back(rule({border.x, rows[i]}, {frame.x, rows[i]}, grid_line));
    }
    // Centring marks, for a copyist: in the border, at the middle of each side of the paper.
    const double cx = paper.width / 2, cy = paper.height / 2;
    items.push_back(rule({cx, border.y}, {cx, frame.y}, frame_line));
    items.push_back(rule({cx, frame.y + frame.h}, {cx, border.y + border.h}, frame_line));
    items.push_back(rule({border.x, cy}, {frame.x, cy}, frame_line));
    items.push_back(rule({frame.x + frame.w, cy}, {border.x + border.w, cy}, frame_line));
    items.push_back(outline(frame, frame_line));
}

// ---- title block ----

struct Cell { double x, y, w, h; std::string_view name; std::string text; double cap = usual_cap; std::string second = {}; };

void add_cell(std::vector<Item>& items, const Box& block, const Cell& cell) {
    constexpr double indent = 1.5;
    const Point corner{block.x + cell.x, block.y + cell.y};
    items.push_back(outline({corner.x, corner.y, cell.w, cell.h}, block_line));
    Text name = lettering(std::string(cell.name), {corner.x + indent, corner.y + 1 + small_cap}, small_cap);
    name.ink = Ink::faint;
    items.push_back(name);
    const auto put = [&](const std::string& text, double baseline, double cap) {
        if (text.empty()) return;
        const FittedText shown = fitted(text, Face::sheet, cap, cell.w - 2 * indent);
        Text item = lettering(shown.text, {corner.x + indent, corner.y + baseline}, cap);
        item.size = shown.size;
        items.push_back(item);
    };
    if (cell.second.empty()) {
        put(cell.text, cell.h - 1.3, cell.cap);
    } else {
        put(cell.text, cell.h - 2.6 - usual_cap, cell.cap);
        put(cell.second, cell.h - 1.3, usual_cap);
    }
}

// ISO 7200 allows 180 mm; on A4 a narrower block leaves room for the notes beside it.
Box title_box(const Paper& paper) {
    const Box frame = paper.frame();
    const double width = paper.name == "A4" ? 150 : 180;
    return {frame.x + frame.w - width, frame.y + frame.h - title_height, width, title_height};
}

void add_title_block(std::vector<Item>& items, const Paper& paper, const SheetFields& fields, int number, int of) {
    const Box block = title_box(paper);
    const std::string sheet = of > 1 ? fmt::format("{}/{}", number, of) : "1/1";
    const std::array<Cell, 13> cells{{
        {0, 0, 70, 7.5, "Legal owner", fields.owner},
        {70, 0, 40, 7.5, "Created by", fields.creator},
        {110, 0, 40, 7.5, "Approved by", fields.approved},
        {150, 0, 30, 7.5, "Date of issue", fields.date},
        {0, 7.5, 110, 15, "Title", fields.title, title_cap, fields.supplementary.empty() ? " " : fields.supplementary},
        {110, 7.5, 30, 7.5, "Document type", fields.document_type},
        {140, 7.5, 40, 7.5, "Status", fields.status},
        {110, 15, 40, 7.5, "Identification number", fields.number},
        {150, 15, 15, 7.5, "Revision", fields.revision},
        {165, 15, 15, 7.5, "Sheet", sheet},
        {0, 22.5, 110, 7.5, "Redrawn from", fields.redrawn_from},
        {110, 22.5, 55, 7.5, fields.language.empty() ? "Digest" : "Digest and language",
         fields.language.empty() ? fields.digest : fields.digest + "  " + fields.language, small_cap},
        {165, 22.5, 15, 7.5, "Paper", std::string(paper.name)},
    }};
    for (Cell cell : cells) {  // laid out for 180 mm
        cell.x *= block.w / 180;
        cell.w *= block.w / 180;
        add_cell(items, block, cell);
    }
    items.push_back(outline(block, frame_line));
}

// ---- revision block ----

struct RevisionLayout {
    Box box;
    double mark_width = 11, zone_width = 14, date_width = 23, approved_width = 20;
    double description_width() const { return box.w - mark_width - zone_width - date_width - approved_width; }
    struct Row { RevisionRow text; std::vector<std::string> lines; double height; };
    std::vector<Row> rows;
    std::size_t left_out = 0;
};

RevisionLayout revision_layout(const Paper& paper, const SheetFields& fields) {
    const Box frame = paper.frame();
    RevisionLayout layout;
    const double width = paper.name == "A4" ? 150 : 180;
    layout.box = {frame.x + frame.w - width, frame.y, width, 0};
    if (fields.revisions.empty()) return layout;
    // The block may take a third of the frame's height; the revision sheet has every row.
    const double most = frame.h / 3;
    double height = row_height;
    for (const RevisionRow& row : fields.revisions) {
        auto lines = wrapped(row.description, Face::sheet, em(small_cap * 1.1), layout.description_width() - 3);
        if (lines.size() > 2) {
            lines.resize(2);
            lines[1] = fitted(lines[1] + " …", Face::sheet, small_cap * 1.1, layout.description_width() - 3).text;
        }
        const double room = std::max(row_height, static_cast<double>(lines.size()) * small_cap * 1.1 * line_pitch + 1.8);
        if (height + room > most) break;
        height += room;
        layout.rows.push_back({row, std::move(lines), room});
    }
    layout.left_out = fields.revisions.size() - layout.rows.size();
    if (layout.left_out > 0) height += row_height;
    layout.box.h = height;
    return layout;
}

void add_revision_block(Sheet& sheet, const RevisionLayout& layout) {
    if (layout.box.h == 0) return;
    std::vector<Item>& items = sheet.furniture;
    const Box& box = layout.box;
    const std::array<double, 5> columns{box.x, box.x + layout.mark_width, box.x + layout.mark_width + layout.zone_width,
                                        box.x + box.w - layout.date_width - layout.approved_width, box.x + box.w - layout.approved_width};
    static constexpr std::array<std::string_view, 5> heads{"Rev", "Zone", "Description", "Date", "Approved"};
    const auto cell = [&](std::size_t column, const std::string& text, double baseline, double cap) {
        const double right = column + 1 < columns.size() ? columns[column + 1] : box.x + box.w;
        const FittedText shown = fitted(text, Face::sheet, cap, right - columns[column] - 2.6);
        Text item = lettering(shown.text, {columns[column] + 1.5, baseline}, cap);
        item.size = shown.size;
        items.push_back(item);
    };
    double y = box.y;
    for (std::size_t i = 0; i < heads.size(); ++i) cell(i, std::string(heads[i]), y + row_height / 2 + usual_cap / 2, usual_cap);
    y += row_height;
    for (std::size_t i = 0; i < layout.rows.size(); ++i) {
        const auto& row = layout.rows[i];
        items.push_back(rule({box.x, y}, {box.x + box.w, y}, block_line));
        const double middle = y + row.height / 2;
        const double cap = small_cap * 1.1;
        const Point mark{(columns[0] + columns[1]) / 2, middle};
        for (const Item& item : mark_triangle(row.text.mark, {mark.x, mark.y + 0.3}, 0.95)) items.push_back(item);
        cell(1, row.text.zone, middle + usual_cap / 2, usual_cap);
        double baseline = middle - (static_cast<double>(row.lines.size()) - 1) / 2 * cap * line_pitch + cap / 2;
        for (const std::string& line : row.lines) {
            items.push_back(lettering(line, {columns[2] + 1.5, baseline}, cap));
            baseline += cap * line_pitch;
        }
        cell(3, row.text.date, middle + cap / 2, cap);
        cell(4, row.text.approved, middle + cap / 2, cap);
        sheet.anchors.push_back({"revision " + row.text.mark, {box.x, y}});
        sheet.links.push_back({{box.x, y, layout.mark_width + layout.zone_width, row.height}, "mark " + row.text.mark});
        y += row.height;
    }
    if (layout.left_out > 0) {
        items.push_back(rule({box.x, y}, {box.x + box.w, y}, block_line));
        items.push_back(lettering(fmt::format("{} more: see the revision sheet", layout.left_out),
                                  {columns[2] + 1.5, y + row_height / 2 + small_cap / 2}, small_cap));
    }
    for (std::size_t i = 1; i < columns.size(); ++i) items.push_back(rule({columns[i], box.y}, {columns[i], box.y + box.h}, block_line));
    items.push_back(outline(box, frame_line));
}

// ---- legend ----

// What a mark looks like in the legend, drawn in a box 12 mm wide and 5 mm high round `at` (its middle).
struct LegendEntry { std::string_view name, says; std::function<void(std::vector<Item>&, Point)> sample; };

void struck_text(std::vector<Item>& items, Point at, const std::string& from, const std::string& to) {
    const double cap = small_cap;
    Text old_text = lettering(from, {at.x - 5.5, at.y + cap / 2}, cap);
    const double width = text_width(from, Face::sheet, old_text.size);
    items.push_back(old_text);
    items.push_back(Line{{{at.x - 5.9, at.y}, {at.x - 5.1 + width, at.y}}, {0.3, Ink::removed, Dash::solid}, false, {}});
    Text new_text = lettering(to, {at.x + 0.7, at.y + cap / 2}, cap, Align::left, true);
    new_text.ink = Ink::added;
    items.push_back(new_text);
}

Line stroke(std::vector<Point> points, double width, Ink ink, Dash dash = Dash::solid, bool closed = false) {
    return {std::move(points), {width, ink, dash}, closed, {}};
}

void resistor_sample(std::vector<Item>& items, Point at, double width, Ink ink, Dash dash) {
    items.push_back(stroke({{at.x - 5.5, at.y}, {at.x - 3.2, at.y}}, width, ink, dash));
    items.push_back(stroke({{at.x + 3.2, at.y}, {at.x + 5.5, at.y}}, width, ink, dash));
    items.push_back(stroke({{at.x - 3.2, at.y - 1.2}, {at.x + 3.2, at.y - 1.2}, {at.x + 3.2, at.y + 1.2}, {at.x - 3.2, at.y + 1.2}}, width,
                           ink, dash, true));
}

void cross(std::vector<Item>& items, Point at, double half) {
    items.push_back(stroke({{at.x - half, at.y - half}, {at.x + half, at.y + half}}, 0.3, Ink::removed));
    items.push_back(stroke({{at.x - half, at.y + half}, {at.x + half, at.y - half}}, 0.3, Ink::removed));
}

const std::vector<LegendEntry>& legend_entries() {
    static const std::vector<LegendEntry> entries{
        {"value", "value: drawn, found", [](auto& items, Point at) { struck_text(items, at, "10k", "12k"); }},
        {"kind", "drawn as another kind",
         [](auto& items, Point at) {
             for (const double side : {-1.0, 1.0}) {
                 items.push_back(stroke({{at.x + side * 5.5, at.y}, {at.x + side * 0.7, at.y}}, 0.25, Ink::normal));
                 items.push_back(stroke({{at.x + side * 0.7, at.y - 1.6}, {at.x + side * 0.7, at.y + 1.6}}, 0.6, Ink::added));
             }
         }},
        {"reversed", "pins exchanged on the board",
         [](auto& items, Point at) {
             items.push_back(stroke({{at.x - 4, at.y}, {at.x + 4, at.y}}, 0.3, Ink::added));
             for (const double side : {-1.0, 1.0})
                 items.push_back(Line{{{at.x + side * 5, at.y}, {at.x + side * 3.2, at.y - 0.8}, {at.x + side * 3.2, at.y + 0.8}},
                                      {0.2, Ink::added, Dash::solid}, true, Ink::added});
         }},
        {"missing", "drawn, not on the board",
         [](auto& items, Point at) {
             resistor_sample(items, at, 0.25, Ink::removed, Dash::dashed);
             cross(items, at, 1.9);
         }},
        {"extra", "on the board, not drawn", [](auto& items, Point at) { resistor_sample(items, at, 0.6, Ink::added, Dash::solid); }},
        {"moved", "connection drawn, found",
         [](auto& items, Point at) {
             items.push_back(stroke({{at.x - 5.5, at.y - 1}, {at.x + 4.6, at.y - 1}}, 0.25, Ink::removed, Dash::dashed));
             cross(items, {at.x + 4.6, at.y - 1}, 0.7);
             items.push_back(stroke({{at.x - 5.5, at.y + 1.2}, {at.x + 5.5, at.y + 1.2}}, 0.6, Ink::added));
         }},
        {"split", "drawn joined, apart on the board",
         [](auto& items, Point at) {
             for (const double side : {-1.0, 1.0}) {
                 items.push_back(stroke({{at.x + side * 5.5, at.y}, {at.x + side * 1, at.y}}, 0.3, Ink::normal));
                 items.push_back(stroke({{at.x + side * 1, at.y - 1.5}, {at.x + side * 1, at.y + 1.5}}, 0.6, Ink::added));
             }
         }},
        {"joined", "nets joined on the board",
         [](auto& items, Point at) {
             items.push_back(stroke({{at.x - 4, at.y}, {at.x + 4, at.y}}, 0.6, Ink::added));
             for (const double side : {-1.0, 1.0}) items.push_back(Circle{{at.x + side * 4, at.y}, 0.8, {0.1, Ink::added, Dash::solid}, Ink::added});
         }},
        {"inserted", "in series where none is drawn",
         [](auto& items, Point at) {
             items.push_back(stroke({{at.x - 5.5, at.y + 1.9}, {at.x + 5.5, at.y + 1.9}}, 0.25, Ink::removed, Dash::dashed));
             resistor_sample(items, {at.x, at.y - 0.4}, 0.6, Ink::added, Dash::solid);
         }},
        {"bypassed", "drawn, bridged on the board",
         [](auto& items, Point at) {
             resistor_sample(items, {at.x, at.y - 0.5}, 0.25, Ink::removed, Dash::dashed);
             items.push_back(stroke({{at.x - 5.5, at.y + 1.9}, {at.x + 5.5, at.y + 1.9}}, 0.6, Ink::added));
         }},
        {"unverified", "not verified on the board",
         [](auto& items, Point at) { items.push_back(Circle{at, 1, {0.3, Ink::note, Dash::solid}, {}}); }},
    };
    return entries;
}

// The known marks among `names`, in the legend's order.
std::vector<const LegendEntry*> legend_of(const SheetFields& fields) {
    std::vector<const LegendEntry*> used;
    for (const LegendEntry& entry : legend_entries())
        if (std::find(fields.legend.begin(), fields.legend.end(), entry.name) != fields.legend.end()) used.push_back(&entry);
    return used;
}

// At the top left, beside the revision block, in two columns.
Box legend_box(const Paper& paper, const SheetFields& fields) {
    const Box frame = paper.frame();
    const std::size_t rows = (legend_of(fields).size() + 1) / 2;
    const double width = std::min(frame.w - revision_layout(paper, fields).box.w - 6, 150.0);
    return {frame.x + 3, frame.y + 2, width, rows == 0 ? 0 : static_cast<double>(rows) * legend_pitch};
}

void add_legend(std::vector<Item>& items, const Paper& paper, const SheetFields& fields) {
    const auto entries = legend_of(fields);
    const Box box = legend_box(paper, fields);
    const std::size_t rows = (entries.size() + 1) / 2;
    for (std::size_t i = 0; i < entries.size(); ++i) {
        const double x = box.x + (i < rows ? 0 : box.w / 2);
        const double y = box.y + legend_pitch * (static_cast<double>(i % rows) + 0.5);
        entries[i]->sample(items, {x + 6, y});
        const FittedText says = fitted(entries[i]->says, Face::sheet, small_cap, box.w / 2 - 15);
        items.push_back(lettering(says.text, {x + 14, y + small_cap / 2}, small_cap));
    }
}

// ---- notes, at the foot, left of the title block ----

constexpr std::string_view footer =
    "For competent persons. Compare with your unit. Local regulations and licensed practice apply.";

// Items laid out as if their bottom edge were y = 0; `height` is what they take.
struct Notes { std::vector<Item> items; double height = 0; };

void move_down(Item& item, double by) {
    std::visit([&](auto& shape) {
        if constexpr (requires { shape.points; })
            for (Point& p : shape.points) p.y += by;
        else if constexpr (requires { shape.centre; })
            shape.centre.y += by;
        else
            shape.at.y += by;
    }, item);
}

Box notes_box(const Paper& paper) {
    const Box frame = paper.frame();
    return {frame.x + 3, 0, std::min(frame.w - title_box(paper).w - 6, 150.0), frame.y + frame.h};
}

// From the top: notes, cautions in their box, footer.
Notes notes_of(const Paper& paper, const SheetFields& fields) {
    const Box box = notes_box(paper);
    const double size = em(small_cap), pitch = small_cap * line_pitch;
    Notes notes;
    double y = 0;
    const auto paragraph = [&](const std::string& text, double indent, bool heavy) {
        for (const std::string& line : wrapped(text, Face::sheet, size, box.w - 2 * indent)) {
            y += pitch;
            notes.items.push_back(lettering(line, {box.x + indent, y}, small_cap, Align::left, heavy));
        }
    };
    for (const std::string& note : fields.notes) paragraph(note, 0, false);
    if (!fields.cautions.empty()) {
        y += 1.8;
        const double top = y;
        y += 0.6;
        for (const std::string& caution : fields.cautions) {
            paragraph(caution, 2, true);
            y += 0.8;
        }
        y += 0.6;
        notes.items.push_back(outline({box.x, top, box.w, y - top}, 0.5));
    }
    y += 0.8;
    paragraph(std::string(footer), 0, false);
    y += 3;
    notes.height = y;
    for (Item& item : notes.items) move_down(item, box.h - y);
    return notes;
}

Box cleared(const Box& box) { return {box.x - clear, box.y - clear, box.w + 2 * clear, box.h + 2 * clear}; }

// The largest rectangle in `frame` that no box of `taken` touches: some of its edges are those of the boxes.
Box largest_free(const Box& frame, const std::vector<Box>& taken) {
    std::vector<double> lefts{frame.x}, rights{frame.x + frame.w}, tops{frame.y}, bottoms{frame.y + frame.h};
    for (const Box& box : taken) {
        lefts.push_back(box.x + box.w);
        rights.push_back(box.x);
        tops.push_back(box.y + box.h);
        bottoms.push_back(box.y);
    }
    Box best;
    for (const double l : lefts)
        for (const double r : rights)
            for (const double t : tops)
                for (const double b : bottoms) {
                    if (l < frame.x || t < frame.y || r > frame.x + frame.w || b > frame.y + frame.h || r <= l || b <= t) continue;
                    if ((r - l) * (b - t) <= best.w * best.h + 1e-9) continue;
                    const bool free = std::none_of(taken.begin(), taken.end(), [&](const Box& box) {
                        return box.x < r - 1e-9 && box.x + box.w > l + 1e-9 && box.y < b - 1e-9 && box.y + box.h > t + 1e-9;
                    });
                    if (free) best = {l, t, r - l, b - t};
                }
    return best;
}

}  // namespace

Paper paper_named(std::string_view name) {
    if (name == "A4") return {"A4", 297, 210};
    if (name == "A3") return {"A3", 420, 297};
    throw std::logic_error(fmt::format("paper \"{}\"", name));
}

Field field_of(const Paper& paper, const SheetFields& fields) {
    const Box frame = paper.frame();
    Field field;
    field.frame = {frame.x + margin, frame.y + margin, frame.w - 2 * margin, frame.h - 2 * margin};
    const RevisionLayout revisions = revision_layout(paper, fields);
    if (revisions.box.h > 0) field.taken.push_back(cleared(revisions.box));
    field.taken.push_back(cleared(title_box(paper)));
    if (const Box legend = legend_box(paper, fields); legend.h > 0) field.taken.push_back(cleared(legend));
    const Box notes = notes_box(paper);
    const double height = notes_of(paper, fields).height;
    field.taken.push_back(cleared({notes.x, notes.h - height, notes.w, height}));
    field.drawing = largest_free(field.frame, field.taken);
    return field;
}

void add_furniture(Sheet& sheet, const Paper& paper, const SheetFields& fields, int number, int of) {
    sheet.width = paper.width;
    sheet.height = paper.height;
    add_frame(sheet.furniture, paper);
    add_title_block(sheet.furniture, paper, fields, number, of);
    add_revision_block(sheet, revision_layout(paper, fields));
    add_legend(sheet.furniture, paper, fields);
    for (Item& item : notes_of(paper, fields).items) sheet.furniture.push_back(std::move(item));
}

std::string zone_of(const Paper& paper, Point point) {
    const Box frame = paper.frame();
    const auto columns = zone_borders(paper.width, frame.x, frame.x + frame.w);
    const auto rows = zone_borders(paper.height, frame.y, frame.y + frame.h);
    return zone_letter(zone_index(rows, point.y)) + std::to_string(zone_index(columns, point.x) + 1);
}

std::vector<std::string> legend_names() {
    std::vector<std::string> names;
    for (const LegendEntry& entry : legend_entries()) names.emplace_back(entry.name);
    return names;
}

FittedText fitted(std::string_view text, Face face, double cap, double width) {
    const double full = size_for_cap_height(face, cap), least = std::min(full, size_for_cap_height(face, small_cap));
    const double at_full = text_width(text, face, full);
    if (at_full <= width) return {std::string(text), full};
    if (const double size = full * width / at_full; size >= least) return {std::string(text), size};
    std::string shown;
    for (const std::string& character : split_characters(text)) {
        if (text_width(shown + character + "…", face, least) > width) break;
        shown += character;
    }
    return {shown + "…", least};
}

std::vector<std::string> wrapped(std::string_view text, Face face, double size, double width) {
    std::vector<std::string> lines{""};
    for (std::string word : split_words(text)) {
        const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
        if (text_width(longer, face, size) <= width) {
            lines.back() = longer;
            continue;
        }
        if (!lines.back().empty()) lines.emplace_back();
        for (const std::string& character : split_characters(word)) {
            if (!lines.back().empty() && text_width(lines.back() + character, face, size) > width) lines.emplace_back();
            lines.back() += character;
        }
    }
    return lines;
}

std::vector<Item> mark_triangle(std::string_view number, Point at, double scale) {
    const double side = 5.2 * scale, height = side * std::numbers::sqrt3 / 2;
    std::vector<Item> items;
    items.push_back(Line{{{at.x, at.y - height * 0.6}, {at.x + side / 2, at.y + height * 0.4}, {at.x - side / 2, at.y + height * 0.4}},
                         {0.35, Ink::normal, Dash::solid}, true, Ink::paper});
    // Two digits stand smaller: the triangle is narrow where the number stands.
    const double cap = (number.size() < 2 ? 2.2 : 1.8) * scale;
    items.push_back(lettering(std::string(number), {at.x, at.y + height * 0.4 - 0.55 * scale}, cap, Align::centre));
    return items;
}

}  // namespace tallyboard
