#include "evidence/evidence.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/text.h"
#include "evidence/facts.h"
#include "evidence/grouping.h"
#include "evidence/suggestion.h"

namespace tallyboard {

namespace {

std::string specimen_name(const Circuit& board) { return board.about.serial.empty() ? "this specimen" : "no. " + board.about.serial; }

// What the finding may be called in print. One specimen proves nothing of the others, so nothing is called a correction as such.
std::string title_of(const Circuit& board, const Assessment& assessment) {
    const std::string specimen = specimen_name(board);
    switch (assessment.suggestion) {
        case DecisionIs::drawing:
            if (assessment.certainty == Certainty::weak || assessment.grade == EvidenceGrade::E) return "otherwise than drawn on " + specimen;
            return "corrected for " + specimen;
        case DecisionIs::production: return "perhaps a change in production, seen on " + specimen + " alone";
        case DecisionIs::repair: return "repair, not production";
        case DecisionIs::modification: return "modification of " + specimen;
        case DecisionIs::specimen: return "a fault of " + specimen + ", not of the drawing";
        case DecisionIs::tracing: return "probably the tracing: look again";
        case DecisionIs::rejected:
        case DecisionIs::open: break;
    }
    return "undecided";
}

// Pins that move together have one cause: what is known of one holds for the others.
void share_evidence(const Comparison& comparison, std::vector<Assessment>& assessments) {
    for (std::size_t i = 0; i < assessments.size(); ++i) {
        const Finding& finding = comparison.findings[i];
        if (finding.what != What::moved || assessments[i].suggestion != DecisionIs::open || !finding.drawing_net || !finding.board_net) continue;
        for (std::size_t j = 0; j < assessments.size(); ++j) {
            const Finding& other = comparison.findings[j];
            const bool together = i != j && other.what == What::moved && other.drawing_net == finding.drawing_net && other.board_net == finding.board_net;
            if (!together || assessments[j].suggestion == DecisionIs::open) continue;
            assessments[i].suggestion = assessments[j].suggestion;
            assessments[i].certainty = Certainty::weak;
            assessments[i].rule = "moves-along";
            assessments[i].reasons = {"it moves together with " + other.drawing.front()};
            break;
        }
    }
}

// A slip that marking, measurement or the circuit's sense speak against is told for what it is.
void reword_slip(Slip& slip, DecisionIs suggestion) {
    const std::size_t why = slip.says.find("; ");
    if (suggestion == DecisionIs::tracing || why == std::string::npos) return;
    const char* lead = suggestion == DecisionIs::drawing ? "looks like a slip, and the evidence says of the drawing: " : "looks like a slip, but the evidence speaks against it: ";
    slip.says = lead + slip.says.substr(why + 2);
}

std::string summary_of(const Comparison& comparison) {
    std::size_t differing = 0, unverified = 0, drifted = 0;
    std::vector<PartId> touched;
    for (const Finding& finding : comparison.findings) {
        if (finding.what == What::unverified) ++unverified;
        else if (finding.what == What::drift) ++drifted;
        if (finding.cost == 0) continue;
        ++differing;
        touched.insert(touched.end(), finding.drawing_parts.begin(), finding.drawing_parts.end());
    }
    const auto agrees = [&](const PartPair& pair) { return std::find(touched.begin(), touched.end(), pair.drawing) == touched.end(); };
    const auto agreeing = std::count_if(comparison.parts.begin(), comparison.parts.end(), agrees);
    std::string text = fmt::format("{} drawn and {} found compared: {} agree, {}", counted(comparison.drawing_parts, "part"), comparison.board_parts,
                                   agreeing, differing == 0 ? "no difference" : counted(differing, "difference"));
    if (drifted > 0) text += ", " + counted(drifted, "drifted part");
    if (unverified > 0) text += fmt::format(", {} unverified", unverified);
    if (!comparison.proved) text += fmt::format("; that nothing cheaper explains the board is not proved (at least {})", comparison.bound);
    return text + ".";
}

}  // namespace

char grade_letter(EvidenceGrade grade) { return static_cast<char>('A' + static_cast<int>(grade)); }

std::string_view certainty_word(Certainty certainty) {
    switch (certainty) {
        case Certainty::sure: return "sure";
        case Certainty::likely: return "likely";
        case Certainty::weak: break;
    }
    return "weak";
}

EvidenceReport assess(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    EvidenceReport report;
    for (const Finding& finding : comparison.findings) {
        Assessment assessment;
        assessment.finding = finding.id;
        assessment.slip = slip_of(drawing, board, comparison, finding);
        const detail::Facts facts = detail::facts_of(drawing, board, comparison, finding, assessment.slip);
        const EvidenceRule& rule = rule_for(finding, facts);
        assessment.evidence = facts.lines;
        assessment.grade = facts.grade;
        assessment.suggestion = rule.suggestion;
        assessment.certainty = rule.certainty;
        assessment.rule = rule.name;
        assessment.reasons.emplace_back(rule.reason);
        if (assessment.slip) reword_slip(*assessment.slip, rule.suggestion);
        if (finding.what == What::unverified) assessment.grade = EvidenceGrade::E;
        report.findings.push_back(std::move(assessment));
    }
    share_evidence(comparison, report.findings);
    for (Assessment& assessment : report.findings) assessment.title = title_of(board, assessment);
    report.groups = detail::group_by_cause(drawing, board, comparison, report.findings);
    report.summary = summary_of(comparison);
    return report;
}

}  // namespace tallyboard
