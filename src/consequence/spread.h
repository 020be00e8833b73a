#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "solve/solve.h"

namespace tallyboard {

struct Band {
    double low = 0, high = 0;
    bool holds(double value) const { return value >= low && value <= high; }
};

// What honest units of one design differ by: the parts anywhere within their tolerance.
struct ProductionSpread {
    bool told = false;
    std::string why_not;
    int samples = 0;                                  // units drawn that came to rest
    std::vector<double> hz;
    std::vector<std::optional<Band>> level;           // dB by frequency: the middle 98 of 100 units
    std::vector<std::optional<Band>> extreme_level;   // each part at its worse end by the sign of its effect there
    std::vector<std::optional<Band>> net_volts;       // by NetId, the middle 98 of 100
    std::vector<std::optional<Band>> supply_amperes;  // in the order of OperatingPoint::supplies
    std::vector<std::vector<std::optional<Band>>> pin_amperes;  // [part][pin]
};

struct SpreadOptions {
    int samples = 500;
    std::uint64_t seed = 1;   // the same units everywhere
    int threads = 0;          // 0: as many as the machine has; the result does not depend on it
};

// Units are drawn with each value evenly within its tolerance and each transistor and valve evenly within what its type spreads by,
// independently. The extremes are of the values alone. Deterministic.
ProductionSpread production_spread(const Circuit& circuit, const Solver& solver, const std::vector<double>& hz,
                                   const SpreadOptions& options = {});

}  // namespace tallyboard
