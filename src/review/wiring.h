#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "compare/compare.h"

namespace tallyboard::detail {

// Whether a finding is to be carried out.
using Accepts = std::function<bool(const Finding&)>;

// Where one pin of the drawing goes once the accepted findings are carried out.
struct PinAfter {
    PinState state = PinState::undrawn;
    std::string net;       // where traced
    bool changed = false;  // it is written otherwise than now
};

struct NewNet {
    std::string name;
    NetRole role = NetRole::unsaid;
};

// The drawing's nets after the correction.
struct Wiring {
    std::vector<std::vector<PinAfter>> pins;       // drawn part → its pins
    std::vector<std::string> net_names;            // drawn net → what it is called then (a net joined to another: that one's name)
    std::vector<std::string> names_of_found;       // found net → the name a part added there takes
    std::vector<NewNet> new_nets;                  // made by the correction, in the order met
};

// Works out the wiring of the corrected drawing. Every found net has one place in it: the drawn net that it is kept with (that
// net itself, not a further piece of it), else a new net that takes the found one's name, made unique. A terminal whose finding is
// not accepted stays where it is drawn.
Wiring corrected_wiring(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Accepts& accepts);

}  // namespace tallyboard::detail
