#pragma once

#include <string>

#include "compare/compare.h"

namespace tallyboard {

// The contract's JSON of `compare`: one object, a line break at the end. Keys in the order of the format's page.
std::string comparison_json(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

}  // namespace tallyboard
