#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "compare/pairing.h"

namespace tallyboard::detail {

// Whether the two circuits are the same: one partition of both sides' parts, sections and nets, refined together until nothing
// tells members of a cell apart; while a cell holds more than one of each side, one of the drawing's is set apart together with
// one of the board's, the one of equal reference or nets where there is one. The mapping found is costed; a cost of 0 proves
// that they agree. Nothing where some cell holds more of one side than of the other. Near-linear.
std::optional<Solution> refine_together(const Problem& problem);

// What parts and terminals look like before their surroundings count; equal looks for what may answer to each other at no cost.
struct ShapeLooks {
    std::uint64_t kind = 0, pins = 0;       // by kind; by number of pins alone
    std::vector<std::uint64_t> terminal;    // exchangeable pins alike
    std::vector<int> section;               // which section of a package a terminal belongs to; none: to the whole
};
std::vector<ShapeLooks> shape_looks(const Problem& problem, const std::vector<Shape>& shapes);

struct Looks {
    std::vector<std::uint64_t> drawing, board;
};
// Of parts: with `values` by kind, value and type number (not what some part of the kind lacks), else by number of pins.
Looks looks_of(const Problem& problem, const std::vector<ShapeLooks>& drawn, const std::vector<ShapeLooks>& found, bool values);
// Of terminals; 0 for a pin that one of the sides never gives.
Looks terminal_looks_of(const Problem& problem, const std::vector<ShapeLooks>& drawn, const std::vector<ShapeLooks>& found);

}  // namespace tallyboard::detail
