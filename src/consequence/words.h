#pragma once

#include <string>

#include "consequence/consequence.h"

namespace tallyboard::detail {

// "bass 2.1 dB thinner at 40 Hz; outside production spread": what is heard first, then what is measured, then the judgement, then
// ratings and what no figure shows. `heard_at`: the load's net.
std::string words_of(const Consequence& consequence, bool equaliser, const std::string& heard_at);
// The corner as the part's value makes it, where it does: "1/(2π·R·C) with R = 480 kΩ: 15.1 Hz, drawn 3.3 Hz"; else empty.
std::string formula_of(const Finding& finding, const Circuit& drawing, const Circuit& board, const Corners& drawn,
                       const Corners& found);

}  // namespace tallyboard::detail
