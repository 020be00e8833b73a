#pragma once

#include <vector>

#include "draw/layout.h"

namespace tallyboard::detail {

// Into `row` goes the item and all that is joined to it by straight wires: level ones, or upright ones. False where the row would take in
// item `but` or a fixed one, or more than `most` items.
bool straight_row(const Layout& layout, int item, bool level, int but, std::size_t most, std::vector<int>& row);

}  // namespace tallyboard::detail
