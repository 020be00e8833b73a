#include "evidence/grouping.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "base/text.h"
#include "evidence/sides.h"

namespace tallyboard::detail {

namespace {

// "a capacitor" → "capacitors".
std::string kinds_text(const Circuit& circuit, PartId id) {
    std::string name = circuit.kind_of(circuit[id]).name;
    return name == "electrolytic" ? "electrolytics" : name + (name.ends_with("s") ? "es" : "s");
}

class Grouping {
public:
    Grouping(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::vector<Assessment>& assessments)
        : drawing_(drawing), board_(board), comparison_(comparison), assessments_(assessments) {}

    std::vector<CauseGroup> groups() {
        same_change();
        one_part();
        together();
        nearest();
        one_time();
        return std::move(groups_);
    }

private:
    using Members = std::vector<const Finding*>;

    static std::string place(const Finding& finding) {
        return finding.drawing.empty() ? (finding.board.empty() ? finding.id : finding.board.front()) : finding.drawing.front();
    }
    static std::string places(const Members& members) {
        std::vector<std::string> names;
        for (const Finding* finding : members)
            if (std::find(names.begin(), names.end(), place(*finding)) == names.end()) names.push_back(place(*finding));
        return join_words(names);
    }

    void take(const Members& members, const std::string& says) {
        if (members.size() < 2) return;
        CauseGroup group;
        group.says = says;
        for (const Finding* finding : members) {
            group.findings.push_back(finding->id);
            grouped_.insert(finding);
        }
        groups_.push_back(std::move(group));
    }

    // Findings not yet grouped, by what `key` gives; an empty key: none.
    template <class Key>
    std::map<std::string, Members> by(Key key) const {
        std::map<std::string, Members> sorted;
        for (const Finding& finding : comparison_.findings) {
            if (grouped_.count(&finding)) continue;
            if (const std::string name = key(finding); !name.empty()) sorted[name].push_back(&finding);
        }
        return sorted;
    }

    // The found value as the trade writes it, not as it is marked.
    std::string found_words(const Finding& finding) const {
        const auto number = found_number(board_, finding);
        return number ? trade_text(*number, board_.kind_of(board_[finding.board_parts.front()]).quantity) : finding.found;
    }

    void same_change() {
        const auto key = [&](const Finding& finding) -> std::string {
            if (finding.what != What::value || finding.drawing_parts.empty()) return "";
            const auto drawn = drawn_number(drawing_, finding), found = found_number(board_, finding);
            const std::string change = drawn && found ? drawn->to_text() + ">" + found->to_text() : finding.drawn + ">" + finding.found;
            return drawing_.kind_of(drawing_[finding.drawing_parts.front()]).name + " " + change;
        };
        for (const auto& [name, members] : by(key))
            take(members, fmt::format("{} {} drawn as {} and found as {}: {}", members.size(),
                                      kinds_text(drawing_, members.front()->drawing_parts.front()), members.front()->drawn, found_words(*members.front()), places(members)));
    }

    // Kind, value and pins of one part; its drift too, where the value itself is in doubt.
    void one_part() {
        const auto key = [&](const Finding& finding) -> std::string {
            const Assessment* own = assessment(finding);
            const bool of_part = finding.what == What::kind || finding.what == What::value || finding.what == What::reversed ||
                                 (finding.what == What::drift && own && own->suggestion == DecisionIs::tracing);
            return of_part && !finding.drawing.empty() ? finding.drawing.front() : "";
        };
        for (const auto& [name, members] : by(key)) {
            const bool traced = std::all_of(members.begin(), members.end(), [&](const Finding* finding) {
                const Assessment* own = assessment(*finding);
                return own && own->suggestion == DecisionIs::tracing;
            });
            take(members, traced ? fmt::format("{}: one slip in what was written down", name) : fmt::format("{} is another part altogether", name));
        }
    }

    void together() {
        const auto key = [&](const Finding& finding) -> std::string {
            if (finding.what != What::moved || !finding.drawing_net || !finding.board_net) return "";
            return net_name(drawing_, *finding.drawing_net) + ">" + net_name(board_, *finding.board_net);
        };
        for (const auto& [name, members] : by(key)) {
            const Finding& first = *members.front();
            take(members, fmt::format("{} move together from {} to {} of the board", places(members), net_name(drawing_, *first.drawing_net), net_name(board_, *first.board_net)));
        }
    }

    const Assessment* assessment(const Finding& finding) const {
        for (const Assessment& one : assessments_)
            if (one.finding == finding.id) return &one;
        return nullptr;
    }

    void nearest() {
        const auto key = [&](const Finding& finding) -> std::string {
            const Assessment* own = assessment(finding);
            const bool near = own && own->rule.starts_with("nearest-of-the-series") && !finding.drawing_parts.empty();
            return near ? drawing_.kind_of(drawing_[finding.drawing_parts.front()]).name : "";
        };
        for (const auto& [name, members] : by(key))
            take(members, fmt::format("{} {} of round value, found at the nearest of the series: {}", members.size(),
                                      kinds_text(drawing_, members.front()->drawing_parts.front()), places(members)));
    }

    // Parts replaced that carry date codes of one year.
    void one_time() {
        const auto key = [&](const Finding& finding) -> std::string {
            for (PartId id : finding.board_parts)
                for (const Found& found : board_[id].found)
                    if (found.status == FoundStatus::replaced && !found.date_code.empty())
                        if (const auto date = read_date_code(found.date_code, board_.about.made && board_.about.made->earliest
                                                                                    ? std::optional(board_.about.made->earliest->year()) : std::nullopt))
                            if (date->earliest) return std::to_string(date->earliest->year());
            return "";
        };
        for (const auto& [year, members] : by(key)) take(members, fmt::format("replacements of {}: {}", year, places(members)));
    }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const std::vector<Assessment>& assessments_;
    std::set<const Finding*> grouped_;
    std::vector<CauseGroup> groups_;
};

}  // namespace

std::vector<CauseGroup> group_by_cause(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::vector<Assessment>& assessments) {
    return Grouping(drawing, board, comparison, assessments).groups();
}

}  // namespace tallyboard::detail
