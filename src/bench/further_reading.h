#pragma once

#include "bench/explain.h"

namespace tallyboard::detail {

// The direct voltage, not yet read, whose outcome leaves the fewest suspects on the average when each is as likely as the
// next: what each suspect would show is worked out with the other parts nominal; outcomes nearer than the meter's error and the
// healthy span are one. Nothing where no reading tells any apart.
std::optional<FurtherReading> further_reading(const Circuit& circuit, const Solver& solver,
                                              const std::vector<Explanation>& explanations, When when);

// "BASE reads 3.92 V for the meter's own loading; …", with the cross-check from the other rail.
std::string loading_sentence(const Circuit& circuit, const Reading& reading, double expected, double unloaded);

}  // namespace tallyboard::detail
