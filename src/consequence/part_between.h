#pragma once

#include <initializer_list>
#include <string>
#include <utility>

#include "circuit/circuit.h"

namespace tallyboard::detail {

// A part that a computation puts into its copy of a circuit: its pins by name, each traced to a net. The nets do not list it.
Part part_between(KindId kind, std::string ref, std::initializer_list<std::pair<const char*, NetId>> pins);

}  // namespace tallyboard::detail
