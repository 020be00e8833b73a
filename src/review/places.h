#pragma once

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "review/wiring.h"
#include "xml/edit.h"

namespace tallyboard::detail {

// What setup, bench and continuity of the drawing must be told of the correction.
struct PartsAfter {
    std::set<std::uint32_t> removed;                          // drawn parts
    std::set<std::uint32_t> other_kind;                       // drawn parts that take another kind
    std::vector<std::vector<std::string>> pin_names;          // drawn part → its pins' names afterwards
};

// Edits that keep every place named in <setup>, <bench> and <continuity> valid: pins of parts taken out become the nets they
// stood on, joined nets take the name that stays, what cannot be said any more is taken out, nets named but drawn nowhere are
// declared.
std::vector<Edit> place_edits(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring);

// <net> elements: those of names that vanish are taken out, new nets with a role are declared. `named`: nets that a place names.
std::vector<Edit> net_edits(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring);

}  // namespace tallyboard::detail
