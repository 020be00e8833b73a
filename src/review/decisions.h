#pragma once

#include <set>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "xml/read.h"

namespace tallyboard {

// Ids of the findings decided `drawing`: those that enter the corrected drawing.
std::set<std::string> accepted_findings(const Review& review);

// The decision on a finding; null where there is none.
const Decision* decision_on(const Review& review, const std::string& finding);

// The pairs a review fixes by hand, for comparing.
std::vector<HandPair> hand_pairs(const Review& review);

// Findings that want a decision: all but `unverified`, which are neither agreed nor different.
bool wants_decision(const Finding& finding);

// A new review file with every finding open. Paths as they are to be written in it.
std::string new_review(const std::string& drawing, const std::string& board, const Comparison& comparison);

// The review's text with an open decision added for every finding that has none; what stands there stays byte for byte.
std::string with_open_decisions(const Review& review, const Comparison& comparison);

// The review's text with one decision set: in place where there is one, else behind the others.
std::string with_decision(const Review& review, const Decision& decision);

// What has become of decisions since they were taken.
struct DecisionChange {
    enum class How { gone, elsewhere } how = How::gone;
    std::string finding;  // the decision's
    std::string says;     // "value@R3: no such difference any more; decided drawing"
    Span span;            // of the decision
};
// Decisions whose finding is no longer there, in the file's order; with what is found at the same place instead.
std::vector<DecisionChange> decision_changes(const Review& review, const Comparison& comparison);

}  // namespace tallyboard
