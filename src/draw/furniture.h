// What stands on a sheet besides the circuit: frame, zones and centring marks (ISO 5457), title block (ISO 7200), revision block
// (ASME Y14.35 custom), notes, cautions, legend of the marks used, footer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/fields.h"
#include "draw/sheet.h"

namespace tallyboard {

// A landscape sheet: "A4" or "A3". Millimetres.
struct Paper {
    std::string_view name = "A4";
    double width = 297, height = 210;
    // The frame line: 20 mm at the left for filing, 10 mm elsewhere.
    Box frame() const { return {20, 10, width - 30, height - 20}; }
};
Paper paper_named(std::string_view name);  // std::logic_error for a name that is none

// Where the circuit may stand. `frame`: inside the frame line, less a margin; `taken`: the blocks within it, with a clear space
// round each, that nothing may overlap; `drawing`: the largest rectangle free of all of them.
struct Field { Box frame; std::vector<Box> taken; Box drawing; };
Field field_of(const Paper& paper, const SheetFields& fields);

// Sets the sheet's size and adds its furniture and the links and anchors in it. Row i of the revision block gets the anchor "revision i+1"
// (counted from 1) unless it has none to show; its mark links to "mark i+1". Fields that are too long for their box are set smaller, never
// below 1.8 mm, and then cut with an ellipsis. Rows beyond what the block may hold are told of in its last row.
void add_furniture(Sheet& sheet, const Paper& paper, const SheetFields& fields, int number, int of);

// The zone a point of the sheet lies in: "B3" (letters down, without I and O; numerals across).
std::string zone_of(const Paper& paper, Point point);

// The names a legend knows, in the order they are printed: "missing", "extra", … with what each looks like.
std::vector<std::string> legend_names();

// Text within a box one line high: the em size (from `cap` down to 1.8 mm capitals) and the text, cut where even that is too wide.
struct FittedText { std::string text; double size = 0; };
FittedText fitted(std::string_view text, Face face, double cap, double width);

// Text broken into lines no wider than `width`, at blanks; a word wider than that is broken anywhere. At least one line.
std::vector<std::string> wrapped(std::string_view text, Face face, double size, double width);

// A mark: the triangle (side 5.2 mm at scale 1) with its number, centred on `at`.
std::vector<Item> mark_triangle(std::string_view number, Point at, double scale = 1);

}  // namespace tallyboard
