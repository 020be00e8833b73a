// Free space on a sheet: what is taken, where a box still fits, and how a line gets from one net to another round everything.
#pragma once

#include <optional>
#include <vector>

#include "draw/sheet.h"

namespace tallyboard::detail {

class FreeSpace {
public:
    // All lengths in millimetres; `module`: the grid on which lines run, through `origin`.
    FreeSpace(const Sheet& sheet, const Box& frame, const std::vector<Box>& taken, Point origin, double module);

    void take(const Box& box) { boxes_.push_back(box); }
    bool is_free(const Box& box) const;
    // The centre nearest to `near` (but outside `not_over`, if given) at which a box of that size is free.
    std::optional<Point> room(Point near, double width, double height, double reach) const;
    // A line on the grid from one of `from` to one of `to` that crosses wires but runs along none, and touches no box but at
    // its ends; empty: there is none.
    std::vector<Point> way(const std::vector<Point>& from, const std::vector<Point>& to) const;

private:
    Box frame_;
    Point origin_;
    double module_;
    std::vector<Box> boxes_;               // symbols, ties, lettering, furniture, marks
    std::vector<std::pair<Point, Point>> wires_;
};

}  // namespace tallyboard::detail
