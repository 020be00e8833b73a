#include "cli/finding_notes.h"

#include <algorithm>
#include <fmt/format.h>

#include "base/text.h"
#include "review/correct.h"
#include "review/decisions.h"

namespace tallyboard {
namespace {

std::string_view decision_words(DecisionIs is) {
    switch (is) {
        case DecisionIs::drawing: return "the drawing is wrong";
        case DecisionIs::specimen: return "this specimen: drifted or failed";
        case DecisionIs::repair: return "a later repair";
        case DecisionIs::modification: return "a modification";
        case DecisionIs::production: return "a change in production";
        case DecisionIs::tracing: return "the trace: look again";
        case DecisionIs::rejected: return "rejected";
        case DecisionIs::open: return "not decided";
    }
    return "";
}

std::string decision_text(const Circuit& board, const Assessment& assessment, const Decision& decision) {
    std::string out = title_of(board, assessment, decision.is);
    if (!decision.by.empty() || !decision.on.empty())
        out += " (" + decision.by + (decision.by.empty() || decision.on.empty() ? "" : ", ") + decision.on + ")";
    if (!decision.note.empty()) out += ": " + decision.note;
    return out;
}

std::string suggestion_text(const Assessment& assessment) {
    if (assessment.slip) return assessment.slip->says;
    std::string out(decision_words(assessment.suggestion));
    return out + fmt::format(" ({})", certainty_word(assessment.certainty)) + (assessment.reasons.empty() ? "" : ": " + join(assessment.reasons, "; "));
}

}  // namespace

std::map<std::string, FindingNotes> finding_notes(const Circuit& board, const Comparison& comparison, const EvidenceReport& evidence, const Consequences& consequences,
                                                  const std::optional<LoadedReview>& review) {
    std::optional<std::set<std::string>> accepted;
    if (review) accepted = accepted_findings(review->review);
    std::map<std::string, FindingNotes> out;
    for (std::size_t i = 0; i < comparison.findings.size(); ++i) {
        const Finding& finding = comparison.findings[i];
        const Assessment& assessment = evidence.findings[i];
        FindingNotes& notes = out[finding.id];
        notes.corrects = is_carried_out(finding, accepted ? &*accepted : nullptr);
        notes.grade = std::string(1, grade_letter(assessment.grade));
        notes.evidence = assessment.evidence;
        const Decision* decision = review ? decision_on(review->review, finding.id) : nullptr;
        if (decision && decision->is != DecisionIs::open) {
            notes.decision = decision_text(board, assessment, *decision);
            notes.decided_by = decision->by;
            notes.decided_on = decision->on;
        } else notes.suggestion = suggestion_text(assessment);
        for (const Consequence& consequence : consequences.findings)
            if (consequence.finding == finding.id) notes.consequence = consequence.says.empty() ? consequence.why_not : consequence.says;
        for (const ReadingEvidence& reading : consequences.readings)
            if (!reading.says.empty() && std::find(reading.findings.begin(), reading.findings.end(), finding.id) != reading.findings.end())
                notes.evidence.push_back(reading.says);
    }
    return out;
}

std::vector<RevisionGroup> finding_groups(const EvidenceReport& evidence) {
    std::vector<RevisionGroup> out;
    for (const CauseGroup& group : evidence.groups) out.push_back({group.says, group.findings});
    return out;
}

}  // namespace tallyboard
