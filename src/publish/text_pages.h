// Pages of text: headings, paragraphs and tables that run on from page to page, with a head and a foot on each.
#pragma once

#include <string>
#include <vector>

#include "publish/document.h"

namespace tallyboard {

// A paragraph of a cell or of a page.
struct Words {
    std::string text;
    bool bold = false;
    Ink ink = Ink::normal;
    bool struck = false;
    std::string link;  // an anchor; empty: none
    Words(std::string t) : text(std::move(t)) {}
    Words(const char* t) : text(t) {}
    Words(std::string t, bool b, Ink i = Ink::normal) : text(std::move(t)), bold(b), ink(i) {}
};

// What stands in one place of a table: paragraphs, or a mark (a number in a triangle) above them.
struct TableCell {
    std::vector<Words> words;
    std::string mark;
    std::string mark_link;
    TableCell() = default;
    TableCell(std::string text) { if (!text.empty()) words.emplace_back(std::move(text)); }
    TableCell(const char* text) : TableCell(std::string(text)) {}
    TableCell(Words one) : words{std::move(one)} {}
    TableCell(std::vector<Words> several) : words(std::move(several)) {}
};
struct TableColumn { std::string head; double share = 1; Align align = Align::left; };  // widths are shares of the page's
struct TableRow {
    std::vector<TableCell> cells;  // as many as columns; fewer: the rest empty
    std::string anchor;
    double grey = 1;               // background; 1: none
    bool spans = false;            // the first cell runs across the whole table: a heading between rows
    double least_height = 0;       // millimetres: room to write in
};
struct Table { std::vector<TableColumn> columns; std::vector<TableRow> rows; };

struct TextPageStyle {
    bool landscape = false;
    std::string head_left, head_right;  // at the head of each page
};

// Fills pages of a document from top to bottom. Every page gets head and foot; "page n of m" is put in by number_pages at the end.
class TextPages {
public:
    TextPages(Document& document, TextPageStyle style);

    // Begins a new page unless the current one is still empty.
    void new_page();
    // A heading with a bookmark of that level (-1: none); it keeps with what follows.
    void heading(const std::string& text, const std::string& anchor, int bookmark_level = 0);
    void subheading(const std::string& text);
    void paragraph(const Words& words);
    // Sentences in a box with a heavy frame.
    void cautions(const std::vector<std::string>& sentences);
    // A row higher than a page is broken between lines. The last rows stay together on one page, with room for what is `below` them high.
    void table(const Table& table, double below = 0);
    double height_of_table(const Table& table) const;
    // Room for a figure `height` high, on a new page if it must; returns where.
    Box figure(double height);
    void space(double height);

    // The page in hand, for what stands in figures.
    Page& page() { return document_.pages.back(); }
    double width() const { return right_ - left_; }
    double room_left() const { return bottom_ - y_; }
    double page_room() const { return bottom_ - top_; }

private:
    void require_room(double height);
    void begin_page();
    double row_height(const Table& table, const TableRow& row) const;
    void put_head(const Table& table);
    void put_row(const Table& table, const TableRow& row);

    Document& document_;
    TextPageStyle style_;
    double left_, right_, top_, bottom_, y_ = 0;
    bool begun_ = false, fresh_ = false;
};

// "page 3 of 7" at the foot of every page that TextPages made since page `first`.
void number_pages(Document& document, std::size_t first = 0);

// Shared by all pages of text.
namespace page_style {
inline constexpr double text_size = 3.0, small_size = 2.7, heading_size = 4.6, subheading_size = 3.5;  // em, millimetres
inline constexpr double leading = 1.28;
}  // namespace page_style
Text page_text(std::string text, Point at, double size = page_style::text_size, bool bold = false, Align align = Align::left);

}  // namespace tallyboard
