#pragma once

#include <optional>

#include "compare/compare.h"

namespace tallyboard {

// Whether a drawn net and a found one answer to each other.
bool answers(const Comparison& comparison, NetId drawn, NetId found);

// The drawing's net that answers to one of the board, the first where there are several.
std::optional<NetId> drawn_answer(const Comparison& comparison, NetId found);

}  // namespace tallyboard
