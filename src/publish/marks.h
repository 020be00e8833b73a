#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "compare/compare.h"
#include "draw/annotations.h"

namespace tallyboard {

// A finding as the sheet shows it.
struct MarkedFinding {
    int number = 0;           // of its mark; 0: no numbered mark on the sheet
    std::string description;  // for the revision block: "R3 was 220k, found 180k"
};

// The comparison's findings as marks on the drawing. Extra parts get a reference that the drawing does not use yet where theirs is taken;
// nets the drawing lacks get a name of their own.
struct Marks {
    Annotations annotations;
    std::vector<MarkedFinding> findings;      // one each, in the comparison's order
    std::vector<std::string> board_nets;      // name on the sheet of each net of the board; empty: none
    std::vector<std::string> extra_refs;      // reference on the sheet of each part of the board that is drawn as extra; empty: it is not
};

// `shown[i]`: finding i is marked (a finding decided to be the specimen's is not); empty: all. Numbers run from 1 in the order of the
// findings; `equivalent`, `drift` and `unverified` have none, but `unverified` has its ring. A mark is the anchor "mark N" and links to
// "row N".
Marks marks_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::vector<bool>& shown = {});

// The part's value or type number as its file writes it, else as its marking says; "?" where neither does.
std::string value_text(const Part& part);
// What was found, for print: a value known from a marking alone is said as a value ("8k2", not four colours).
std::string found_text(const Circuit& board, const Finding& finding);

}  // namespace tallyboard
