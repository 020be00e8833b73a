// Routing one sheet: every wire group drawn as orthogonal wires on whole grid units, by a maze router with rip-up.
#pragma once

#include <vector>

#include "draw/model.h"

namespace tallyboard::detail {

// A connection to be made: pins of one net with the ways they leave.
struct RouteNet { int net = 0; std::vector<PinSite> pins; };

// What stands in the way. Areas in sixteenths; hard ones are never entered, soft ones at a price.
struct Obstacles {
    std::vector<Spot> hard;            // nodes
    std::vector<Spot> beside, lettering;  // nodes beside bodies; nodes under lettering in its preferred place
    std::vector<std::pair<Spot, int>> pins;  // pins of nets (index in the list of nets): closed to all others
};

// The wires of one net: unit edges as (node, right or down), sorted.
struct Edge {
    Spot at;
    bool down = false;
    friend auto operator<=>(const Edge& a, const Edge& b) {
        if (auto c = a.at.y <=> b.at.y; c != 0) return c;
        if (auto c = a.at.x <=> b.at.x; c != 0) return c;
        return a.down <=> b.down;
    }
    friend bool operator==(const Edge&, const Edge&) = default;
};
struct Routed {
    std::vector<std::vector<Edge>> wires;   // by net
    std::vector<int> failed;                // nets that found no way, ascending
};

Routed route(const std::vector<RouteNet>& nets, const Obstacles& obstacles);

// A net's edges as polylines broken at its pins and branches, and the nodes where a junction stands (wires and pins together
// three or more).
struct Drawn { std::vector<std::vector<Spot>> lines; std::vector<Spot> junctions; };
Drawn polylines(const std::vector<Edge>& edges, const std::vector<Spot>& pins);

}  // namespace tallyboard::detail
