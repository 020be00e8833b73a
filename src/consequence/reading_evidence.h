#pragma once

#include "consequence/consequence.h"
#include "consequence/trial.h"

namespace tallyboard::detail {

// Each reading of the board's bench in the state asked for, beside what drawing, board and each single finding make of it.
// `drawing_side`: the drawing with the setup it is solved with.
std::vector<ReadingEvidence> reading_evidence(const Trial& drawing_side, const Circuit& drawing, const Circuit& board,
                                              const Comparison& comparison, const ConsequenceOptions& options);

}  // namespace tallyboard::detail
