#include "compare/bound.h"

#include <algorithm>

#include "compare/prover.h"

namespace tallyboard::detail {

int lower_bound(const Problem& problem, int cost, const Solution& around, int steps) {
    if (cost <= 0) return 0;
    const Region region = whole_region(problem);
    Prover prover(region, around, cost);
    const bool proved = prover.prove(steps, 3);
    return proved ? cost : std::min(prover.bound(), cost);
}

int lower_bound(const Problem& problem, int cost, int steps) {
    Solution nothing;
    nothing.partner.assign(problem.drawing.parts(), none);
    nothing.map.assign(problem.drawing.parts(), 0);
    return lower_bound(problem, cost, nothing, steps);
}

}  // namespace tallyboard::detail
