// The circuit that an annotated sheet shows: the drawing with the parts the board has besides, and with the pins that go
// elsewhere on the board going there.
#pragma once

#include "circuit/circuit.h"
#include "draw/annotations.h"

namespace tallyboard::detail {

// std::logic_error for a part, pin or kind that does not exist: the annotations were made for another drawing.
Circuit united(const Circuit& drawing, const Annotations& annotations);

}  // namespace tallyboard::detail
