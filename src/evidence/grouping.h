#pragma once

#include <vector>

#include "evidence/evidence.h"

namespace tallyboard::detail {

// Findings of one cause: the same change in several parts, pins that move together, kind and value of one part, parts replaced at
// one time, round values found at the nearest of the series. A finding stands in one group at most.
std::vector<CauseGroup> group_by_cause(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                                       const std::vector<Assessment>& assessments);

}  // namespace tallyboard::detail
