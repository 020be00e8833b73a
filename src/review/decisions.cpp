#include "review/decisions.h"

#include <algorithm>

#include "base/text.h"
#include "xml/edit.h"

namespace tallyboard {

namespace {

std::string decision_element(const Decision& decision) {
    std::string element = "<decision finding=\"" + escaped_attribute(decision.finding) + "\" is=\"" + std::string(decision_word(decision.is)) + "\"";
    if (!decision.by.empty()) element += " by=\"" + escaped_attribute(decision.by) + "\"";
    if (!decision.on.empty()) element += " on=\"" + escaped_attribute(decision.on) + "\"";
    return decision.note.empty() ? element + "/>" : element + ">" + escaped_content(decision.note) + "</decision>";
}

// The place of an id: "R3.a" of "moved@R3.a#2".
std::string_view place_of(std::string_view id) {
    const std::size_t at = id.find('@');
    if (at == std::string_view::npos) return {};
    id.remove_prefix(at + 1);
    const std::size_t number = id.rfind('#');
    return number == std::string_view::npos ? id : id.substr(0, number);
}

std::string_view part_of(std::string_view place) { return place.substr(0, place.find('.')); }

// New elements behind the last decision, or as the last children.
Edit decisions_behind(const Review& review, const std::vector<std::string>& elements) {
    const std::string text = join(elements, "\n");
    if (review.decisions.empty()) return append_child(review.source, review.root_span, text);
    return insert_behind(review.source, review.decisions.back().span, text);
}

}  // namespace

std::set<std::string> accepted_findings(const Review& review) {
    std::set<std::string> accepted;
    for (const Decision& decision : review.decisions)
        if (decision.is == DecisionIs::drawing) accepted.insert(decision.finding);
    return accepted;
}

const Decision* decision_on(const Review& review, const std::string& finding) {
    for (const Decision& decision : review.decisions)
        if (decision.finding == finding) return &decision;
    return nullptr;
}

std::vector<HandPair> hand_pairs(const Review& review) {
    std::vector<HandPair> pairs;
    for (const ReviewPair& pair : review.pairs) pairs.push_back({pair.drawing, pair.board});
    return pairs;
}

bool wants_decision(const Finding& finding) { return finding.what != What::unverified; }

std::string new_review(const std::string& drawing, const std::string& board, const Comparison& comparison) {
    std::string text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<review xmlns=\"urn:tallyboard:circuit:1\" drawing=\"" +
                       escaped_attribute(drawing) + "\" board=\"" + escaped_attribute(board) + "\">\n";
    for (const Finding& finding : comparison.findings) {
        if (!wants_decision(finding)) continue;
        Decision decision;
        decision.finding = finding.id;
        text += "  " + decision_element(decision) + "\n";
    }
    return text + "</review>\n";
}

std::string with_open_decisions(const Review& review, const Comparison& comparison) {
    std::vector<std::string> elements;
    for (const Finding& finding : comparison.findings) {
        if (!wants_decision(finding) || decision_on(review, finding.id)) continue;
        Decision decision;
        decision.finding = finding.id;
        elements.push_back(decision_element(decision));
    }
    if (elements.empty()) return review.source.bytes();
    return spliced(review.source, {decisions_behind(review, elements)});
}

std::string with_decision(const Review& review, const Decision& decision) {
    const Decision* known = decision_on(review, decision.finding);
    if (!known) return spliced(review.source, {decisions_behind(review, {decision_element(decision)})});
    if (known->note != decision.note)
        return spliced(review.source, {{known->span, decision_element(decision)}});
    // The note stays as it is written; only the attributes that differ are touched.
    std::vector<Edit> edits;
    if (known->is != decision.is) edits.push_back(set_attribute(review.source, known->span, "is", decision_word(decision.is)));
    const auto set = [&](const char* name, const std::string& now, const std::string& after) {
        if (now == after) return;
        edits.push_back(after.empty() ? remove_attribute(review.source, known->span, name)
                                      : set_attribute(review.source, known->span, name, after));
    };
    set("by", known->by, decision.by);
    set("on", known->on, decision.on);
    return spliced(review.source, std::move(edits));
}

std::vector<DecisionChange> decision_changes(const Review& review, const Comparison& comparison) {
    std::vector<DecisionChange> changes;
    for (const Decision& decision : review.decisions) {
        const std::string decided = "decided " + std::string(decision_word(decision.is));
        const auto same = [&](const Finding& finding) { return finding.id == decision.finding; };
        if (std::any_of(comparison.findings.begin(), comparison.findings.end(), same)) continue;
        std::vector<std::string> instead;
        for (const Finding& finding : comparison.findings)
            if (wants_decision(finding) && !decision_on(review, finding.id) && part_of(place_of(finding.id)) == part_of(place_of(decision.finding)))
                instead.push_back(finding.id);
        if (instead.empty())
            changes.push_back({DecisionChange::How::gone, decision.finding, decision.finding + ": no such difference any more; " + decided, decision.span});
        else
            changes.push_back({DecisionChange::How::elsewhere, decision.finding,
                               decision.finding + ": no such difference any more, but now " + join_words(instead) + "; " + decided, decision.span});
    }
    return changes;
}

}  // namespace tallyboard
