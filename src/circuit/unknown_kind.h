#pragma once

#include <string>
#include <string_view>

#include "circuit/diagnoses.h"
#include "circuit/kind.h"

namespace tallyboard {

// `unknown kind "resistr"; did you mean "resistor"?`, for an error at `offset`; of what the trade calls several kinds, or a kind by another
// word, which to write: `unknown kind "transistor"; write npn or pnp`.
std::string unknown_kind(const Diagnoses& diagnoses, std::size_t offset, std::string_view word, const KindTable& kinds);

}  // namespace tallyboard
