#pragma once

#include <vector>

#include "solve/network.h"

namespace tallyboard::detail {

// What the shape of a network alone says, at rest (capacitors open) or at some frequency.
struct Structure {
    // Nets that nothing conductive joins to the reference float in groups. One node of each group is tied to the reference so that
    // the equations have an answer; no current flows in the tie.
    std::vector<int> ties;
    std::vector<int> group;      // per unknown: number of the floating group it belongs to; -1: held
    // What does not depend on a part without a model, nor on how a floating group happens to stand.
    std::vector<char> told;
    // Whether the difference of two nodes' voltages (-1: the reference) can be told: both told, or both of one floating
    // group that nothing unknown drives.
    bool tells_difference(int a, int b) const;
    bool tells(int unknown) const { return unknown < 0 || (told[unknown] && group[unknown] < 0); }
};

// Dependence is that of the equations' pattern: an unknown current into a net changes the unknown that the net's equation settles,
// and through it all that stand in equations with it (reachability in the matrix's block triangular form; A. Dulmage and
// N. Mendelsohn, Canad. J. Math. 10, 1958). Near-linear; the matching is sought only where something is hidden.
Structure structure_of(const Network& network, bool at_rest);

}  // namespace tallyboard::detail
