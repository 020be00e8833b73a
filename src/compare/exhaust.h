#pragma once

#include "compare/pairing.h"

namespace tallyboard::detail {

// Whether a problem is small enough for exhaust() to get anywhere.
bool is_tiny(const Problem& problem);

// For circuits of a few parts: tries pairings one by one, every partner and every order of pins, with up to two composites,
// leaving off where the cost so far is not below the best. Counted: at most `trials` pairs are tried, so the answer proves nothing.
Solution exhaust(const Problem& problem, const Solution& best, int trials);

}  // namespace tallyboard::detail
