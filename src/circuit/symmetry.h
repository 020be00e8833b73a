#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

// Every order of a part's pins that changes nothing, the identity first: order[i] is the pin that takes the place of pin i.
// Generated from the kind's exchanges and sections (all windings turned at once for a transformer). `pins`: how many pins the
// part has (open kinds), with their names.
std::vector<std::vector<std::uint32_t>> allowed_orders(const KindTable& kinds, KindId kind,
                                                       const std::vector<std::string>& pin_names);

}  // namespace tallyboard
