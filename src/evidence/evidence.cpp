#include "evidence/evidence.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "base/text.h"
#include "evidence/facts.h"
#include "evidence/grouping.h"
#include "evidence/suggestion.h"

namespace tallyboard {

namespace {

std::string specimen_name(const Circuit& board) { return board.about.serial.empty() ? "this specimen" : "no. " + board.about.serial; }

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

// Drawn parts whose counterpart is as drawn: no finding that costs names them or moves a pin of theirs. A package counts once.
std::size_t count_agreeing(const Comparison& comparison) {
    std::set<PartId> differing;
    for (const Finding& finding : comparison.findings) {
        if (finding.cost == 0) continue;
        differing.insert(finding.drawing_parts.begin(), finding.drawing_parts.end());
        if (finding.what == What::moved)
            for (PinId pin : finding.drawing_pins) differing.insert(pin.part);
    }
    // Sections of one package are paired with one part of the board.
    std::map<std::string, bool> agrees;
    for (const PartPair& pair : comparison.parts) {
        const bool same = differing.count(pair.drawing) == 0;
        const auto [known, added] = agrees.emplace(pair.board_name, same);
        if (!added) known->second = known->second && same;
    }
    return static_cast<std::size_t>(std::count_if(agrees.begin(), agrees.end(), [](const auto& part) { return part.second; }));
}

std::string summary_of(const Comparison& comparison) {
    std::size_t differences = 0, unverified = 0;
    std::set<PartId> drifted;
    for (const Finding& finding : comparison.findings) {
        if (finding.what == What::unverified) ++unverified;
        if (finding.what == What::drift) drifted.insert(finding.board_parts.begin(), finding.board_parts.end());
        if (finding.cost > 0) ++differences;
    }
    std::string text = fmt::format("{} drawn and {} found compared: {} agree, {}", counted(comparison.drawing_parts, "part"), comparison.board_parts,
                                   count_agreeing(comparison), differences == 0 ? "no difference" : counted(differences, "difference"));
    if (!drifted.empty()) text += ", " + counted(drifted.size(), "part") + " off what is marked";
    if (unverified > 0) text += ", " + counted(unverified, "place") + " unverified";
    // Boards differ from their own drawing in a handful of places.
    if (differences > 20) text += "; so many differences: is this the drawing of that unit?";
    if (comparison.proved && differences > 0) text += "; proved: nothing cheaper explains the board";
    if (!comparison.proved) text += fmt::format("; that nothing cheaper explains the board is not proved (at least {})", comparison.bound);
    return text + ".";
}

}  // namespace

char grade_letter(EvidenceGrade grade) { return static_cast<char>('A' + static_cast<int>(grade)); }

// One specimen proves nothing of the others, so nothing is called a correction as such.
std::string title_of(const Circuit& board, const Assessment& assessment, DecisionIs decided) {
    const std::string specimen = specimen_name(board);
    const bool weak = assessment.grade == EvidenceGrade::E || (assessment.suggestion == decided && assessment.certainty == Certainty::weak);
    switch (decided) {
        case DecisionIs::drawing: return (weak ? "otherwise than drawn on " : "corrected for ") + specimen;
        case DecisionIs::production: return "a change in production, seen on " + specimen + " alone";
        case DecisionIs::repair: return "repair, not production";
        case DecisionIs::modification: return "modification of " + specimen;
        case DecisionIs::specimen: return "a fault of " + specimen + ", not of the drawing";
        case DecisionIs::tracing: return "the trace: look again";
        case DecisionIs::rejected: return "rejected: left as drawn";
        case DecisionIs::open: break;
    }
    return "not decided";
}

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
    for (Assessment& assessment : report.findings) assessment.title = title_of(board, assessment, assessment.suggestion);
    report.groups = detail::group_by_cause(drawing, board, comparison, report.findings);
    report.summary = summary_of(comparison);
    return report;
}

}  // namespace tallyboard
