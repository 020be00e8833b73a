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
#include "compare/starts.h"
#include "compare/ties.h"

namespace tallyboard {
namespace {

using namespace detail;

struct Answer {
    std::unique_ptr<Problem> problem;
    Solution solution;
    int bound = 0;
    std::size_t drawn = 0, found = 0;   // parts that count, before any stand together
};

// Steps of a proof; most take less than a tenth.
constexpr int proof_steps = 3000;
constexpr std::size_t most_readings = 64;

int counted_steps(int steps, const CompareOptions& options) { return std::max(1, static_cast<int>(steps * options.effort)); }

// One way to see the two circuits: as they are, or with some groups of parts standing as one; and the best answer to it so far.
struct Reading {
    std::unique_ptr<Problem> problem;
    Surroundings around;
    Solution solution;
};

Reading read_plainly(std::unique_ptr<Problem> problem, const Solution& known, const CompareOptions& options) {
    Reading reading{std::move(problem), {}, {}};
    reading.around = look_around(*reading.problem);
    reading.solution = quick_answer(*reading.problem, reading.around, known, {options.effort, options.threads});
    return reading;
}

Reading read_with(const std::vector<Group>& chosen, const Reading& plain, const CompareOptions& options) {
    Reading reading{with_groups(*plain.problem, chosen), {}, {}};
    reading.around = look_around(*reading.problem);
    reading.solution = answer_alike(*reading.problem, reading.around, *plain.problem, plain.solution, {options.effort, options.threads});
    return reading;
}

int bound_of(const Problem& problem, int cost, const Solution& solution, const CompareOptions& options) {
    return lower_bound(problem, cost, solution, counted_steps(proof_steps, options));
}

void tell(const CompareOptions& options, const std::string& doing, double share) {
    if (options.progress) options.progress(doing, share);
}

// The plain reading first, then each with several parts as one: their best answers.
std::vector<Reading> search_readings(std::unique_ptr<Problem> plain, const Solution& known, const std::vector<std::vector<int>>& choices,
                                     const std::vector<Group>& groups, const CompareOptions& options) {
    std::vector<Reading> readings;
    readings.push_back(read_plainly(std::move(plain), known, options));
    for (std::size_t i = 0; i < choices.size() && readings.back().solution.cost > 0; ++i) {
        tell(options, "looking for the least set of differences", static_cast<double>(i) / static_cast<double>(choices.size()));
        std::vector<Group> chosen;
        for (int g : choices[i]) chosen.push_back(groups[g]);
        readings.push_back(read_with(chosen, readings.front(), options));
    }
    return readings;
}

std::size_t cheapest(const std::vector<Reading>& readings) {
    std::size_t best = 0;
    for (std::size_t i = 1; i < readings.size(); ++i)
        if (readings[i].solution.cost < readings[best].solution.cost) best = i;
    return best;
}

// Searches the cheapest reading thoroughly; of a tiny circuit tries everything instead, in all readings.
void search_on(std::vector<Reading>& readings, const CompareOptions& options) {
    Reading& best = readings[cheapest(readings)];
    if (!is_tiny(*readings.front().problem)) {
        best.solution = thorough_answer(*best.problem, best.around, best.solution, {options.effort, options.threads});
        return;
    }
    for (Reading& reading : readings) {
        Solution goal = reading.solution;
        goal.cost = readings[cheapest(readings)].solution.cost;
        Solution better = exhaust(*reading.problem, goal, counted_steps(20000, options));
        if (better.cost < goal.cost) reading.solution = std::move(better);
    }
}

Answer find_answer(const Circuit& drawing, const Circuit& board, const CompareOptions& options) {
    auto problem = make_problem(drawing, board, options.pairs);
    Answer answer{nullptr, {}, 0, static_cast<std::size_t>(problem->drawing.parts()), static_cast<std::size_t>(problem->board.parts())};
    std::optional<Solution> equal = refine_together(*problem);
    if (equal && equal->cost == 0) {
        answer.solution = std::move(*equal);
        answer.problem = std::move(problem);
        return answer;
    }
    tell(options, "looking for the least set of differences", 0);
    bool all = true, complete = true;
    const std::vector<Group> groups = find_groups(*problem, complete);
    const auto choices = choices_of(groups, most_readings, all);
    std::vector<Reading> readings = search_readings(std::move(problem), equal.value_or(Solution{}), choices, groups, options);

    auto bound_all = [&] {
        const int cost = readings[cheapest(readings)].solution.cost;
        int bound = cost;
        for (std::size_t i = 0; i < readings.size() && bound > 0; ++i) {
            tell(options, "proving that nothing cheaper exists", static_cast<double>(i) / static_cast<double>(readings.size()));
            bound = std::min(bound, bound_of(*readings[i].problem, cost, readings[i].solution, options));
            if (i == 0 && (!all || !complete))   // what was not tried may save so much at most
                for (const Group& group : groups) bound = std::max(0, bound - greatest_saving(group));
        }
        answer.bound = bound;
    };
    if (options.prove) {
        bound_all();
        const int before = readings[cheapest(readings)].solution.cost;
        if (answer.bound < before) {
            tell(options, "looking for the least set of differences", 0.5);
            search_on(readings, options);
            if (readings[cheapest(readings)].solution.cost < before) bound_all();
        }
    }
    Reading& best = readings[cheapest(readings)];
    settle_ties(*best.problem, best.around, best.solution);
    answer.solution = std::move(best.solution);
    answer.problem = std::move(best.problem);
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
    if (!c.proved && c.bound == 0) out += "; not proved the least";
    else if (!c.proved) out += fmt::format("; not proved the least: no set below {} exists; this one costs {}", c.bound, c.cost);
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
