#pragma once

#include <optional>

#include "compare/compare.h"

namespace tallyboard::detail {

// The nominal number of a finding's drawn (found) part; nothing where it is not known or 0. The two may be of different quantities.
std::optional<Decimal> drawn_number(const Circuit& drawing, const Finding& finding);
std::optional<Decimal> found_number(const Circuit& board, const Finding& finding);

// Written one after the other in the file: near each other on the bench, too.
inline bool are_neighbours(PartId one, PartId other) { return one.index + 1 == other.index || other.index + 1 == one.index; }

}  // namespace tallyboard::detail
