#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "bench/tracing.h"

namespace tallyboard::test {

// The board as its owner has it before tracing: the same parts, every pin `?`, no continuity.
Circuit untraced_board(const Circuit& truth);

struct Technician {
    unsigned wrong_per_thousand = 0;   // answers given wrong at first; asked again they are right
    unsigned skips_per_thousand = 0;
    std::uint64_t seed = 1;
};

struct Traced {
    bool ended = false;                // within a bounded number of questions
    bool right = false;                // the nets are the truth's
    std::size_t questions = 0, wrong = 0, contradictions = 0;
    std::size_t joining = 0, isolation = 0;
    std::size_t apart = 0;             // pairs of nets proven apart
    std::string astray;                // two pins that are not as they should be
};

// Answers the tracing's questions from the true board to the end. Where an answer contradicts earlier ones, all tests of the
// chain are probed once more.
Traced trace_by_simulation(const Circuit& truth, const Circuit* drawing, const TracingOptions& options, const Technician& technician);

// Boards that differ from their drawing by up to three edits, traced with every two nets proven apart.
struct ManyTraced {
    std::size_t boards = 0, ended = 0, right = 0;
    std::size_t questions = 0, floor = 0, fixed = 0;
    std::size_t wrong = 0, contradictions = 0;
    std::vector<std::string> not_right;   // the seed and the edits
};
ManyTraced trace_boards(std::size_t boards, const Technician& technician);
std::string summary(const ManyTraced& many);

// Tests that a fixed order takes without a drawing: each pin in file order against one pin of each net found so far until one beeps;
// new nets are thereby proven apart from all before.
std::size_t fixed_order_tests(const Circuit& truth);
// The least that proves the same: a beep for every pin beyond the first of each net, and one test for each pair of nets that is to be
// proven apart (`pairs`).
std::size_t floor_tests(const Circuit& truth, std::size_t pairs);
// The pins that are traced, a supply leg that sections of a package share once.
std::vector<PinId> legs_of(const Circuit& truth);

}  // namespace tallyboard::test
