#pragma once

#include <vector>

#include "solve/equations.h"

namespace tallyboard::detail {

// Levels and phases of the load against the source's EMF, in small signal around `rest`, at the frequencies the points hold.
// Empty ones where the load's voltage cannot be told, or is nothing at all (a cut path has no decibels).
void put_response(Equations& equations, const Rest& rest, std::vector<ResponsePoint>& points);

}  // namespace tallyboard::detail
