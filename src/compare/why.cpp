#include "compare/why.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "base/diagnostic.h"
#include "base/text.h"
#include "compare/problem.h"

namespace tallyboard {
namespace {

using namespace detail;

constexpr std::size_t most_alternatives = 3, most_tried = 8;

struct Subject { int drawn = none, found = none; };

Subject find_subject(const Problem& problem, const Comparison& comparison, const std::string& ref) {
    Subject out;
    for (int p = 0; p < problem.drawing.parts(); ++p) {
        bool is = problem.drawing.name[p] == ref;
        for (PartId member : problem.drawing.members[p]) is = is || (*problem.drawing.circuit)[member].ref == ref;
        if (is) out.drawn = p;
    }
    if (out.drawn == none) throw CommandError("", fmt::format("the drawing has no part {} that is compared", ref));
    for (const PartPair& pair : comparison.parts) {
        const auto& members = problem.drawing.members[out.drawn];
        if (std::find(members.begin(), members.end(), pair.drawing) == members.end()) continue;
        for (int q = 0; q < problem.board.parts(); ++q) {
            const auto& found = problem.board.members[q];
            if (std::find(found.begin(), found.end(), pair.board) != found.end()) out.found = q;
        }
    }
    return out;
}

// Which found nets answer to each drawn net.
std::map<NetId, std::set<NetId>> partners_of_nets(const Comparison& comparison) {
    std::map<NetId, std::set<NetId>> out;
    for (const NetPair& pair : comparison.nets)
        for (NetId net : pair.drawing) out[net].insert(pair.board.begin(), pair.board.end());
    return out;
}

void gather_reasons(Why& out, const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Problem& problem,
                    const Subject& subject) {
    const auto nets = partners_of_nets(comparison);
    std::vector<std::string> along;
    for (const PartPair& pair : comparison.parts) {
        const auto& members = problem.drawing.members[subject.drawn];
        if (std::find(members.begin(), members.end(), pair.drawing) == members.end()) continue;
        for (std::uint32_t i = 0; i < pair.board_pins.size(); ++i) {
            const Pin& pin = drawing[pair.drawing].pins[i];
            if (!pair.board_pins[i] || pin.state != PinState::traced) continue;
            const Pin& found = board[*pair.board_pins[i]];
            const auto at = nets.find(pin.net);
            if (found.state == PinState::traced && at != nets.end() && at->second.contains(found.net))
                along.push_back(fmt::format("{} is on {} as {} is on {}", pin_name(drawing, {pair.drawing, i}), net_name(drawing, pin.net),
                                            pin_name(board, *pair.board_pins[i]), net_name(board, found.net)));
        }
    }
    out.speaks_for = along;
    if (!problem.value_differs(subject.drawn, subject.found) && problem.drawing.value[subject.drawn] != none && problem.board.value[subject.found] != none)
        out.speaks_for.push_back("the value agrees");
    if (!problem.value_differs(subject.drawn, subject.found) && problem.drawing.model[subject.drawn] != none && problem.board.model[subject.found] != none)
        out.speaks_for.push_back("the type number agrees");
    if (out.drawing == out.board) out.speaks_for.push_back("the references are equal");
}

// Partners worth trying: those of like kind and value first, then those that stand on the same nets.
std::vector<int> candidates(const Problem& problem, const Subject& subject) {
    std::vector<std::pair<int, int>> list;
    for (int q = 0; q < problem.board.parts(); ++q) {
        const int cost = problem.pair_cost(subject.drawn, q);
        if (cost != none && q != subject.found) list.push_back({cost, q});
    }
    std::stable_sort(list.begin(), list.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<int> out;
    for (const auto& [cost, q] : list) if (out.size() < most_tried) out.push_back(q);
    return out;
}

}  // namespace

Why why(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::string& ref, const CompareOptions& options) {
    const auto problem = make_problem(drawing, board, options.pairs);
    const Subject subject = find_subject(*problem, comparison, ref);
    Why out;
    out.drawing = problem->drawing.name[subject.drawn];
    out.cost = comparison.cost;
    if (subject.found != none) {
        out.board = problem->board.name[subject.found];
        gather_reasons(out, drawing, board, comparison, *problem, subject);
    }
    for (const Finding& finding : comparison.findings)
        for (PartId part : finding.drawing_parts) {
            const auto& members = problem->drawing.members[subject.drawn];
            if (std::find(members.begin(), members.end(), part) == members.end() || finding.cost == 0) continue;
            out.speaks_against.push_back(finding.id);
            break;
        }
    for (int q : candidates(*problem, subject)) {
        CompareOptions bound = options;
        bound.progress = nullptr;
        bound.pairs.push_back({out.drawing, problem->board.name[q]});
        const Comparison other = compare(drawing, board, bound);
        out.alternatives.push_back({problem->board.name[q], other.cost, other.proved});
    }
    std::stable_sort(out.alternatives.begin(), out.alternatives.end(), [](const Alternative& a, const Alternative& b) { return a.cost < b.cost; });
    if (out.alternatives.size() > most_alternatives) out.alternatives.resize(most_alternatives);

    out.says = out.board.empty() ? fmt::format("{} has no partner on the board.", out.drawing)
                                 : fmt::format("{} answers to {} on the board", out.drawing, out.board);
    if (!out.board.empty()) out.says += (out.speaks_for.empty() ? "" : ": " + join_words(out.speaks_for)) + ".";
    if (!out.speaks_against.empty()) out.says += fmt::format(" Against it: {}.", join_words(out.speaks_against));
    if (out.alternatives.empty()) {
        out.says += " No other part of the board could answer to it.";
    } else {
        const Alternative& next = out.alternatives.front();
        const int more = next.cost - out.cost;
        out.says += more == 0 ? fmt::format(" {} would do as well: the whole would cost {} either way.", next.board, next.cost)
                              : fmt::format(" The next best, {}, would make the whole cost {} instead of {}{}.", next.board, next.cost, out.cost,
                                            next.proved ? "" : " at most");
    }
    return out;
}

}  // namespace tallyboard
