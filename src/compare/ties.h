#pragma once

#include "compare/search.h"

namespace tallyboard::detail {

// Of answers that cost the same, the one that pairs more parts of equal reference, then more nets of equal name, then keeps to the
// order of the files: by exchanges of parts and of whole blocks that cost nothing. Counted: of very large circuits few are tried.
void settle_ties(const Problem& problem, const Surroundings& around, Solution& solution);

}  // namespace tallyboard::detail
