// bench: what is done with the meter: readings to expect, what a set of odd readings means, guided tracing.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"
#include "solve/solve.h"

namespace tallyboard {

// One part taken to be at fault so that it explains the readings.
struct Fault {
    PartId part;
    Taken how = Taken::open;
    std::optional<double> value;   // value: SI; leak: ohms; of least misfit
    std::optional<std::pair<std::uint32_t, std::uint32_t>> pins;  // shorted: between these (indices in Part::pins)
};

// One fault, or two where no single one does, with the best it can make of the readings: the other parts anywhere within
// their tolerance.
struct Explanation {
    std::vector<Fault> faults;
    double misfit = 0;             // the worst |reading - expected| / within
    bool fits = false;             // misfit at most 1
};

// The reading that would tell the suspects apart best.
struct FurtherReading {
    NetId at, to;
    std::string meter;                                        // the id of the meter it is worked out for; empty: none
    std::vector<std::pair<std::size_t, double>> shows;        // (index in explanations, what the meter would show)
    double suspects_left = 0;                                 // how many will be left on the average
};

struct Diagnosis {
    bool readings = false;                    // there are readings, and some of them can be worked out
    bool healthy = false;                     // no reading is outside its span: there is nothing to explain
    double healthy_misfit = 0;                // with no part at fault; above 1: the readings strain the tolerances together
    std::vector<Explanation> hints;           // healthy, but strained: the single faults that would explain all readings
    std::vector<Explanation> explanations;    // unless healthy: every single fault that fits, best first; where none fits,
                                              // the nearest few, fits false
    std::vector<Explanation> pairs;           // where no single fault fits: pairs that do, best first, at most a few
    std::optional<FurtherReading> further;    // where more than one fits
    std::vector<std::string> loading;         // readings that only the meter's own loading explains, in sentences
    std::vector<std::string> remarks;         // what was taken for granted, what could not be worked out
};

struct ExplainOptions {
    SolveOptions solve;
    int threads = 0;              // 0: as many as the machine has; the answer does not depend on it
    bool seek_pairs = true;
    std::function<void(double)> progress;
};

// What a reading may be out by: `within`, else the meter's error of it, never less than half of the last digit written.
double reading_within(const Circuit& circuit, const Reading& reading);

// Every single part whose being open, short, leaky or of another value explains all readings of the state asked for.
// Deterministic; a bounded number of steps. Suspects that no operating point is found for explain nothing, which is said.
Diagnosis explain(const Circuit& circuit, const ExplainOptions& options);

std::string_view fault_word(Taken how);  // open short value leak

}  // namespace tallyboard
