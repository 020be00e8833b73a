// Reading a finished sheet back: which pins its geometry joins, and how good it is to follow. The judge of everything drawn:
// it looks at Sheet alone and knows nothing of how the sheet was made.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "draw/draw.h"

namespace tallyboard {

// The nets of the sheets together, each a sorted list of pin names ("R1.a"), sorted: everything that ends at exactly one point
// connects, on the inside of a wire only where a junction stands, and all ties of one name are one net. Pins that stand alone
// are nets of one pin.
std::vector<std::vector<std::string>> nets_read_back(const std::vector<Sheet>& sheets);

// The nets of the circuit in the same form, of the pins that a sheet has to show: traced ones of parts that are fitted, sections
// of a package by the written part's pins. Untraced pins and pins that go nowhere are nets of their own.
std::vector<std::vector<std::string>> nets_to_draw(const Circuit& circuit);

// The first difference in words; empty: the sheets show the circuit's nets, no more, no fewer, and each pin once.
std::string wrong_nets(const Circuit& circuit, const std::vector<Sheet>& sheets);

struct Metrics {
    int symbol_overlaps = 0;       // two symbols' boxes
    int label_overlaps = 0;        // lettering on lettering, a symbol, a tie or a wire
    int tie_overlaps = 0;          // a tie on a symbol, a tie or a foreign wire
    int wires_through = 0;         // a wire through a symbol
    int slanted = 0;               // wires neither level nor upright
    int crossings = 0, bends = 0, four_arms = 0;
    double wire = 0;               // total length in modules
    double width = 0, height = 0;  // of the circuit in modules, the largest sheet's
    double flow = 1;               // share of the steps from device to device that go right
    double page_use = 0;           // of the frame, in the fuller direction, the largest sheet's
    bool faultless() const { return symbol_overlaps + label_overlaps + tie_overlaps + wires_through + slanted == 0; }
};
Metrics measure(const Picture& picture);

}  // namespace tallyboard
