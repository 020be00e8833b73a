#include "compare/starts.h"

#include <algorithm>

#include "base/threads.h"

namespace tallyboard::detail {
namespace {

// Rounds of a first answer: so many, and so many more for each unit of its cost.
constexpr int first_rounds = 30, rounds_a_unit = 4;
constexpr int rounds_alike = 15;
// Searches of a thorough answer, and their rounds up to so many parts; of larger circuits proportionately fewer.
constexpr int starts = 4, rounds_a_start = 250, small_circuit = 400;
// Up to this many parts another start from nothing costs little.
constexpr int cheap_start = 2000;

Solution search_from(int start, const Problem& problem, const Surroundings& around, const Solution& best, int rounds) {
    const auto seed = static_cast<std::uint64_t>(start + 2);
    // Every second search begins anew, by colours of another depth and in another order.
    if (start % 2 == 0 || problem.drawing.parts() > cheap_start) return search(problem, around, best, rounds, 0, seed);
    GrowHabit habit;
    habit.noise = 16;
    habit.plain = start % 4 == 1;
    habit.deepest = start % 4 == 1 ? colour_depths - 1 : 3;
    return search(problem, around, first_solution(problem, around, habit, seed), rounds, 0, seed);
}

}  // namespace

int SearchBudget::rounds(int usual) const { return std::max(1, static_cast<int>(usual * effort)); }

Solution quick_answer(const Problem& problem, const Surroundings& around, const Solution& known, const SearchBudget& budget) {
    Solution best = first_solution(problem, around, {}, 1);
    if (around.references_kept()) {   // of equal cost the one that keeps them: so ties are settled
        GrowHabit habit;
        habit.names = true;
        Solution by_name = first_solution(problem, around, habit, 1);
        if (by_name.cost <= best.cost) best = std::move(by_name);
    }
    if (!known.partner.empty() && known.cost < best.cost) best = known;
    return search(problem, around, best, budget.rounds(first_rounds + rounds_a_unit * best.cost), 0, 1);
}

Solution answer_alike(const Problem& problem, const Surroundings& around, const Problem& other, const Solution& other_answer,
                      const SearchBudget& budget) {
    // Parts as written are the same in both; what stands together is paired anew.
    auto places = [](const Side& from, const Side& to) {
        std::vector<int> at(from.circuit->parts.size(), none), out;
        for (int p = 0; p < to.parts(); ++p)
            if (to.group[p] == none) at[to.members[p].front().index] = p;
        for (int p = 0; p < from.parts(); ++p) out.push_back(at[from.members[p].front().index]);
        return out;
    };
    const std::vector<int> drawn = places(other.drawing, problem.drawing), found = places(other.board, problem.board);
    Pairing pairing(problem);
    for (int p = 0; p < other.drawing.parts(); ++p) {
        const int q = other_answer.partner[p];
        if (q == none || drawn[p] == none || found[q] == none || problem.pair_cost(drawn[p], found[q]) == none) continue;
        pairing.pair(drawn[p], found[q], other_answer.map[p]);
    }
    for (int part : other_answer.inserted) if (found[part] != none) pairing.set_composite(true, found[part], true);
    for (int part : other_answer.bypassed) if (drawn[part] != none) pairing.set_composite(false, drawn[part], true);
    complete(pairing, around);
    Solution best = pairing.solution();
    if (Solution first = first_solution(problem, around, {}, 1); first.cost < best.cost) best = std::move(first);
    return search(problem, around, best, budget.rounds(rounds_alike), 0, 1);
}

Solution thorough_answer(const Problem& problem, const Surroundings& around, const Solution& best, const SearchBudget& budget) {
    const int parts = std::max(problem.drawing.parts(), problem.board.parts());
    const int rounds = budget.rounds(parts <= small_circuit ? rounds_a_start : std::max(20, rounds_a_start * small_circuit / parts));
    std::vector<Solution> found(starts);
    for_each_number(starts, budget.threads, [&](std::size_t i) { found[i] = search_from(static_cast<int>(i), problem, around, best, rounds); });
    const auto least = std::min_element(found.begin(), found.end(), [](const Solution& a, const Solution& b) { return a.cost < b.cost; });
    return least->cost < best.cost ? *least : best;
}

}  // namespace tallyboard::detail
