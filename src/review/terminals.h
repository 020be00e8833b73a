#pragma once

#include <optional>
#include <string>
#include <vector>

#include "compare/compare.h"

namespace tallyboard::detail {

// A drawn pin and where its counterpart on the board goes.
struct PairedTerminal {
    PinId drawn;
    PinState state = PinState::untraced;  // of the counterpart
    NetId found;                          // where traced
};
// Every drawn pin that has a counterpart: pins of paired parts, and the ends of parts that are equivalent to several.
std::vector<PairedTerminal> paired_terminals(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

// Pins of one package that are one pin of the whole (the supply of both op-amps): they go together.
std::vector<std::vector<PinId>> shared_pins(const Circuit& circuit);

// For a part or package found turned about: what is drawn at `from` belongs at `to`; without `to`: at a pin not traced yet.
struct TurnedPin { PinId from; std::optional<PinId> to; };
std::vector<TurnedPin> turned_pins(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                                                 const Finding& reversed);

// The two nets on which a part's traced pins stand, if there are exactly two.
std::optional<std::pair<NetId, NetId>> nets_across(const Part& part);

}  // namespace tallyboard::detail
