#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "values/value.h"

namespace tallyboard::detail {

// A code of digits as printed on parts: 104 is 10 × 10^4 in the quantity's code unit (pF, Ω, µH), third digit 8 ×0.01,
// 9 ×0.1; 4R7; four digits and the EIA-96 code on resistors; a voltage code such as 2A before it on capacitors. `plain` has its
// signs in plain form. The value has no text yet. Nothing: it is no such code. Source: IEC 60062, EIA RS-198, EIA-96.
std::optional<Value> read_digit_code(std::string_view plain, Quantity quantity, const ValueHabits& habits);

// Ohms, farads or henries that the digits of a code count: 10^n, n = 0, -12, -6.
int code_unit_power(Quantity quantity);

}  // namespace tallyboard::detail
