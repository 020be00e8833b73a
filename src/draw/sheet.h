// draw: from a circuit without coordinates to sheets: placing, routing, lettering, page furniture and marks. Yields a display
// list in millimetres; knows no file format and no findings (it is given marks).
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lettering/lettering.h"

namespace tallyboard {

// Millimetres on the sheet, y down, origin at the paper's top left corner.
struct Point { double x = 0, y = 0; friend bool operator==(const Point&, const Point&) = default; };
struct Box { double x = 0, y = 0, w = 0, h = 0; friend bool operator==(const Box&, const Box&) = default; };

// What a stroke or text means; a writer chooses the colour. removed and added are told apart by form too (dashed or struck,
// heavy), so that a grey print stays plain.
enum class Ink { normal, removed, added, note, faint, paper };
enum class Dash { solid, dashed, dash_dot };
struct Pen { double width = 0.3; Ink ink = Ink::normal; Dash dash = Dash::solid; };

struct Line { std::vector<Point> points; Pen pen; bool closed = false; std::optional<Ink> fill; };
struct Circle { Point centre; double radius = 0; Pen pen; std::optional<Ink> fill; };
struct Arc { Point centre; double radius = 0, from = 0, to = 0; Pen pen; };   // degrees anticlockwise from +x as seen
enum class Align { left, centre, right };
struct Text {
    Point at;                  // on the baseline
    std::string text;
    double size = 3.5;         // em size
    Face face = Face::sheet;
    Ink ink = Ink::normal;
    Align align = Align::left;
    bool heavy = false;        // filled and stroked
    bool halo = false;         // white rim, over a scan
    std::string link;          // empty, or the name of an anchor elsewhere in the document
};
using Item = std::variant<Line, Circle, Arc, Text>;

struct PinSpot { std::string name; Point at; };           // "R1.a"
// A part's or section's symbol: `ref` is the file's reference, `label` the printed one (IC1A).
struct PartFigure { std::string ref, kind; Box box; std::vector<PinSpot> pins; std::vector<Item> items; std::string label; };
// A connection to elsewhere: ground, supply, a named net.
struct TieFigure { std::string net; Box box; Point pin; std::vector<Item> items; };
struct Wire { std::vector<Point> points; Pen pen; };      // segments horizontal or vertical
struct Junction { Point at; double radius = 0.5; Ink ink = Ink::normal; };
struct Label { Text text; Box box; bool struck = false; };
// A place that can be linked to and that outlines name.
struct Anchor { std::string name; Point at; };
// A clickable area that goes to the anchor named.
struct Link { Box box; std::string to; };

struct Sheet {
    double width = 297, height = 210;    // paper
    std::string title;                   // for outlines
    std::vector<PartFigure> parts;
    std::vector<TieFigure> ties;
    std::vector<Wire> wires;
    std::vector<Junction> junctions;
    std::vector<Label> labels;
    std::vector<Item> furniture;         // frame, zones, title block, revision block, legend, cautions
    std::vector<Item> marks;             // numbered marks, clouds, crosses, old connections
    std::vector<Anchor> anchors;
    std::vector<Link> links;
};

}  // namespace tallyboard
