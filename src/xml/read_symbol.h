#pragma once

#include "circuit/diagnoses.h"
#include "circuit/kind.h"
#include "xml/document.h"

namespace tallyboard {

// A <symbol> with geometry of its own.
Symbol read_symbol(const Element& element, const Kind& kind, Diagnoses& diagnoses);
// Takes over the symbols that <symbol like="KIND"/> of a <kind> names; its pins answer by name where all names agree, else in order.
// True if any was taken.
bool copy_symbols(const Element& kind_element, Kind& kind, const KindTable& kinds, Diagnoses& diagnoses);

}  // namespace tallyboard
