#pragma once

#include <vector>

#include "solve/equations.h"

namespace tallyboard::detail {

// Whether the load's voltage can be told at all, as far as the pattern of the equations says.
bool may_have_response(Equations& equations);
// Levels and phases of the load against the source's EMF, in small signal around `rest`, at the frequencies the points hold.
// Empty ones where the load's voltage cannot be told, or is nothing at all (a cut path has no decibels).
void put_response(Equations& equations, const Rest& rest, std::vector<ResponsePoint>& points);

}  // namespace tallyboard::detail
