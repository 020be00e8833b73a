#pragma once

#include <vector>

#include "compare/mix.h"
#include "compare/pairing.h"
#include "compare/surroundings.h"

namespace tallyboard::detail {

// How one growth differs from another: noise gives other starts for the same faults.
struct GrowHabit {
    int deepest = colour_depths - 1;   // seeds are taken from this depth of colour downwards
    int least = 0;                     // … to this one, before groups are told apart
    int noise = 0;                     // added to scores, 0 … noise - 1
    bool plain = false;                // seeds by colours without kind and value first
    bool names = false;                // begin with parts of equal reference whose kind and value allow it
};

// Pairs what is free of the parts listed: seeds by colours that one part alone has on each side, growth along paired nets by
// how well the terminals agree, then like parts told apart one by one, then what is left by what agrees best. Leaves no two
// parts free that may be paired for less than leaving them over. Near-linear in the parts listed.
void grow(Pairing& pairing, const Surroundings& around, std::vector<int> drawn, std::vector<int> found, const GrowHabit& habit,
          Random& random);

}  // namespace tallyboard::detail
