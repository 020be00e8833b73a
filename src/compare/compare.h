// compare: pairs the drawing's parts and nets with the board's so that the findings' total cost is the least, and says
// whether that is proved. Start reading here; docs/comparing.md explains the method on a small example.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "compare/finding.h"

namespace tallyboard {

// A drawn section or part and the board's part (or first part of the package) that answers to it. `board_pins[i]` is the board's
// pin that answers to pin i of the drawn part; none where that pin has no partner.
struct PartPair {
    PartId drawing, board;
    std::string drawing_name, board_name;  // as the JSON names them: a drawn section's or part's reference; the board's package where
                                           // it was put together from sections, else its reference
    std::vector<std::optional<PinId>> board_pins;
};

// Nets that answer to each other: usually one each; several where the board splits or joins them, or links and composites
// make them one.
struct NetPair {
    std::vector<NetId> drawing, board;
};

struct HandPair { std::string drawing, board; };   // <pair> of a review: references or package names

struct CompareOptions {
    double effort = 1;                  // scales the counted steps of search and proof
    bool prove = true;                  // false: no proof that nothing cheaper exists is sought, nor a second search where it fails;
                                        // `bound` is then 0, and only agreement `proved`
    int threads = 0;                    // 0: as many as the machine has; the result does not depend on it
    std::vector<HandPair> pairs;        // bind the pairing; CommandError where one names no part or two bind one part
    std::function<void(const std::string& doing, double share)> progress;  // for a terminal; may be empty
};

struct Comparison {
    bool agree = false;                 // no finding that costs
    int cost = 0;
    bool proved = false;                // no cheaper set of findings exists, and this is known, not inferred
    int bound = 0;                      // no set cheaper than this exists
    std::string says;                   // one sentence: what was compared, how many agree, what is unproved or unverified
    std::size_t drawing_parts = 0, board_parts = 0, drawing_nets = 0, board_nets = 0;  // as the format counts them
    std::vector<PartPair> parts;        // every pair, agreeing or not, in the drawing's file order, one a drawn section
    std::vector<NetPair> nets;
    std::vector<Finding> findings;      // costly ones first, then in natural order of id
};

// The least set of findings between a drawing and a board. Deterministic: steps are counted, never timed. Fast: near-linear for
// agreeing circuits. CommandError for hand pairs that cannot be.
Comparison compare(const Circuit& drawing, const Circuit& board, const CompareOptions& options = {});

// Recomputes the cost of the pairing in `comparison` from the definition, in plain loops, sharing nothing with the search, and
// checks that every part, pin and net of both files is paired or named in a finding. Returns what is wrong; empty: all well.
std::vector<std::string> check_comparison(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

}  // namespace tallyboard
