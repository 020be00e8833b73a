#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "solve/solve.h"

namespace tallyboard::detail {

// One way one part may be at fault. Adjustable ones are tried between `low` and `high` (SI), by ratio.
struct Suspect {
    PartId part;
    Taken how = Taken::open;
    std::optional<std::pair<std::uint32_t, std::uint32_t>> pins;
    bool adjustable = false;
    double low = 0, high = 0;
};

// The ways in which each part may be at fault, by its kind: what opens, what goes short (each pair of a device's pins), what
// leaks, what drifts. In file order of the parts. Parts without a model, links, jacks and terminals are none.
std::vector<Suspect> suspects_of(const Circuit& circuit, const Solver& solver);

}  // namespace tallyboard::detail
