#include "compare/compare.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/text.h"
#include "compare/bound.h"
#include "compare/costs.h"
#include "compare/exhaust.h"
#include "compare/findings.h"
#include "compare/readings.h"
#include "compare/refine.h"
#include "compare/search.h"

namespace tallyboard {
namespace {

using namespace detail;

struct Answer {
    std::unique_ptr<Problem> problem;
    Solution solution;
    int bound = 0;
    std::size_t drawn = 0, found = 0;   // parts that count, before any stand together
};

// Above this many parts on both sides together the dense proof does not pay.
constexpr int provable_parts = 800;
constexpr std::size_t most_readings = 64;

// Rounds of ruin and rebuild before the first look at a proof, and after one that failed.
constexpr int first_rounds = 40, further_rounds = 200;
// Up to this many parts another start from nothing costs little.
constexpr int cheap_start = 1000;

int counted_rounds(int rounds, const CompareOptions& options) { return std::max(1, static_cast<int>(rounds * options.effort)); }

Solution best_solution(const Problem& problem, const CompareOptions& options) {
    const Surroundings around = look_around(problem);
    Solution first = first_solution(problem, around, {}, 1);
    if (around.references_kept()) {   // of equal cost the one that keeps them: so ties are settled
        GrowHabit habit;
        habit.names = true;
        Solution by_name = first_solution(problem, around, habit, 1);
        if (by_name.cost <= first.cost) first = std::move(by_name);
    }
    return search(problem, around, first, counted_rounds(first_rounds, options), 0, 1);
}

// Goes on from `best`, and once from another start.
Solution better_solution(const Problem& problem, const Solution& best, const CompareOptions& options) {
    const Surroundings around = look_around(problem);
    Solution out = search(problem, around, best, counted_rounds(further_rounds, options), 0, 2);
    if (problem.drawing.parts() > cheap_start) return out;
    GrowHabit habit;
    habit.noise = 16;
    habit.deepest = 3;
    const Solution other = search(problem, around, first_solution(problem, around, habit, 7), counted_rounds(further_rounds, options), 0, 3);
    return other.cost < out.cost ? other : out;
}

int bound_of(const Problem& problem, int cost, const CompareOptions& options) {
    if (problem.drawing.parts() + problem.board.parts() > provable_parts) return 0;
    // A dear answer is seldom proved: fewer steps show how far the bound gets.
    return lower_bound(problem, cost, counted_rounds(cost <= 16 ? 1500 : 150, options));
}

// Tries each reading of several parts as one, keeps the cheapest, and bounds them all.
void try_readings(Answer& answer, const CompareOptions& options) {
    bool all = true, complete = true;
    const std::vector<Group> groups = find_groups(*answer.problem, complete);
    std::vector<std::unique_ptr<Problem>> readings;
    for (const auto& choice : choices_of(groups, most_readings, all)) {
        std::vector<Group> chosen;
        for (int g : choice) chosen.push_back(groups[g]);
        readings.push_back(with_groups(*answer.problem, chosen));
    }
    const std::unique_ptr<Problem> plain = std::move(answer.problem);
    const Problem* best = plain.get();
    for (const auto& reading : readings) {
        if (answer.solution.cost == 0) break;
        Solution solution = best_solution(*reading, options);
        if (solution.cost >= answer.solution.cost) continue;
        answer.solution = std::move(solution);
        best = reading.get();
    }
    auto bound_all = [&] {
        const int cost = answer.solution.cost;
        answer.bound = bound_of(*plain, cost, options);
        if (!all || !complete)   // what was not tried may save so much at most
            for (const Group& group : groups) answer.bound = std::max(0, answer.bound - greatest_saving(group));
        for (const auto& reading : readings)
            if (answer.bound > 0) answer.bound = std::min(answer.bound, bound_of(*reading, cost, options));
    };
    if (options.prove) bound_all();
    if (options.prove && answer.bound < answer.solution.cost) {
        const int before = answer.solution.cost;
        auto take = [&](const Problem& problem, Solution solution) {
            if (solution.cost >= answer.solution.cost) return;
            answer.solution = std::move(solution);
            best = &problem;
        };
        take(*best, better_solution(*best, answer.solution, options));
        if (is_tiny(*plain)) {
            const int trials = counted_rounds(20000, options);
            take(*plain, exhaust(*plain, answer.solution, trials));
            for (const auto& reading : readings) take(*reading, exhaust(*reading, answer.solution, trials));
        }
        if (answer.solution.cost < before) bound_all();
    }
    answer.problem = best == plain.get() ? std::make_unique<Problem>(*plain) : std::make_unique<Problem>(*best);
}

Answer find_answer(const Circuit& drawing, const Circuit& board, const CompareOptions& options) {
    Answer answer{make_problem(drawing, board, options.pairs), {}, 0, 0, 0};
    const Problem& problem = *answer.problem;
    answer.drawn = static_cast<std::size_t>(problem.drawing.parts());
    answer.found = static_cast<std::size_t>(problem.board.parts());
    if (auto equal = refine_together(problem); equal && equal->cost == 0) {
        answer.solution = std::move(*equal);
        return answer;
    }
    answer.solution = best_solution(problem, options);
    try_readings(answer, options);
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
    out.drawing_parts = answer.drawn;
    out.board_parts = answer.found;
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
