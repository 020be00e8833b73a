#include "bench/fitting.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "bench/minimax.h"

namespace tallyboard::detail {
namespace {

// Steps of the grid in a look, a decade. Finer grids find no other start on the samples.
constexpr int grid_per_decade = 5;
constexpr std::size_t most_starts = 3;
constexpr int narrowing_steps = 24;   // narrows a grid step to 1e-5 of itself
constexpr int most_rounds = 14;        // of linearising
constexpr double first_reach = 1.0;    // how far a logarithm of an amount may go in one round
constexpr double good_enough = 1e-4;   // misfit below which nothing is gained

}  // namespace

Fitting::Fitting(const Circuit& circuit, const Solver& solver, const std::vector<Observation>& observations)
    : circuit_(circuit), observations_(observations) {
    for (const Spread& spread : solver.spreads())
        if (spread.nominal > 0 && (spread.tolerance.minus > 0 || spread.tolerance.plus > 0)) spreads_.push_back(spread);
    for (const Observation& observation : observations) models_.push_back(solver.reading_model(*observation.reading));
}

std::vector<Departure> Fitting::departures_of(const std::vector<Suspect>& faults, const std::vector<double>& amounts,
                                              const std::vector<double>& deviations) const {
    std::vector<Departure> departures;
    for (std::size_t k = 0; k < faults.size(); ++k)
        departures.push_back({faults[k].part, faults[k].how, faults[k].adjustable ? amounts[k] : 0.0, faults[k].pins});
    for (std::size_t j = 0; j < deviations.size(); ++j)
        if (deviations[j] != 0)
            departures.push_back({spreads_[j].part, Taken::value, spreads_[j].nominal * std::exp(deviations[j]), {}});
    return departures;
}

std::vector<std::optional<double>> Fitting::shown(const std::vector<Suspect>& faults, const std::vector<double>& amounts,
                                                  const std::vector<double>& deviations) {
    const std::vector<Departure> departures = departures_of(faults, amounts, deviations);
    std::vector<std::optional<double>> out;
    for (ReadingModel& model : models_) out.push_back(model.expected(departures));
    return out;
}

// By reading, of each free amount, then of each free spread.
std::optional<Fitting::Slopes> Fitting::slopes(const std::vector<Suspect>& faults, const std::vector<double>& amounts, const std::vector<double>& deviations,
                                               const std::vector<std::size_t>& free_faults, const std::vector<std::size_t>& free_spreads) {
    const std::vector<Departure> departures = departures_of(faults, amounts, deviations);
    std::vector<std::size_t> leaks;                 // the variables of leaks, in the order of the departures
    std::map<PartId, std::size_t> variable_of;
    for (std::size_t v = 0; v < free_faults.size(); ++v) {
        const Suspect& fault = faults[free_faults[v]];
        if (fault.how == Taken::leak) leaks.push_back(v);
        else variable_of[fault.part] = v;
    }
    for (std::size_t j = 0; j < free_spreads.size(); ++j) variable_of[spreads_[free_spreads[j]].part] = free_faults.size() + j;
    Slopes out;
    for (ReadingModel& model : models_) {
        if (!model.expected(departures)) return std::nullopt;
        const ReadingModel::Slopes told = model.slopes();
        std::vector<double>& slope = out.emplace_back(free_faults.size() + free_spreads.size(), 0.0);
        for (const Effect& effect : told.values)
            if (const auto at = variable_of.find(effect.part); at != variable_of.end()) slope[at->second] = effect.slope;
        for (std::size_t k = 0; k < leaks.size() && k < told.leaks.size(); ++k) slope[leaks[k]] = told.leaks[k];
    }
    return out;
}

double Fitting::misfit(const std::vector<std::optional<double>>& shows) const {
    double worst = 0;
    for (std::size_t i = 0; i < shows.size(); ++i) {
        if (!shows[i]) return no_fit;
        worst = std::max(worst, std::fabs(observations_[i].reading->is - *shows[i]) / observations_[i].within);
    }
    return worst;
}

Fitting::Look Fitting::look(const std::vector<Suspect>& faults) {
    auto score = [&](const std::vector<double>& amounts) {
        std::vector<std::optional<double>> shows = shown(faults, amounts);
        double worst = 0;
        for (std::size_t i = 0; i < shows.size(); ++i) {
            if (!shows[i]) return no_fit;
            // Tolerances can carry a faulty circuit further than a healthy one: allow them twice.
            worst = std::max(worst, std::fabs(observations_[i].reading->is - *shows[i]) /
                                        (observations_[i].within + 2 * observations_[i].span));
        }
        return worst;
    };
    // Grid points of each fault's amount; one for those that have none.
    std::vector<std::vector<double>> grids;
    for (const Suspect& suspect : faults) {
        if (!suspect.adjustable) {
            grids.push_back({0});
            continue;
        }
        int steps = static_cast<int>(std::ceil(std::log10(suspect.high / suspect.low) * grid_per_decade / (faults.size() > 1 ? 2.5 : 1)));
        std::vector<double> grid;
        for (int s = 0; s <= steps; ++s) grid.push_back(suspect.low * std::pow(suspect.high / suspect.low, double(s) / steps));
        grids.push_back(std::move(grid));
    }
    std::size_t total = 1;
    for (const auto& grid : grids) total *= grid.size();
    std::vector<double> scores(total);
    auto amounts_of = [&](std::size_t index) {
        std::vector<double> amounts;
        for (const auto& grid : grids) amounts.push_back(grid[index % grid.size()]), index /= grid.size();
        return amounts;
    };
    for (std::size_t i = 0; i < total; ++i) scores[i] = score(amounts_of(i));
    Look out;
    std::vector<std::size_t> lows;
    for (std::size_t i = 0; i < total; ++i) {
        if (scores[i] >= no_fit) continue;
        bool low = true;
        for (std::size_t stride = 1, k = 0; k < grids.size(); stride *= grids[k].size(), ++k) {
            std::size_t at = i / stride % grids[k].size();
            if (at > 0 && scores[i - stride] < scores[i]) low = false;
            if (at + 1 < grids[k].size() && scores[i + stride] < scores[i]) low = false;
        }
        if (low) lows.push_back(i);
    }
    std::stable_sort(lows.begin(), lows.end(), [&](std::size_t a, std::size_t b) { return scores[a] < scores[b]; });
    if (lows.size() > most_starts) lows.resize(most_starts);
    std::vector<std::pair<double, std::vector<double>>> starts;
    for (std::size_t low : lows) {
        std::vector<double> amounts = amounts_of(low);
        double reached = scores[low];
        // A single amount is narrowed down between the grid points to either side, by the golden section: where all other parts
        // are exact, the grid alone would pass over the one value that explains everything.
        if (faults.size() == 1 && faults[0].adjustable) {
            const std::vector<double>& grid = grids[0];
            double from = std::log(grid[low > 0 ? low - 1 : low]), to = std::log(grid[std::min(low + 1, grid.size() - 1)]);
            const double golden = (std::sqrt(5.0) - 1) / 2;
            double a = to - golden * (to - from), b = from + golden * (to - from);
            double at_a = score({std::exp(a)}), at_b = score({std::exp(b)});
            for (int step = 0; step < narrowing_steps; ++step) {
                if (at_a < at_b) to = b, b = a, at_b = at_a, a = to - golden * (to - from), at_a = score({std::exp(a)});
                else from = a, a = b, at_a = at_b, b = from + golden * (to - from), at_b = score({std::exp(b)});
            }
            double best = std::min(at_a, at_b);
            if (best < reached) reached = best, amounts[0] = std::exp(at_a < at_b ? a : b);
        }
        starts.push_back({reached, std::move(amounts)});
    }
    if (starts.empty()) return out;
    std::stable_sort(starts.begin(), starts.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    out.score = starts.front().first;
    for (auto& [reached, amounts] : starts) out.starts.push_back(std::move(amounts));
    return out;
}

FaultFit Fitting::fit(const std::vector<Suspect>& faults, const std::vector<std::vector<double>>& starts) {
    FaultFit best{no_fit, {}, {}};
    for (const std::vector<double>& start : starts) {
        FaultFit fit = fit_from(faults, start);
        if (fit.misfit < best.misfit) best = std::move(fit);
        if (best.misfit < good_enough) break;
    }
    return best;
}

FaultFit Fitting::fit_from(const std::vector<Suspect>& faults, std::vector<double> amounts) {
    std::vector<std::size_t> free_faults;
    for (std::size_t k = 0; k < faults.size(); ++k)
        if (faults[k].adjustable) free_faults.push_back(k);
    std::vector<char> at_fault(circuit_.parts.size());
    for (const Suspect& suspect : faults) at_fault[suspect.part.index] = 1;
    std::vector<std::size_t> free_spreads;
    for (std::size_t j = 0; j < spreads_.size(); ++j)
        if (!at_fault[spreads_[j].part.index]) free_spreads.push_back(j);

    const std::size_t readings = models_.size(), variables = free_faults.size() + free_spreads.size();
    std::vector<double> deviations(spreads_.size(), 0.0);
    FaultFit best{no_fit, amounts, shown(faults, amounts)};
    best.misfit = misfit(best.shows);
    double reach = first_reach;
    for (int round = 0; round < most_rounds && best.misfit < no_fit && best.misfit >= good_enough && variables > 0; ++round) {
        const std::optional<Slopes> slope = slopes(faults, amounts, deviations, free_faults, free_spreads);
        if (!slope) break;
        std::vector<double> residual(readings), within(readings), low(variables), high(variables), ease(variables);
        for (std::size_t i = 0; i < readings; ++i) {
            residual[i] = observations_[i].reading->is - *best.shows[i];
            within[i] = observations_[i].within;
        }
        bool better = false;
        for (int shrink = 0; shrink < 4 && !better; ++shrink, reach /= 3) {
            for (std::size_t v = 0; v < variables; ++v) {
                if (v < free_faults.size()) {
                    const Suspect& suspect = faults[free_faults[v]];
                    low[v] = std::min(0.0, std::max(-reach, std::log(suspect.low / amounts[free_faults[v]])));
                    high[v] = std::max(0.0, std::min(reach, std::log(suspect.high / amounts[free_faults[v]])));
                    ease[v] = 0;
                } else {
                    std::size_t j = free_spreads[v - free_faults.size()];
                    double least = std::log1p(-std::min(spreads_[j].tolerance.minus, 0.999));
                    double most = std::log1p(spreads_[j].tolerance.plus);
                    low[v] = std::min(0.0, std::max(-reach, least - deviations[j]));
                    high[v] = std::max(0.0, std::min(reach, most - deviations[j]));
                    ease[v] = std::max(most - least, 1e-9);
                }
            }
            MinimaxFit step = fit_minimax(residual, within, *slope, low, high, ease);
            if (!step.solved || step.misfit > best.misfit * (1 - 1e-6)) break;
            std::vector<double> a = amounts, d = deviations;
            for (std::size_t v = 0; v < variables; ++v) {
                if (v < free_faults.size()) a[free_faults[v]] *= std::exp(step.x[v]);
                else d[free_spreads[v - free_faults.size()]] += step.x[v];
            }
            std::vector<std::optional<double>> shows = shown(faults, a, d);
            double reached = misfit(shows);
            if (reached < best.misfit * (1 - 1e-4)) {
                better = true;
                amounts = a;
                deviations = d;
                best = {reached, amounts, std::move(shows)};
                reach = std::min(first_reach, reach * 6);  // the shrinking at the loop's end takes half of it back
            }
        }
        if (!better) break;
    }
    return best;
}

}  // namespace tallyboard::detail
