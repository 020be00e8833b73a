#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"
#include "review/wiring.h"
#include "xml/edit.h"

namespace tallyboard::detail {

// The net as a pins attribute writes it: a name, "-" or "?".
std::string written_net(const PinAfter& pin);

// Edits that bring a part's pins attribute to `after`: item by item where it can stay as it is, else as PIN=NET throughout.
std::vector<Edit> pin_edits(const Circuit& drawing, const Part& part, const std::vector<PinAfter>& after);

// The pins attribute's text in full as PIN=NET, under the names given; pins not drawn are left out.
std::string pins_text(const std::vector<std::string>& names, const std::vector<PinAfter>& after);

// How a found value is written on the drawing: in the board's words where they mean the same number there, else as the trade
// writes the number; the drawn rating and tolerance stay where the board's text has none. `kind`: of the part as corrected.
std::string value_text_for(const Circuit& drawing, const Kind& kind, const Value* drawn, const Part& found);

// Whether a value's text can stand on a part of that kind and means the number given.
bool reads_as(const Circuit& drawing, const Kind& kind, const std::string& text, const Decimal& number);

// A part of the board as an element of the drawing: value, type number, tolerance, law and windings as found; nothing of the
// specimen's own.
struct NewPart {
    std::string ref, package;
    std::string on;                               // the board of several
    std::vector<std::string> nets;                // a net a pin of the found part; "?" untraced, "-" nowhere
};
std::string part_element(const Circuit& drawing, const Circuit& board, const Part& found, const NewPart& as);

}  // namespace tallyboard::detail
