#pragma once

#include "circuit/circuit.h"
#include "compare/compare.h"
#include "publish/graph.h"

namespace tallyboard {

// Both circuits as one graph: paired parts and nets as one node each ("R1 = R7"), what only one side has by itself, a line from a part to
// the net each pin is on. What agrees is grey; what only the drawing has is dashed, what only the board has is heavy, and parts
// that a finding names carry its words.
Graph pair_graph(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

// What the strokes mean, a line each.
std::vector<std::string> pair_graph_legend();

}  // namespace tallyboard
