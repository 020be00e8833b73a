// equal_graphs: two equal circuits as coloured graphs, and the time that well-known programs for such graphs take over them.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard::test {

struct ColouredGraph {
    std::vector<unsigned> colour;                        // of each vertex
    std::vector<std::pair<unsigned, unsigned>> edges;    // simple: no loops, none twice
};

// Vertices for sections, packages and nets, and between a section and its nets one for each pin of a kind with unlike pins. The
// colour holds kind, value and type number, the same for both circuits.
std::pair<ColouredGraph, ColouredGraph> coloured_graphs(const Circuit& a, const Circuit& b);

// Canonical forms of both compared: processor seconds, and whether they are equal. Nothing where the library was not there when
// this was built.
struct Verdict { double seconds = 0; bool equal = false; };
std::optional<Verdict> bliss_says(const ColouredGraph& a, const ColouredGraph& b);
std::optional<Verdict> nauty_says(const ColouredGraph& a, const ColouredGraph& b);

// Processor time of this process so far, all threads, seconds.
double processor_seconds();

}  // namespace tallyboard::test
