#pragma once

#include <string>

#include "consequence/effect.h"

namespace tallyboard::detail {

// What a finding may do that the figures do not show: hum and ripple, signal peaks, a capacitor turned about of which the voltage
// is not known. Empty where nothing of the sort is known. `doubtful`: it may well matter, so that "nothing" would claim too much.
struct Untold { std::string says; bool doubtful = false; };
Untold untold_of(const CarriedOut& change, const Circuit& board, const Finding& finding);

// Where a mistake can hurt whatever the circuit does: mains, protective earth, fuses, capacitors made for there. Empty elsewhere.
std::string safety_words(const Circuit& drawing, const Circuit& board, const Finding& finding);

}  // namespace tallyboard::detail
