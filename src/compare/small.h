#pragma once

#include <optional>

#include "compare/pairing.h"

namespace tallyboard::detail {

// A problem of few parts settled by trying everything that could be cheaper: composites, partners, orders of pins, by branch
// and bound. `complete`: every case was tried within `steps`, so that nothing cheaper than what is returned (or than `below`,
// where nothing is returned) exists.
struct Settled {
    std::optional<Solution> cheaper;   // the cheapest pairing that costs less than `below`
    bool complete = false;
};
Settled settle_small(const Problem& problem, int below, long long steps);

}  // namespace tallyboard::detail
