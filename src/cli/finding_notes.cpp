#include "cli/finding_notes.h"

#include "base/text.h"
#include "review/correct.h"
#include "review/decisions.h"

namespace tallyboard {
namespace {

std::string decision_text(const Decision& decision) {
    std::string out;
    switch (decision.is) {
        case DecisionIs::drawing: out = "the drawing is wrong"; break;
        case DecisionIs::specimen: out = "this specimen: drifted or failed"; break;
        case DecisionIs::repair: out = "a later repair"; break;
        case DecisionIs::modification: out = "a modification"; break;
        case DecisionIs::production: out = "a change in production"; break;
        case DecisionIs::tracing: out = "the trace: look again"; break;
        case DecisionIs::rejected: out = "rejected"; break;
        case DecisionIs::open: out = "open"; break;
    }
    if (!decision.by.empty() || !decision.on.empty())
        out += " (" + decision.by + (decision.by.empty() || decision.on.empty() ? "" : ", ") + decision.on + ")";
    if (!decision.note.empty()) out += ": " + decision.note;
    return out;
}

}  // namespace

std::map<std::string, FindingNotes> finding_notes(const Circuit&, const Circuit&, const Comparison& comparison,
                                                  const Consequences& consequences, const std::optional<LoadedReview>& review) {
    std::optional<std::set<std::string>> accepted;
    if (review) accepted = accepted_findings(review->review);
    std::map<std::string, FindingNotes> out;
    for (const Finding& finding : comparison.findings) {
        FindingNotes& notes = out[finding.id];
        notes.corrects = is_carried_out(finding, accepted ? &*accepted : nullptr);
        if (review)
            if (const Decision* decision = decision_on(review->review, finding.id)) notes.decision = decision_text(*decision);
        for (const Consequence& consequence : consequences.findings)
            if (consequence.finding == finding.id) notes.consequence = consequence.says.empty() ? consequence.why_not : consequence.says;
        for (const ReadingEvidence& evidence : consequences.readings)
            if (!evidence.says.empty() && std::find(evidence.findings.begin(), evidence.findings.end(), finding.id) != evidence.findings.end())
                notes.evidence.push_back(evidence.says);
    }
    return out;
}

std::vector<RevisionGroup> finding_groups(const Circuit&, const Circuit&, const Comparison&, const Consequences&,
                                          const std::optional<LoadedReview>&) {
    return {};
}

}  // namespace tallyboard
