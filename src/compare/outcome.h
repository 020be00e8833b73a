#pragma once

#include <string>
#include <utility>
#include <vector>

#include "compare/pairing.h"

namespace tallyboard::detail {

// Terminals of paired parts that go from one drawn net to one found net and are kept together.
struct KeptCell {
    int drawn = 0, found = 0;                      // nets, as composites name them
    std::vector<std::pair<int, int>> terminals;    // drawn and found terminal, in natural order of the drawn pin's name
};

// A pairing read as findings need it: what is kept, what is moved, which piece of a net is the net itself.
struct Outcome {
    const Problem& problem;
    Pairing pairing;
    std::vector<KeptCell> kept;                    // in natural order of the first drawn pin
    std::vector<int> cell_of;                      // drawn terminal -> its kept cell; none: moved, or it has no partner
    std::vector<int> terminal_to;                  // drawn terminal -> found terminal; none: it has none
    std::vector<int> main_of_drawn, main_of_found; // net -> the kept cell that is the net itself; none: nothing is kept of it
};

// Chooses what to keep: least cost exactly; of equal cost pairs of nets of equal name, then the natural order of the drawn pins.
Outcome make_outcome(const Problem& problem, const Solution& solution);

// What a part, a terminal, a net is called in its own file: a reference or a package's name; REF.PIN (the package's name for a
// pin that several sections share); a name, or the first pin of a net without one, or "-".
std::string part_text(const Side& side, int part);
std::string terminal_text(const Side& side, int terminal);
std::string net_text(const Side& side, int net);

}  // namespace tallyboard::detail
