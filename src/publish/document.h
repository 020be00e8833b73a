// publish: pages for people and the files they go into. A document is built as plain pages (document.h, canvas.h), then written by one
// of two writers: pdf.h and svg.h. Each kind of page has a header of its own that takes a plain struct.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "draw/sheet.h"

namespace tallyboard {

// A picture read by images.h: pixels of our own decoding, or the bytes of a JPEG that was decoded whole and found good.
struct Image {
    int width = 0, height = 0;   // as stored; `upright` tells how it is seen
    std::string rgb;             // three bytes a pixel, rows from the top; empty where `jpeg` is kept
    std::string alpha;           // one byte a pixel; empty: opaque
    std::string jpeg;
    int upright = 1;             // EXIF orientation, 1 … 8
    int seen_width() const { return upright > 4 ? height : width; }
    int seen_height() const { return upright > 4 ? width : height; }
};

struct PlacedImage { Box box; std::size_t image = 0; };           // index in Document::images; stretched to the box
struct Shade { std::vector<Point> outline; double grey = 0.9; };  // an area filled with grey, 0 black … 1 white
struct Clip { std::optional<Box> box; };                          // what follows shows inside the box alone; none: everywhere again

using PageItem = std::variant<Line, Circle, Arc, Text, PlacedImage, Shade, Clip>;

// Millimetres, y down, as on a sheet.
struct Page {
    double width = 210, height = 297;
    std::vector<PageItem> items;   // in the order drawn
    std::vector<Anchor> anchors;
    std::vector<Link> links;
};

struct Bookmark { std::string title, anchor; int level = 0; };
struct Attachment { std::string name, says, bytes; };             // an XML file that goes with the document

struct Document {
    std::string title, author, subject;
    std::string language = "en";
    std::string date;                   // 2026-03-04; empty: undated
    std::vector<Page> pages;
    std::vector<Image> images;
    std::vector<Bookmark> bookmarks;    // in order; a level deeper than the one before is its child
    std::vector<Attachment> attachments;
};

// The sheet as a page: wires, parts, ties, labels, furniture, marks, with its anchors and links.
Page page_of(const Sheet& sheet);

// Adds the sheets as pages with a bookmark each (its title, else "Sheet n"), at the given level, anchored "sheet FIRST", "sheet FIRST+1", …
void add_sheets(Document& document, const std::vector<Sheet>& sheets, int level = 0, std::size_t first = 1);

// Takes out the links whose anchor no page has: a sheet published by itself has no revision sheet to link to.
void drop_dangling_links(Document& document);

// "#00407A": the colour an ink is printed in. The removed and the added are told apart by form as well.
std::string_view colour_of(Ink ink);

// Heavy text is filled and stroked: the stroke's width as a share of the size. A halo is a white stroke this wide (millimetres).
inline constexpr double heavy_stroke = 0.05;
inline constexpr double halo_stroke = 0.8;

// The line that strikes a label out.
Line strike_of(const Label& label);

}  // namespace tallyboard
