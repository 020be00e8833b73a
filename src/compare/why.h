#pragma once

#include <string>
#include <vector>

#include "compare/compare.h"

namespace tallyboard {

// What a partner for a part would cost: the least findings found when the two are bound together.
struct Alternative {
    std::string board;            // the board's part
    int cost = 0;                 // of the whole comparison, bound so
    bool proved = false;
};

// Why a part is paired as it is.
struct Why {
    std::string drawing, board;   // the pair; `board` empty: the part is left over
    std::vector<std::string> speaks_for;      // pins that go along, a value that agrees, an equal reference
    std::vector<std::string> speaks_against;  // the findings at the pair
    int cost = 0;                 // of the comparison as it is
    std::vector<Alternative> alternatives;    // cheapest first
    std::string says;             // the whole as a few sentences
};

// What speaks for the partner of the drawn part `ref` (a reference or a package name), and what the next best partners would
// cost: each is bound in turn and compared anew. CommandError where the drawing has no such part that is paired.
Why why(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::string& ref,
        const CompareOptions& options = {});

}  // namespace tallyboard
