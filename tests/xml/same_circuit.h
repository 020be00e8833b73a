#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard::test {

// What a circuit says, one line a thing, without spans, notation's white space and the order of nets: equal for equal circuits.
std::vector<std::string> lines_of(const Circuit& circuit);

}  // namespace tallyboard::test
