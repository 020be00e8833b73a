// A page in grid units becomes a sheet in millimetres.
#pragma once

#include "draw/page.h"
#include "draw/sheet.h"

namespace tallyboard::detail {

// Where grid unit (0, 0) stands on the paper, and how long a unit is.
struct Scale {
    double module = 2.5;
    Point origin;
    Point operator()(Spot spot) const { return {origin.x + module * spot.x, origin.y + module * spot.y}; }
    Box operator()(const Area& area) const {
        const double m = module / sub;
        return {origin.x + m * area.x0, origin.y + m * area.y0, m * (area.x1 - area.x0), m * (area.y1 - area.y0)};
    }
};

// Adds the page's parts, ties, wires, junctions and lettering to the sheet.
void compose(const Model& model, const Page& page, const std::vector<Place>& places, const Scale& scale, Sheet& sheet);

}  // namespace tallyboard::detail
