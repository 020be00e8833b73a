#pragma once

#include <vector>

#include "circuit/circuit.h"
#include "circuit/diagnoses.h"

namespace tallyboard {

// Carries the continuity tests of `circuit` out on its pins: pins joined by `yes` come to one net, a `?` pin to its partner's; pins
// that no one has named get a net without a name. Tells two named nets joined, a `-` joined and a `no` within one net as errors
// that name both places. Net::pins is not looked at and not filled.
void carry_out_continuity(Circuit& circuit, Diagnoses& diagnoses);

}  // namespace tallyboard
