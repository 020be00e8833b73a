#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "values/value.h"

namespace tallyboard::detail {

// The tolerance a letter stands for (IEC 60062, EIA P). `farads`: of a capacitor; below 10 pF the letters B to G are absolute.
std::optional<Tolerance> tolerance_letter(char letter, std::optional<double> farads);

// A tolerance in per cent in a plain form from `at` on ("10%", "+/-5 %", "-20/+80%"); moves `at` behind it.
std::optional<Tolerance> take_percent_tolerance(std::string_view plain, std::size_t& at);

}  // namespace tallyboard::detail
