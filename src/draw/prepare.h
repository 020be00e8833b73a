// From a circuit to what is placed: sections, rails, blocks, ties, levels along the signal, potentials, orientations, wishes.
#pragma once

#include <string_view>

#include "draw/draw.h"
#include "draw/model.h"

namespace tallyboard::detail {

// A line of a part's lettering that is corrected: `line` 1 is the value, 2 the kind in words. Room is kept for both texts.
struct Correction { std::string ref; int line = 1; std::string drawn, found; };

Model prepare(const Circuit& circuit, std::string_view habit, const std::vector<Correction>& corrections = {});

// Makes every pin of the net end in a tie of its own, on all sheets.
void cut_net(Model& model, int net);

// Groups of pins joined by wires, levels, orientations and wishes, anew: after ties have been added or taken away.
void rebuild(Model& model, const Circuit& circuit);

// ---- steps of prepare, for tests and for one another ----

// Which nets are rails and what their ties look like.
void find_rails(Model& model, const Circuit& circuit);
// Blocks (items joined by signal nets) and which pins are tied; then groups_of.
void find_blocks(Model& model, const Circuit& circuit);
void make_groups(Model& model);
// Levels along the signal and potentials of nets; levels of items.
void find_levels(Model& model, const Circuit& circuit);
void find_potentials(Model& model, const Circuit& circuit);
// Allowed orientations with their costs.
void find_standpoints(Model& model, const Circuit& circuit);
void find_wishes(Model& model, const Circuit& circuit);

}  // namespace tallyboard::detail
