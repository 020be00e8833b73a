#pragma once

#include <vector>

namespace tallyboard::detail {

// The least worst misfit of a linear model within bounds:
//   minimise max_i |residual[i] - sum_j slope[i][j] * x[j]| / within[i]   subject to low[j] <= x[j] <= high[j]
// and among equally good ones that with the smallest steps, each counted against `ease[j]` (0: free).
// Shapes: residual, within: readings; slope: readings × variables; low, high, ease: variables; low <= 0 <= high.
// A linear programme (Chebyshev approximation, e.g. Boyd and Vandenberghe, Convex Optimization, 2004, section 6.1), solved by
// the dual simplex method. Deterministic. `solved` false: no answer was found, x is then all zero.
struct MinimaxFit {
    bool solved = false;
    double misfit = 0;
    std::vector<double> x;
};
MinimaxFit fit_minimax(const std::vector<double>& residual, const std::vector<double>& within,
                       const std::vector<std::vector<double>>& slope, const std::vector<double>& low,
                       const std::vector<double>& high, const std::vector<double>& ease);

}  // namespace tallyboard::detail
