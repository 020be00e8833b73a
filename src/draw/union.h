// The circuit that an annotated sheet shows: the drawing with the parts the board has besides, with the pins that go
// elsewhere on the board going there, and with parts reversed or of another kind as the board has them.
#pragma once

#include "circuit/circuit.h"
#include "draw/annotations.h"

namespace tallyboard::detail {

// std::logic_error for a part, pin or kind that does not exist: the annotations were made for another drawing.
Circuit united(const Circuit& drawing, const Annotations& annotations);

// The annotations with the pins of the parts that stand as found called as the picture calls them.
Annotations with_found_pins(Annotations annotations);

}  // namespace tallyboard::detail
