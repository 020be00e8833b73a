// Rough routes for placing: what a net's wires would cost about, with everything that stands in their way, in a microsecond
// or so. Costs are kept as running sums on a grid, so that a route is judged by adding up the nodes it passes; what two nets
// (or a net and a symbol) cost each other is the same from either side, so moves can be judged by differences.
#pragma once

#include <array>
#include <vector>

#include "draw/grid_units.h"

namespace tallyboard::detail {

// A straight piece; x0 <= x1, y0 <= y1.
struct Segment { short x0 = 0, y0 = 0, x1 = 0, y1 = 0; };

struct RoughRoute {
    static constexpr int most = 24;
    std::array<Segment, most> segments;
    int count = 0;
    int own = 0;                       // length, bends, pins left the wrong way: sixteenths
    void clear() { count = 0; own = 0; }
    void add(int xa, int ya, int xb, int yb) {
        if ((xa == xb && ya == yb) || count == most) return;
        segments[count++] = {static_cast<short>(std::min(xa, xb)), static_cast<short>(std::min(ya, yb)),
                             static_cast<short>(std::max(xa, xb)), static_cast<short>(std::max(ya, yb))};
    }
};

struct RoughPin { int x = 0, y = 0; Way way = Way::right; };

class WireField {
public:
    static constexpr int unit = sub, bend = 5 * sub, arms = 8 * sub, crossing = 13 * sub, clash = 31 * sub, overlap = 20 * sub;
    static constexpr int through_symbol = 22 * sub, through_label = 5 * sub;

    WireField(int width, int height);
    int width() const { return width_; }
    int height() const { return height_; }

    // Adds (sign 1) or takes away (-1) a net's route and pins.
    void mark(const RoughRoute& route, const std::vector<RoughPin>& pins, int sign);
    // What the route costs against all that is marked.
    int conflicts(const RoughRoute& route, int limit) const;
    // What the net's pins cost against all that is marked.
    int pin_conflicts(const std::vector<RoughPin>& pins) const;
    // Adds or takes away nodes that wires avoid; what they cost against the wires marked.
    void mark_nodes(const std::vector<Spot>& nodes, Spot at, int weight, int sign);
    int node_conflicts(const std::vector<Spot>& nodes, Spot at, int weight) const;

    // The cheapest of the usual routes for these pins against what is marked.
    void best_route(const std::vector<RoughPin>& pins, RoughRoute& best) const;

private:
    bool inside(const RoughRoute& route) const;
    void route_two(const RoughPin& a, const RoughPin& b, RoughRoute& best) const;
    void route_many(const std::vector<RoughPin>& pins, RoughRoute& best) const;
    void mark_end(int x, int y, int sign);

    int width_, height_;
    // By row (y * width + x): passing a node along the row with the edge after it; that edge alone; ending at a node; wires.
    std::vector<int> row_, row_edge_, end_, wires_;
    // By column (x * height + y).
    std::vector<int> column_, column_edge_;
};

}  // namespace tallyboard::detail
