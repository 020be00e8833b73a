#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

// More orders than any real part has (seven pins in any order: 5040); kinds with more are refused when they are read.
constexpr std::size_t most_pin_orders = 5040;

// Every order of a part's pins that changes nothing, the identity first: order[i] is the pin that takes the place of pin i.
// Generated from the kind's exchanges and sections (all windings turned at once for a transformer). `pins`: how many pins the
// part has (open kinds), with their names. At most most_pin_orders.
std::vector<std::vector<std::uint32_t>> allowed_orders(const KindTable& kinds, KindId kind,
                                                       const std::vector<std::string>& pin_names);

}  // namespace tallyboard
