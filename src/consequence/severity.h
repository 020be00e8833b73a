#pragma once

#include <span>
#include <string_view>

namespace tallyboard {

// How much a change matters, smallest first. `unknown` is no size: it could not be worked out.
enum class Grade { nothing, slight, audible, major, unknown };
std::string_view grade_word(Grade grade);  // "nothing", "slight", "audible", "major", "not known"

// What is judged. The sizes: decibels for levels, shares (0.08 is 8 %) for the rest; a dissipation or a capacitor's voltage as a
// share of its rating; a polarised capacitor's reverse voltage in volts.
enum class Judged { level, left_against_right, equaliser, direct_voltage, current, dissipation, capacitor_voltage, reverse_voltage };

// From which size on a change is slight, audible (or visible), major; a huge figure where there is no such step.
struct Thresholds {
    Judged judged;
    double slight, audible, major;
    std::string_view reason;   // the source of the figures
};
std::span<const Thresholds> thresholds();
Grade grade_of(Judged judged, double size);

}  // namespace tallyboard
