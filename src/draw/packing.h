// Blocks on a page, and the page on paper.
#pragma once

#include <optional>
#include <vector>

#include "draw/compose.h"
#include "draw/furniture.h"
#include "draw/model.h"

namespace tallyboard::detail {

inline constexpr double largest_module = 3.0, smallest_module = 2.0;   // millimetres

// Where each rectangle (width, height in units, the main one first) goes: its top left corner. Shelves below the first, or a
// column beside it, whichever makes the better page.
std::vector<Spot> pack(const std::vector<Spot>& sizes);

// The largest module at which the boxes find room in the field without touching what is taken; none below the smallest.
std::optional<Scale> fit(const std::vector<Area>& boxes, const Field& field);

}  // namespace tallyboard::detail
