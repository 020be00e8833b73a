#pragma once

#include <optional>

#include "consequence/effect.h"

namespace tallyboard::detail {

// Volts by which a polarised capacitor's minus stands above its plus at rest; negative where it stands right. Nothing where it is
// no such capacitor, is not fitted, or a voltage is not told.
std::optional<double> reverse_volts(const Circuit& circuit, const OperatingPoint& point, const Part& part);

// What becomes of polarised capacitors: those that come to stand the wrong way round, and those that stood so as drawn and now
// stand right. Sentences go to `ratings`; the worst grade comes back.
Grade put_polarity(const CarriedOut& change, Consequence& out);

}  // namespace tallyboard::detail
