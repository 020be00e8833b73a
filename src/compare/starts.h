#pragma once

#include "compare/search.h"

namespace tallyboard::detail {

// How much searching may be done: rounds are scaled by `effort`; starts run on `threads` threads, 0: as many as the machine has.
// The answer does not depend on their number.
struct SearchBudget {
    double effort = 1;
    int threads = 0;
    int rounds(int usual) const;
};

// A first answer: grown, and once more from kept references where the board has them, then some rounds of ruin and rebuild, the
// more the dearer it is. `known`: another answer to begin with, empty partners where there is none.
Solution quick_answer(const Problem& problem, const Surroundings& around, const Solution& known, const SearchBudget& budget);

// A first answer for a problem that differs from another only in parts that stand together, from the other's answer.
Solution answer_alike(const Problem& problem, const Surroundings& around, const Problem& other, const Solution& other_answer,
                      const SearchBudget& budget);

// Goes on from `best` in several short searches, from it and from other starts: of the cheapest the one of the first start.
Solution thorough_answer(const Problem& problem, const Surroundings& around, const Solution& best, const SearchBudget& budget);

}  // namespace tallyboard::detail
