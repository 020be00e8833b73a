#include "bench/minimax.h"

#include <cmath>
#include <coin/Clp_C_Interface.h>
#include <limits>
#include <memory>

namespace tallyboard::detail {
namespace {

// What a full step costs beside the worst misfit: small enough never to trade a reading for it.
constexpr double step_price = 1e-4;
constexpr double no_limit = std::numeric_limits<double>::max();

struct ModelDeleter { void operator()(Clp_Simplex* model) const { Clp_deleteModel(model); } };

}  // namespace

// Columns: x[j] split into a rise p[j] and a fall n[j], both from 0; last the worst misfit t. Rows: two a reading,
//   -t <= (residual - slope (p - n)) / within <= t.
MinimaxFit fit_minimax(const std::vector<double>& residual, const std::vector<double>& within,
                       const std::vector<std::vector<double>>& slope, const std::vector<double>& low,
                       const std::vector<double>& high, const std::vector<double>& ease) {
    const int readings = static_cast<int>(residual.size()), variables = static_cast<int>(low.size());
    const int columns = 2 * variables + 1, rows = 2 * readings;
    std::vector<CoinBigIndex> starts;
    std::vector<int> indices;
    std::vector<double> elements, column_low(columns, 0.0), column_high(columns), objective(columns);
    for (int j = 0; j < variables; ++j) {
        for (double sign : {1.0, -1.0}) {
            starts.push_back(static_cast<CoinBigIndex>(indices.size()));
            for (int i = 0; i < readings; ++i) {
                double a = sign * slope[i][j] / within[i];
                if (a == 0) continue;
                indices.push_back(2 * i), elements.push_back(a);
                indices.push_back(2 * i + 1), elements.push_back(a);
            }
            int column = 2 * j + (sign > 0 ? 0 : 1);
            column_high[column] = sign > 0 ? high[j] : -low[j];
            objective[column] = ease[j] > 0 ? step_price / ease[j] : 0;
        }
    }
    starts.push_back(static_cast<CoinBigIndex>(indices.size()));
    for (int i = 0; i < readings; ++i) {
        indices.push_back(2 * i), elements.push_back(1);       // slope x / within + t >= residual / within
        indices.push_back(2 * i + 1), elements.push_back(-1);  // slope x / within - t <= residual / within
    }
    starts.push_back(static_cast<CoinBigIndex>(indices.size()));
    column_high[columns - 1] = no_limit;
    objective[columns - 1] = 1;
    std::vector<double> row_low(rows), row_high(rows);
    for (int i = 0; i < readings; ++i) {
        double r = residual[i] / within[i];
        row_low[2 * i] = r, row_high[2 * i] = no_limit;
        row_low[2 * i + 1] = -no_limit, row_high[2 * i + 1] = r;
    }
    std::unique_ptr<Clp_Simplex, ModelDeleter> model(Clp_newModel());
    Clp_setLogLevel(model.get(), 0);
    Clp_loadProblem(model.get(), columns, rows, starts.data(), indices.data(), elements.data(), column_low.data(),
                    column_high.data(), objective.data(), row_low.data(), row_high.data());
    Clp_setMaximumIterations(model.get(), 2000);
    MinimaxFit fit;
    fit.x.assign(static_cast<std::size_t>(variables), 0.0);
    if (Clp_dual(model.get(), 0) != 0 || Clp_status(model.get()) != 0) return fit;
    const double* solution = Clp_primalColumnSolution(model.get());
    for (int j = 0; j < variables; ++j) {
        double x = solution[2 * j] - solution[2 * j + 1];
        if (!std::isfinite(x)) return fit;
        fit.x[static_cast<std::size_t>(j)] = x;
    }
    fit.misfit = solution[columns - 1];
    fit.solved = true;
    return fit;
}

}  // namespace tallyboard::detail
