// oracle: the least cost of a comparison by trying everything, straight from the format. For circuits of a few parts.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard::test {

// The cost of the cheapest set of findings if it is at most `at_most`, else nothing. Every pairing of parts, every order of
// pins, every composite and every series or parallel group is tried; what a set of pairs asks for its nets is found by trying
// every set of kept pairs of nets. `pairs`: bound by hand.
std::optional<int> least_cost(const Circuit& drawing, const Circuit& board, int at_most,
                              const std::vector<std::pair<std::string, std::string>>& pairs = {});

}  // namespace tallyboard::test
