#pragma once

#include <vector>

#include "compare/pairing.h"

namespace tallyboard::detail {

// A region: some parts of both sides with the nets they stand on, numbered anew, that the proof looks at by itself. What lies
// outside is known only by what a part of the region would pay at least for a partner there.
struct RegionSide {
    const Side* side = nullptr;
    std::vector<int> parts;             // part of the region -> part of the side, rising
    std::vector<int> first;             // part -> its first terminal; one more at the end
    std::vector<int> net, part;         // terminal -> net, part
    int nets = 0;
    std::vector<char> open;             // net -> terminals from outside stand on it too
    std::vector<std::vector<int>> on;   // net -> its terminals
    bool whole = true;                  // nothing lies outside

    int terminals() const { return static_cast<int>(net.size()); }
    int count() const { return static_cast<int>(parts.size()); }
};

// How a part might be paired outside: the maps to a shape found there, and the least that such a pair costs by itself.
struct Outsider { const PinMaps* maps = nullptr; int base = 0; };

struct Candidate { int p = 0, q = 0, base = 0; const PinMaps* maps = nullptr; };

struct Region {
    RegionSide drawing, board;
    std::vector<Candidate> candidates;                       // by drawn part, then found part
    std::vector<std::vector<Outsider>> drawn_out, found_out; // part -> what might be its partner outside
};

// The parts within reach of the differences in `pairing`, nearest first, up to `most` a side; partners stand together.
Region region_near_differences(const Problem& problem, const Solution& pairing, int most);

// Everything.
Region whole_region(const Problem& problem);

}  // namespace tallyboard::detail
