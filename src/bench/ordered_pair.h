#pragma once

#include <cstddef>
#include <utility>

namespace tallyboard::detail {

// Nodes and groups of a tracing are numbers; `none` is not one of them.
inline constexpr std::size_t none = static_cast<std::size_t>(-1);

// The lower number first, so that a pair is the same both ways round.
inline std::pair<std::size_t, std::size_t> ordered(std::size_t a, std::size_t b) { return a < b ? std::pair{a, b} : std::pair{b, a}; }

}  // namespace tallyboard::detail
