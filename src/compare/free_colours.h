#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "compare/pairing.h"
#include "compare/surroundings.h"

namespace tallyboard::detail {

// Colours of the parts that are still free, seen from what is paired: a net on which something is paired is a landmark with a
// colour of its own, the same on both sides, and so are the pieces of a net that is split or joined. So the sections of a ladder
// are told apart by how far they are from its ends, and what a rail is has no doubt.
class FreeColours {
public:
    explicit FreeColours(const Problem& problem);

    // Colours of these parts, in their order: `plain` by number of pins alone. Linear in the parts and their pins.
    void take(const Pairing& pairing, const Surroundings& around, const std::vector<int>& drawn, const std::vector<int>& found, bool plain);

    std::array<std::vector<std::uint64_t>, colour_depths> drawn, found;   // depth -> place in the list given -> colour

    // Blocks of parts that hang together by nets that are no hubs: place in the list -> block.
    std::vector<int> blocks_of(const Side& side, bool on_board, const std::vector<int>& parts);

private:
    void colour(const Pairing& pairing, const Surroundings& around, const std::vector<int>& parts, bool on_board, bool plain);
    std::uint64_t landmark(const Pairing& pairing, bool on_board, int net);

    // Per side: part -> place in the list, net -> place among the nets touched; none outside.
    std::array<std::vector<int>, 2> place_, net_place_;
    std::vector<int> nets_;
    std::vector<std::pair<bool, int>> pieces_;   // nets that hang together by great cells
    std::vector<std::uint64_t> fixed_, now_;
};

}  // namespace tallyboard::detail
