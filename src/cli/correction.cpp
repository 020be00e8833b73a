#include "cli/correction.h"

#include <algorithm>

#include "review/correct.h"
#include "review/decisions.h"

namespace tallyboard {

std::optional<std::set<std::string>> accepted_of(const std::optional<LoadedReview>& review) {
    if (!review) return std::nullopt;
    return accepted_findings(review->review);
}

std::string signer(const Circuit& board, const std::optional<LoadedReview>& review, const Settings& settings) {
    if (settings.by && !settings.by->empty()) return *settings.by;
    std::string by;
    if (review)
        for (const Decision& decision : review->review.decisions)
            if (!decision.by.empty()) by = decision.by;
    return by.empty() ? board.about.by : by;
}

bool is_corrected(const Comparison& comparison, const std::optional<LoadedReview>& review) {
    const std::optional<std::set<std::string>> accepted = accepted_of(review);
    return std::any_of(comparison.findings.begin(), comparison.findings.end(),
                       [&](const Finding& finding) { return is_carried_out(finding, accepted ? &*accepted : nullptr); });
}

std::string corrected_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                           const std::optional<LoadedReview>& review, const Settings& settings) {
    const std::optional<std::set<std::string>> accepted = accepted_of(review);
    const std::set<std::string>* ids = accepted ? &*accepted : nullptr;
    std::optional<RevisionNote> note;
    if (is_corrected(comparison, review)) {
        note.emplace();
        note->date = settings.date.value_or(latest_date({&drawing, &board}, review));
        note->by = signer(board, review, settings);
        note->text = revision_text(drawing, board, comparison, ids);
        if (!board.about.serial.empty()) note->text += "; from no. " + board.about.serial;
    }
    return corrected_drawing(drawing, board, comparison, ids, note);
}

}  // namespace tallyboard
