// consequence: what each difference between a drawing and a board does to the circuit, judged against what production
// tolerances would have given anyway; which readings speak for which difference; what must be cautioned of. Start here.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "consequence/severity.h"
#include "consequence/spread.h"
#include "solve/solve.h"

namespace tallyboard {

// A direct voltage, or a current of a supply (name) or into a device's pin (REF.PIN), before and after.
struct RestChange {
    std::string name;
    std::optional<NetId> net;             // of the drawing, for a voltage
    bool is_current = false;
    double drawn = 0, found = 0;          // volts or amperes
    double share = 0;                     // of the largest supply voltage; of the drawn current
    Grade grade = Grade::nothing;
    bool inside_spread = false;
};

struct LevelChange {
    double hz = 0;
    double drawn_db = 0, found_db = 0;
    bool in_band = true;                  // neither curve lies more than 40 dB under its own top there
    bool inside_spread = false;
    double change() const { return found_db - drawn_db; }
};

// -3 dB points against the level at 1 kHz, Hz; empty: the curve does not fall that far between 0.1 Hz and 1 MHz.
struct Corners { std::optional<double> low, high; };

// What one finding, carried out on the drawing by itself, does.
struct Consequence {
    std::string finding;                  // its id; "all" for all together
    bool told = false;                    // something could be worked out
    std::string why_not;                  // what could not, and why: "no source is set up"
    Grade grade = Grade::unknown;         // of what lies outside the production spread; else nothing
    Grade grade_alone = Grade::unknown;   // whatever the spread
    bool inside_spread = false;           // every change that would count lies within it
    bool safety = false;                  // mains, protective earth, fuse, X or Y capacitor: major whatever it does
    bool silenced = false;                // on one of the two sides no signal passes
    std::vector<RestChange> rest;         // what changes by more than a thousandth of a supply or of itself, largest share first
    std::vector<LevelChange> levels;      // at the frequencies of `hz`
    std::vector<ResponsePoint> response;  // the changed circuit's
    Corners corners;
    std::vector<std::string> ratings;     // "R7 dissipates 0.31 W of its 0.25 W", "C9 stands at 9.2 V the wrong way round"
    std::string beside;                   // what no figure shows: a loop that latches, hum, why that is not computed; may be empty
    std::string says;                     // one sentence: "bass 2.1 dB thinner at 40 Hz; outside production spread"
    std::string formula;                  // with it, where one explains it: "1/(2π·22n·480 kΩ): 15.1 Hz, drawn 3.3 Hz"; may be empty
};

// A reading of the board beside what both sides make of it.
struct ReadingEvidence {
    const Reading* reading = nullptr;     // in board.bench
    double within = 0;                    // what the reading may be out by
    Expectation by_drawing, by_board;
    bool drawing_explains = false, board_explains = false;
    std::vector<std::string> findings;    // those that, carried out alone on the drawing, explain it
    std::string says;                     // empty where it tells nothing
};

struct Consequences {
    std::vector<double> hz;
    OperatingPoint dc;                    // of the drawing
    std::vector<ResponsePoint> response;
    Corners corners;
    ProductionSpread spread;
    bool equaliser = false;               // the drawn curve is one: judged by the finer steps
    std::vector<Consequence> findings;    // in the order of the comparison's findings
    std::vector<std::size_t> ranking;     // indices in `findings`, what matters most first
    Consequence together;
    std::vector<ReadingEvidence> readings;
    std::vector<std::string> remarks;     // what was assumed in solving the drawing; parts left out
    std::string why_not;                  // nothing could be worked out at all: why
};

struct ConsequenceOptions {
    SolveOptions solve;                   // `hz` empty: third-octaves
    SpreadOptions spread;
    int threads = 0;                      // the result does not depend on it
    std::function<void(double)> progress;
};

// Every finding of the comparison carried out by itself on the drawing, and all that cost together. Where the drawing has no
// <setup>, the board's counts for both. Deterministic.
Consequences consequences(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                          const ConsequenceOptions& options);

}  // namespace tallyboard
