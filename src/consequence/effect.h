#pragma once

#include <memory>

#include "consequence/consequence.h"

namespace tallyboard::detail {

// A circuit worked out: what a finding's trial is compared with, and what it gives.
struct WorkedOut {
    OperatingPoint point;
    std::vector<ResponsePoint> response;   // at hz
    Corners corners;
    std::string why_no_response;           // empty: there is one
};
WorkedOut work_out(const Circuit& circuit, const Solver& solver, const std::vector<double>& hz);

// The drawing as solved, and the copy of it in which a finding is carried out (its first nets, parts and pins are the drawing's).
struct CarriedOut {
    const Circuit& circuit;
    const WorkedOut& drawn;
    const Circuit& trial;
    const WorkedOut& found;
};

// What the change amounts to, judged against the spread: everything of a Consequence but its words.
Consequence effect_of(const CarriedOut& change, const ProductionSpread& spread, bool equaliser);

// A curve that is no flat one: more than 10 dB between any two of 40, 100, 315 Hz, 1, 3.15, 10 kHz.
bool is_equaliser(const std::vector<ResponsePoint>& response);
Corners corners_of(const Circuit& circuit, const Solver& solver);

// How large the largest change outside the spread is, in steps of "audible": for ranking among equal grades.
struct Weightiness { double level = 0, rest = 0; };
Weightiness weightiness(const Consequence& consequence, bool equaliser);

}  // namespace tallyboard::detail
