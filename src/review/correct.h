// review: the technician's decisions on findings, and the corrected drawing that follows from them: small edits in the
// drawing's own text, so that everything not corrected stays byte for byte.
#pragma once

#include <optional>
#include <set>
#include <string>

#include "circuit/circuit.h"
#include "compare/compare.h"

namespace tallyboard {

// What a <revision> of the corrected drawing says.
struct RevisionNote {
    std::string letter;  // empty: the next one after those the drawing has
    std::string date, by, text;
};

// Whether a finding enters the corrected drawing: `accepted` holds the ids decided `drawing`; nothing: all that cost. Drift and
// unverified never do, and an equivalent only where it is named.
bool is_carried_out(const Finding& finding, const std::set<std::string>* accepted);

// The drawing's text with the accepted findings carried out: values and kinds in place, pins to their found nets, parts taken out
// and added, nets split and joined, places of setup and bench that named what is gone put right. With all accepted (null) it has
// no finding that costs against the board. The revision, where given, is recorded behind those the drawing has; where nothing
// is carried out, the text is the drawing's own but for it.
std::string corrected_drawing(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                              const std::set<std::string>* accepted = nullptr,
                              const std::optional<RevisionNote>& revision = {});

// The revision letter after the last the drawing has: A to Z without I, O, Q, S, X and Z (ASME Y14.35), then AA, AB …
std::string next_revision_letter(const Circuit& drawing);

// "R3 was 10k": what a revision block says of the old matter, for the findings carried out, in their order.
std::string revision_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::set<std::string>* accepted);

}  // namespace tallyboard
