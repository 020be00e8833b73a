// Blocks on a page, and the page on paper.
#pragma once

#include <optional>
#include <vector>

#include "draw/compose.h"
#include "draw/furniture.h"
#include "draw/model.h"

namespace tallyboard::detail {

inline constexpr double largest_module = 3.0, smallest_module = 2.0;   // millimetres

// Ways to set rectangles (width, height in units, the main one first) on a page: their top left corners. Shelves below the
// first, or a column beside it; the best shaped page first, at most `most` of them, no two alike.
std::vector<std::vector<Spot>> packings(const std::vector<Spot>& sizes, std::size_t most);

// The largest module at which the boxes find room in the field without touching what is taken; none below the smallest.
std::optional<Scale> fit(const std::vector<Area>& boxes, const Field& field);

}  // namespace tallyboard::detail
