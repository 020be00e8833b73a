#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace tallyboard {

// Numbers to and from text, never through a locale: std::to_chars and std::from_chars.

// Shortest text that reads back as the same double, exponent form only where it is shorter. `nan` and `inf` are a mistake of
// the caller's: std::logic_error.
std::string shortest_text(double number);
// At most `digits` significant digits, trailing zeros dropped, never exponent form: 0.00047, 1200000.
std::string rounded_text(double number, int digits);
// Exactly `places` digits behind the point ("-0.0" is written "0.0").
std::string fixed_text(double number, int places);

// The whole text as a number with a decimal point, optional sign and exponent; nothing else about it; finite.
std::optional<double> read_double(std::string_view text);
std::optional<long long> read_integer(std::string_view text);

}  // namespace tallyboard
