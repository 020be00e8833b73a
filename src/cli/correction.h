#pragma once

#include <optional>
#include <set>
#include <string>

#include "cli/files.h"
#include "compare/compare.h"

namespace tallyboard {

// The ids that a review accepts; nothing without a review: all that cost.
std::optional<std::set<std::string>> accepted_of(const std::optional<LoadedReview>& review);

// Who signs a correction: the settings, else the last who decided in the review, else the board's own.
std::string signer(const Circuit& board, const std::optional<LoadedReview>& review, const Settings& settings);

// Whether anything of the comparison enters the corrected drawing.
bool is_corrected(const Comparison& comparison, const std::optional<LoadedReview>& review);

// The corrected drawing's text, its <revision> dated and signed from the settings, the review or the files.
std::string corrected_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                           const std::optional<LoadedReview>& review, const Settings& settings);

}  // namespace tallyboard
