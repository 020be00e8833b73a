#pragma once

#include <string_view>

namespace tallyboard {

// What a number is a measure of. `ratio` is turns p:s, kept as p/s.
enum class Quantity { none, resistance, capacitance, inductance, voltage, current, frequency, power, ratio };

// Symbol of the SI unit: "Ω", "F", "H", "V", "A", "Hz", "W"; empty for none and ratio.
std::string_view unit_symbol(Quantity quantity);
// The name used in kinds files ("resistance"); none for an unknown name gives nothing.
std::string_view quantity_name(Quantity quantity);

}  // namespace tallyboard
