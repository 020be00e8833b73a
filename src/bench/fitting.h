#pragma once

#include <optional>
#include <vector>

#include "bench/suspects.h"
#include "solve/solve.h"

namespace tallyboard::detail {

// One reading made ready for trials.
struct Observation {
    const Reading* reading = nullptr;
    double within = 0;   // what it may be out by
    double span = 0;     // how far tolerances alone can carry it from what a healthy unit shows, to one side
};

// How well a set of faults can explain the readings.
struct FaultFit {
    double misfit = 0;                              // worst |reading - expected| / within; large where nothing can be worked out
    std::vector<double> amounts;                    // one a suspect; of adjustable ones the best value
    std::vector<std::optional<double>> shows;       // what each reading would be
};
constexpr double no_fit = 1e9;

// One thread's means to try faults on all readings: faults with their amounts free within their reach, all other parts free
// within their tolerance, by successive linear programmes on the exact circuit.
class Fitting {
public:
    Fitting(const Circuit& circuit, const Solver& solver, const std::vector<Observation>& observations);

    // What the readings would be, with the others at their nominal values or at exp(deviations) times them.
    std::vector<std::optional<double>> shown(const std::vector<Suspect>& faults, const std::vector<double>& amounts,
                                             const std::vector<double>& deviations = {});
    // A quick look: the least worst departure over a coarse grid of the amounts, against within and span together, and the
    // amounts of the best few grid points that are no worse than their neighbours. Below about 1: worth a fit.
    struct Look { double score = no_fit; std::vector<std::vector<double>> starts; };
    Look look(const std::vector<Suspect>& faults);
    // The best fit from each start. An empty set of faults: the healthy unit.
    FaultFit fit(const std::vector<Suspect>& faults, const std::vector<std::vector<double>>& starts);

private:
    using Slopes = std::vector<std::vector<double>>;
    std::vector<Departure> departures_of(const std::vector<Suspect>& faults, const std::vector<double>& amounts, const std::vector<double>& deviations) const;
    std::optional<Slopes> slopes(const std::vector<Suspect>& faults, const std::vector<double>& amounts, const std::vector<double>& deviations,
                                 const std::vector<std::size_t>& free_faults, const std::vector<std::size_t>& free_spreads);
    double misfit(const std::vector<std::optional<double>>& shows) const;
    FaultFit fit_from(const std::vector<Suspect>& faults, std::vector<double> amounts);

    const Circuit& circuit_;
    const std::vector<Observation>& observations_;
    std::vector<Spread> spreads_;   // those with a tolerance
    std::vector<ReadingModel> models_;
};

}  // namespace tallyboard::detail
