#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "compare/refine.h"

namespace tallyboard::detail {

constexpr int colour_depths = 7;      // 0: the part alone … 6: six steps of surroundings
constexpr int hub_degree = 6;         // nets with more terminals change with nearly every edit: no colour crosses them
constexpr int walk_degree = 40;       // growth does not walk over nets with more terminals

// What the search knows of a problem beyond its arrays: how alike the surroundings of parts are. It only suggests.
struct Surroundings {
    std::array<std::vector<std::uint64_t>, colour_depths> drawn, found;   // depth -> part -> colour
    std::array<std::vector<std::uint64_t>, colour_depths> drawn_plain, found_plain;  // by number of pins, not by kind and value
    std::array<std::vector<std::uint64_t>, colour_depths> drawn_nets, found_nets;   // depth -> net -> colour; none at depth 0
    std::vector<std::uint64_t> drawn_terminals, found_terminals;       // terminal -> its look; 0: one side never gives that pin
    std::vector<std::uint64_t> drawn_hubs, found_hubs;                 // net -> its fixed colour; 0: no hub
    std::vector<std::size_t> common;   // drawn part -> how many drawn parts look like it, with one step of surroundings
    std::vector<int> drawn_namesake;   // drawn part -> found part of equal reference, none
    std::vector<int> net_namesake;     // drawn net -> found net of equal name, none

    // Whether two thirds of the parts of equal reference are of equal kind and value: then the board has kept the drawing's references.
    bool references_kept() const;

    // To how many steps the surroundings of p and q look alike; -1: not even the parts.
    int likeness(int p, int q) const;
    // Likewise of two nets: 0 where nothing is alike, colour_depths - 1 at most.
    int net_likeness(int drawn_net, int found_net) const;
};

Surroundings look_around(const Problem& problem);

}  // namespace tallyboard::detail
