#include "cli/correction.h"

#include <algorithm>

#include "review/correct.h"
#include "review/decisions.h"

namespace tallyboard {

std::optional<std::set<std::string>> accepted_of(const std::optional<LoadedReview>& review) {
    if (!review) return std::nullopt;
    return accepted_findings(review->review);
}

std::string corrected_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                           const std::optional<LoadedReview>& review, const Settings& settings) {
    std::optional<std::set<std::string>> accepted = accepted_of(review);
    const std::set<std::string>* ids = accepted ? &*accepted : nullptr;
    std::optional<RevisionNote> note;
    bool any = std::any_of(comparison.findings.begin(), comparison.findings.end(),
                           [&](const Finding& finding) { return is_carried_out(finding, ids); });
    if (any) {
        note.emplace();
        note->date = settings.date.value_or(latest_date({&drawing, &board}, review));
        note->by = settings.by.value_or("");
        if (note->by.empty() && review)
            for (const Decision& decision : review->review.decisions)
                if (!decision.by.empty()) note->by = decision.by;
        if (note->by.empty()) note->by = board.about.by;
        note->text = revision_text(comparison, ids);
        if (!board.about.serial.empty()) note->text += "; from no. " + board.about.serial;
    }
    return corrected_drawing(drawing, board, comparison, ids, note);
}

}  // namespace tallyboard
