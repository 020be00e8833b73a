#pragma once

#include <string>

#include "circuit/circuit.h"

namespace tallyboard {

// The circuit as a file in the house style: about, defaults, nets, own kinds and devices, parts, then setup, bench and continuity. Reading it
// gives the same circuit again, but for the order of nets and for spans. A part's text in other namespaces and comments are
// not in a Circuit and so not written: files that people keep are edited in place (edit.h).
std::string write_circuit(const Circuit& circuit);

// One <kind> element, indented as a child of the root.
std::string write_kind(const Kind& kind);

// "10%", "-20/+80%".
std::string tolerance_text(const Tolerance& tolerance);

// The pins attribute of a part, in the shortest form the format allows; empty where nothing is to be said.
std::string pins_text(const Circuit& circuit, const Part& part);

}  // namespace tallyboard
