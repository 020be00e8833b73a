#include "compare/bound.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "compare/costs.h"
#include "compare/prover.h"

namespace tallyboard::detail {
namespace {

// Parts of one side that are alike in everything but their nets.
struct Sort { int example = 0, count = 0, must = 0; };   // `must`: how many of them cost when left over

std::vector<Sort> sorts_of(const Side& side) {
    std::vector<Sort> out;
    std::map<std::tuple<int, int, int, int, int, int>, std::size_t> number;
    for (int p = 0; p < side.parts(); ++p) {
        const auto key = std::tuple(side.shape[p], side.value[p], side.model[p], side.taper[p], side.group[p], side.bound_to[p]);
        const auto [at, fresh] = number.try_emplace(key, out.size());
        if (fresh) out.push_back({p, 0, 0});
        ++out[at->second].count;
        out[at->second].must += side.leave[p] >= costs::part;
    }
    return out;
}

// How many parts find no partner that agrees by itself, whatever the nets: each costs 1 at least, as one of a pair or left over.
int without_like(const std::vector<Sort>& of, const std::vector<Sort>& other, const Problem& problem, bool of_board) {
    int out = 0;
    for (const Sort& sort : of) {
        int like = 0;
        for (const Sort& partner : other) {
            const int p = of_board ? partner.example : sort.example, q = of_board ? sort.example : partner.example;
            if (problem.pair_cost(p, q) == 0) like += partner.count;
        }
        out += std::max(0, sort.must - like);
    }
    return out;
}

// Finding a proof takes memory and time as the square of the parts; above this many only parts are counted.
constexpr int provable_parts = 700;

}  // namespace

int bound_by_parts(const Problem& problem) {
    const std::vector<Sort> drawn = sorts_of(problem.drawing), found = sorts_of(problem.board);
    auto sum = [](const std::vector<Sort>& sorts, int Sort::*member) {
        int out = 0;
        for (const Sort& sort : sorts) out += sort.*member;
        return out;
    };
    // Left over: what one side has too many of. Of the others without their like each pair may hold one of either side.
    const int missing = std::max(0, sum(drawn, &Sort::must) - sum(found, &Sort::count));
    const int extra = std::max(0, sum(found, &Sort::must) - sum(drawn, &Sort::count));
    const int odd_drawn = without_like(drawn, found, problem, false) - missing, odd_found = without_like(found, drawn, problem, true) - extra;
    return costs::part * (missing + extra) + costs::value * std::max({0, odd_drawn, odd_found});
}

int lower_bound(const Problem& problem, int cost, const Solution& around, int steps) {
    if (cost <= 0) return 0;
    int bound = std::min(cost, bound_by_parts(problem));
    if (std::max(problem.drawing.parts(), problem.board.parts()) > provable_parts) return bound;
    // Up to this cost composites weaken the bound little: where the answer is dearer, that much is looked for first.
    constexpr int easy = 16;
    for (int target : {std::min(cost, easy), cost}) {
        if (bound >= target) continue;
        Prover prover(problem, around, target);
        const bool proved = prover.prove(steps, 3);
        bound = std::max(bound, proved ? target : prover.bound());
        if (!proved) break;
    }
    return bound;
}

}  // namespace tallyboard::detail
