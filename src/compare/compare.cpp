#include "compare/compare.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/text.h"
#include "compare/bound.h"
#include "compare/costs.h"
#include "compare/findings.h"
#include "compare/refine.h"
#include "compare/search.h"

namespace tallyboard {
namespace {

using namespace detail;

struct Answer {
    std::unique_ptr<Problem> problem;
    Solution solution;
    int bound = 0;
};

Answer find_answer(const Circuit& drawing, const Circuit& board, const CompareOptions& options) {
    Answer answer{make_problem(drawing, board, options.pairs), {}, 0};
    const Problem& problem = *answer.problem;
    if (auto equal = refine_together(problem); equal && equal->cost == 0) {
        answer.solution = std::move(*equal);
        return answer;
    }
    const Surroundings around = look_around(problem);
    answer.solution = first_solution(problem, around, {}, 1);
    answer.solution = search(problem, around, answer.solution, static_cast<int>(200 * options.effort), 0, 1);
    if (problem.drawing.parts() + problem.board.parts() <= 800)
        answer.bound = lower_bound(problem, answer.solution.cost, static_cast<int>(1000 * options.effort));
    return answer;
}

std::size_t nets_that_count(const Side& side) {
    return static_cast<std::size_t>(std::count_if(side.written.begin(), side.written.end(), [](const auto& nets) { return !nets.empty(); }));
}

std::string summary(const Comparison& c) {
    const auto costly = static_cast<std::size_t>(std::count_if(c.findings.begin(), c.findings.end(), [](const Finding& f) { return f.cost > 0; }));
    const auto open = static_cast<std::size_t>(std::count_if(c.findings.begin(), c.findings.end(), [](const Finding& f) { return f.what == What::unverified; }));
    std::string out = fmt::format("{} drawn, {} found: ", counted(c.drawing_parts, "part"), c.board_parts);
    if (costly == 0) out += open == 0 ? "the drawing and the board agree" : "nothing that is traced differs";
    else out += fmt::format("{} that {}, {} in all", counted(costly, "difference"), costly == 1 ? "costs" : "cost", c.cost);
    if (open > 0) out += fmt::format("; {} could not be verified", counted(open, "place"));
    if (!c.proved) out += fmt::format("; not proved the least: no set below {} exists; this one costs {}", c.bound, c.cost);
    else if (costly > 0) out += "; proved: no cheaper set of findings exists";
    return out + ".";
}

}  // namespace

Comparison compare(const Circuit& drawing, const Circuit& board, const CompareOptions& options) {
    const Answer answer = find_answer(drawing, board, options);
    const Outcome outcome = make_outcome(*answer.problem, answer.solution);
    Comparison out;
    out.drawing_parts = static_cast<std::size_t>(answer.problem->drawing.parts());
    out.board_parts = static_cast<std::size_t>(answer.problem->board.parts());
    out.drawing_nets = nets_that_count(answer.problem->drawing);
    out.board_nets = nets_that_count(answer.problem->board);
    out.findings = findings_of(outcome);
    out.parts = part_pairs_of(outcome);
    out.nets = net_pairs_of(outcome);
    out.cost = answer.solution.cost;
    out.bound = answer.bound;
    out.proved = answer.bound == answer.solution.cost;
    // Parts that an incomplete trace does not show yet are told, not counted.
    for (const Finding& finding : out.findings)
        if (finding.what == What::unverified && finding.board_parts.empty()) {
            out.cost -= costs::part;
            out.bound = std::max(0, out.bound - costs::part);
        }
    out.agree = out.cost == 0;
    out.says = summary(out);
    return out;
}

}  // namespace tallyboard
