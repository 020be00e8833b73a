#include "publish/text_pages.h"

#include "draw/furniture.h"

#include <fmt/format.h>

#include <algorithm>

namespace tallyboard {
namespace {

using namespace page_style;

constexpr double pad = 1.1;         // between a rule and the text in a table
constexpr double mark_room = 6.4;   // height a mark takes in a cell
constexpr double table_gap = 4;     // below a table
constexpr std::size_t kept_together = 3;  // rows at the end of a table
constexpr double hair = 0.13, rule = 0.25;
constexpr std::string_view footer =
    "For competent persons. Compare with your unit. Local regulations and licensed practice apply.";
constexpr std::string_view page_number_place = "\x01";  // the foot's text until all pages are known; no file can hold it

Face face_of(bool bold) { return bold ? Face::text_bold : Face::text; }

Line stroke(Point a, Point b, double width, Ink ink = Ink::normal) { return {{a, b}, {width, ink, Dash::solid}, false, {}}; }

// One line of a cell, set.
struct SetLine { std::string text; const Words* words = nullptr; };

std::vector<SetLine> lines_of(const std::vector<Words>& paragraphs, double size, double width) {
    std::vector<SetLine> lines;
    for (const Words& words : paragraphs)
        for (std::string& line : wrapped(words.text, face_of(words.bold), size, width)) lines.push_back({std::move(line), &words});
    return lines;
}

double height_of(const TableCell& cell, double width) {
    const auto lines = lines_of(cell.words, small_size, width - 2 * pad);
    const double text = static_cast<double>(lines.size()) * small_size * leading;
    return text + (cell.mark.empty() ? 0 : mark_room) + 2 * pad;
}

std::vector<double> widths_of(const Table& table, double whole) {
    double shares = 0;
    for (const TableColumn& column : table.columns) shares += column.share;
    std::vector<double> widths;
    for (const TableColumn& column : table.columns) widths.push_back(whole * column.share / shares);
    return widths;
}

TableRow head_of(const Table& table) {
    TableRow head;
    for (const TableColumn& column : table.columns) head.cells.emplace_back(Words(column.head, true));
    head.grey = 0.9;
    return head;
}

void put_line(Page& page, const SetLine& line, double left, double right, double baseline, double size, Align align) {
    const Words& words = *line.words;
    Text item = page_text(line.text, {align == Align::right ? right : align == Align::centre ? (left + right) / 2 : left, baseline}, size,
                          words.bold, align);
    item.ink = words.ink;
    item.link = words.link;
    const double width = text_width(line.text, item.face, size);
    page.items.push_back(item);
    if (!words.struck) return;
    const double x = align == Align::right ? right - width : align == Align::centre ? (left + right - width) / 2 : left;
    const double y = baseline - size * 0.28;
    page.items.push_back(stroke({x - 0.3, y}, {x + width + 0.3, y}, 0.28, Ink::removed));
}

}  // namespace

Text page_text(std::string text, Point at, double size, bool bold, Align align) {
    Text item;
    item.at = at;
    item.text = std::move(text);
    item.size = size;
    item.face = face_of(bold);
    item.align = align;
    return item;
}

TextPages::TextPages(Document& document, TextPageStyle style) : document_(document), style_(std::move(style)) {
    const double width = style_.landscape ? 297 : 210, height = style_.landscape ? 210 : 297;
    left_ = 20;
    right_ = width - 13;
    top_ = 24;
    bottom_ = height - 19;
}

void TextPages::begin_page() {
    Page page;
    page.width = right_ + 13;
    page.height = bottom_ + 19;
    const double head = 14, foot = page.height - 11;
    page.items.push_back(page_text(style_.head_left, {left_, head}, small_size, true));
    page.items.push_back(page_text(style_.head_right, {right_, head}, small_size, false, Align::right));
    page.items.push_back(stroke({left_, head + 2}, {right_, head + 2}, rule));
    page.items.push_back(stroke({left_, foot - 4.2}, {right_, foot - 4.2}, rule));
    page.items.push_back(page_text(std::string(footer), {left_, foot}, 2.4));
    page.items.push_back(page_text(std::string(page_number_place), {right_, foot}, 2.4, false, Align::right));
    document_.pages.push_back(std::move(page));
    y_ = top_;
    begun_ = fresh_ = true;
}

void TextPages::new_page() {
    if (!begun_ || !fresh_) begin_page();
}

void TextPages::require_room(double height) {
    if (!begun_ || (y_ + height > bottom_ && !fresh_)) begin_page();
}

void TextPages::heading(const std::string& text, const std::string& anchor, int bookmark_level) {
    require_room(40);
    if (!fresh_) y_ += 5;
    page().anchors.push_back({anchor, {left_, y_}});
    if (bookmark_level >= 0) document_.bookmarks.push_back({text, anchor, bookmark_level});
    for (const std::string& line : wrapped(text, Face::text_bold, heading_size, width())) {
        y_ += heading_size;
        page().items.push_back(page_text(line, {left_, y_}, heading_size, true));
        y_ += heading_size * (leading - 1);
    }
    y_ += 2.5;
    fresh_ = false;
}

void TextPages::subheading(const std::string& text) {
    require_room(25);
    if (!fresh_) y_ += 3;
    y_ += subheading_size;
    page().items.push_back(page_text(text, {left_, y_}, subheading_size, true));
    y_ += 2.2;
    fresh_ = false;
}

void TextPages::paragraph(const Words& words) {
    for (const SetLine& line : lines_of({words}, text_size, width())) {
        require_room(text_size * leading);
        put_line(page(), {line.text, &words}, left_, right_, y_ + text_size, text_size, Align::left);
        y_ += text_size * leading;
        fresh_ = false;
    }
    y_ += 1.6;
}

void TextPages::cautions(const std::vector<std::string>& sentences) {
    if (sentences.empty()) return;
    std::vector<Words> paragraphs;
    for (const std::string& sentence : sentences) paragraphs.emplace_back(sentence, true);
    const auto lines = lines_of(paragraphs, text_size, width() - 6);
    // A box is not broken across pages unless it is longer than one.
    const double pitch = text_size * leading;
    std::size_t next = 0;
    require_room(std::min(static_cast<double>(lines.size()) * pitch + 5, page_room()));
    while (next < lines.size()) {
        require_room(pitch + 5);
        const double box_top = y_;
        y_ += 2;
        while (next < lines.size() && y_ + pitch + 2 <= bottom_) {
            put_line(page(), lines[next++], left_ + 3, right_ - 3, y_ + text_size, text_size, Align::left);
            y_ += pitch;
        }
        y_ += 1.2;
        page().items.push_back(Line{{{left_, box_top}, {right_, box_top}, {right_, y_}, {left_, y_}}, {0.6, Ink::normal, Dash::solid}, true, {}});
        fresh_ = false;
        if (next < lines.size()) begin_page();
    }
    y_ += 3;
}

double TextPages::row_height(const Table& table, const TableRow& row) const {
    if (row.spans) return row.cells.empty() ? 2 * pad : height_of(row.cells[0], width());
    const auto widths = widths_of(table, width());
    double height = std::max(small_size * leading + 2 * pad, row.least_height);
    for (std::size_t i = 0; i < std::min(row.cells.size(), widths.size()); ++i) height = std::max(height, height_of(row.cells[i], widths[i]));
    return height;
}

void TextPages::put_head(const Table& table) {
    const double head_top = y_;
    put_row(table, head_of(table));
    page().items.push_back(stroke({left_, head_top}, {right_, head_top}, rule));
    page().items.push_back(stroke({left_, y_}, {right_, y_}, rule));
}

// Draws the row at y_; the page has room for it, or for as many lines as it shows (a row longer than a page is cut by `table`).
void TextPages::put_row(const Table& table, const TableRow& row) {
    const double height = row_height(table, row);
    Page& here = page();
    if (row.grey < 1)
        here.items.push_back(Shade{{{left_, y_}, {right_, y_}, {right_, y_ + height}, {left_, y_ + height}}, row.grey});
    if (!row.anchor.empty()) here.anchors.push_back({row.anchor, {left_, y_}});
    auto widths = widths_of(table, width());
    if (row.spans) widths = {width()};
    double x = left_;
    for (std::size_t i = 0; i < std::min(row.cells.size(), widths.size()); ++i) {
        const TableCell& cell = row.cells[i];
        double y = y_ + pad;
        if (!cell.mark.empty()) {
            const Point at{x + pad + 2.8, y + 3.2};
            for (const Item& item : mark_triangle(cell.mark, at)) std::visit([&](const auto& shape) { here.items.push_back(shape); }, item);
            if (!cell.mark_link.empty()) here.links.push_back({{x, y_, pad + 6, mark_room + pad}, cell.mark_link});
            y += mark_room;
        }
        for (const SetLine& line : lines_of(cell.words, small_size, widths[i] - 2 * pad)) {
            put_line(here, line, x + pad, x + widths[i] - pad, y + small_size, small_size, row.spans ? Align::left : table.columns[i].align);
            y += small_size * leading;
        }
        x += widths[i];
    }
    y_ += height;
    fresh_ = false;
}

namespace {

// A row too high for `room` as several, cut between lines: each has what fits of every cell.
std::vector<TableRow> pieces_of(const TableRow& row, const std::vector<double>& widths, double room) {
    const std::size_t most = std::max<std::size_t>(1, static_cast<std::size_t>((room - 2 * pad - mark_room) / (small_size * leading)));
    std::vector<TableRow> pieces;
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
        const TableCell& cell = row.cells[i];
        const auto lines = lines_of(cell.words, small_size, (row.spans ? widths[0] : widths[i]) - 2 * pad);
        for (std::size_t begin = 0, n = 0; begin < lines.size() || n == 0; begin += most, ++n) {
            if (pieces.size() <= n) {
                pieces.emplace_back();
                pieces.back().grey = row.grey;
                pieces.back().spans = row.spans;
            }
            if (pieces[n].cells.size() <= i) pieces[n].cells.resize(i + 1);
            for (std::size_t k = begin; k < std::min(begin + most, lines.size()); ++k) {
                Words words = *lines[k].words;
                words.text = lines[k].text;
                pieces[n].cells[i].words.push_back(words);
            }
            if (n == 0) std::tie(pieces[0].cells[i].mark, pieces[0].cells[i].mark_link) = std::tie(cell.mark, cell.mark_link);
        }
    }
    if (!pieces.empty()) pieces[0].anchor = row.anchor;
    return pieces;
}

}  // namespace

double TextPages::height_of_table(const Table& table) const {
    double height = row_height(table, head_of(table)) + table_gap;
    for (const TableRow& row : table.rows) height += row_height(table, row);
    return height;
}

void TextPages::table(const Table& table, double below) {
    if (table.columns.empty()) return;
    const double head_height = row_height(table, head_of(table));
    const double most = page_room() - head_height;
    const auto widths = widths_of(table, width());
    // Rules between columns, drawn when a page's stretch of the table ends.
    double from = 0;
    const auto close = [&] {
        double x = left_;
        for (std::size_t i = 0; i <= widths.size(); ++i) {
            page().items.push_back(stroke({x, from}, {x, y_}, i == 0 || i == widths.size() ? rule : hair));
            if (i < widths.size()) x += widths[i];
        }
    };
    require_room(head_height + (table.rows.empty() ? 0 : std::min(row_height(table, table.rows[0]), most)));
    from = y_;
    put_head(table);
    std::size_t n = 0;
    for (const TableRow& row : table.rows) {
        const bool whole = row_height(table, row) <= most;
        for (const TableRow& piece : whole ? std::vector<TableRow>{row} : pieces_of(row, widths, most)) {
            double height = row_height(table, piece);
            // A heading between rows stays with the row it heads.
            if (piece.spans && n + 1 < table.rows.size()) height += std::min(row_height(table, table.rows[n + 1]), most - height);
            // So that no page holds a row or two alone, or what is below the table without any of it.
            const std::size_t left = table.rows.size() - n;
            if (n > 0 && (left == kept_together || (piece.spans && left == kept_together + 1))) {
                double last = below > 0 ? table_gap + below : 0;
                for (std::size_t k = n; k < table.rows.size(); ++k) last += row_height(table, table.rows[k]);
                if (last <= 0.3 * most) height = std::max(height, last);
            }
            if (y_ + height > bottom_ + 1e-6) {
                close();
                begin_page();
                from = y_;
                put_head(table);
            }
            if (piece.spans) close();  // no rules between columns across it
            const double row_top = y_;
            put_row(table, piece);
            if (piece.spans) {
                for (const double x : {left_, right_}) page().items.push_back(stroke({x, row_top}, {x, y_}, rule));
                page().items.push_back(stroke({left_, row_top}, {right_, row_top}, hair));
                from = y_;
            }
            page().items.push_back(stroke({left_, y_}, {right_, y_}, &row == &table.rows.back() ? rule : hair));
        }
        ++n;
    }
    close();
    y_ += table_gap;
}

Box TextPages::figure(double height) {
    require_room(height);
    const Box box{left_, y_, width(), height};
    y_ += height + 3;
    fresh_ = false;
    return box;
}

void TextPages::space(double height) { y_ += height; }

void number_pages(Document& document, std::size_t first) {
    const std::size_t count = document.pages.size();
    for (std::size_t i = first; i < count; ++i)
        for (PageItem& item : document.pages[i].items)
            if (auto* text = std::get_if<Text>(&item); text && text->text == page_number_place)
                text->text = fmt::format("page {} of {}", i + 1, count);
}

}  // namespace tallyboard
