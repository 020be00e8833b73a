#include "bench/explain.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <fmt/format.h>
#include <mutex>
#include <thread>

#include "base/text.h"
#include "bench/fitting.h"
#include "bench/further_reading.h"
#include "bench/suspects.h"

namespace tallyboard {
namespace {

using detail::FaultFit;
using detail::Fitting;
using detail::Observation;
using detail::Suspect;

// Looks worse than this are not fitted: even with every tolerance at its end they stay far off. Measured on injected faults:
// no true suspect scored above 1.4.
constexpr double worth_a_fit = 3;
constexpr std::size_t nearest_told = 5;    // explanations that do not fit, told where none does
constexpr std::size_t singles_paired = 8;  // nearest singles that are tried in pairs
constexpr std::size_t pairs_fitted = 24, pairs_told = 5;

// Half a unit of the last digit written: "3.92V" is good to 5 mV at best.
double half_last_digit(const std::string& text, double is) {
    std::size_t digits_behind = 0, digits = 0;
    bool behind = false;
    std::string number;
    for (char c : text) {
        if (is_digit(c)) ++digits, digits_behind += behind, number += c;
        else if ((c == '.' || c == ',') && !behind) behind = true;
        else if (digits > 0) break;
    }
    if (digits == 0) return 0;
    // The unit's factor follows from the number itself: is = number × factor.
    double written = std::strtod(number.c_str(), nullptr) / std::pow(10.0, static_cast<double>(digits_behind));
    double factor = written > 0 ? std::fabs(is) / written : 1;
    return 0.5 * factor / std::pow(10.0, static_cast<double>(digits_behind));
}

// Runs work(index, fitting) for all indices on some threads, each with a Fitting of its own. Results go by index, so that
// the threads do not matter.
template <class Work>
void in_parallel(std::size_t count, int threads, const Circuit& circuit, const Solver& solver,
                 const std::vector<Observation>& observations, const Work& work) {
    std::atomic<std::size_t> next{0};
    auto run = [&] {
        Fitting fitting(circuit, solver, observations);
        for (std::size_t i; (i = next++) < count;) work(i, fitting);
    };
    std::vector<std::jthread> others;
    for (int t = 1; t < std::min<int>(threads, static_cast<int>(count)); ++t) others.emplace_back(run);
    run();
}

Explanation explanation_of(const std::vector<Suspect>& suspects, const FaultFit& fit) {
    Explanation out;
    for (std::size_t k = 0; k < suspects.size(); ++k) {
        Fault fault{suspects[k].part, suspects[k].how, {}, suspects[k].pins};
        if (suspects[k].adjustable && k < fit.amounts.size()) fault.value = fit.amounts[k];
        out.faults.push_back(fault);
    }
    out.misfit = fit.misfit;
    out.fits = fit.misfit <= 1;
    return out;
}

// One entry a part and way: of several pairs of pins gone short the best.
void keep_best_of_each(std::vector<Explanation>& explanations) {
    std::vector<Explanation> kept;
    for (Explanation& e : explanations) {
        auto same = std::find_if(kept.begin(), kept.end(), [&](const Explanation& other) {
            return other.faults.size() == e.faults.size() &&
                   std::equal(e.faults.begin(), e.faults.end(), other.faults.begin(),
                              [](const Fault& a, const Fault& b) { return a.part == b.part && a.how == b.how; });
        });
        if (same == kept.end()) kept.push_back(std::move(e));
        else if (e.misfit < same->misfit) *same = std::move(e);
    }
    std::stable_sort(kept.begin(), kept.end(), [](const Explanation& a, const Explanation& b) {
        if (a.fits != b.fits) return a.fits;
        return a.misfit < b.misfit;
    });
    explanations = std::move(kept);
}

}  // namespace

std::string_view fault_word(Taken how) {
    switch (how) {
        case Taken::open: return "open";
        case Taken::shorted: return "short";
        case Taken::value: return "value";
        case Taken::leak: return "leak";
    }
    return "";
}

double reading_within(const Circuit& circuit, const Reading& reading) {
    double digit = half_last_digit(reading.is_text, reading.is);
    if (reading.within) return std::max(*reading.within, 1e-12);
    double error = 0.01;  // a reading whose meter nobody named: one per cent, as the cheapest meters promise
    if (reading.meter)
        for (const Meter& meter : circuit.bench.meters)
            if (meter.id == *reading.meter) error = meter.error;
    return std::max({error * std::fabs(reading.is), digit, 1e-12});
}

Diagnosis explain(const Circuit& circuit, const ExplainOptions& options) {
    Diagnosis out;
    Solver solver(circuit, options.solve);
    out.remarks = solver.remarks();
    std::vector<Observation> observations;
    for (const Reading& reading : circuit.bench.readings) {
        if (reading.when != options.solve.when) continue;
        Expectation e = solver.expectation(reading);
        std::string place = reading.at ? reading.at->text : reading.through;
        if (!e.expected) {
            out.remarks.push_back(fmt::format("the reading at {} was left out: {}", place, e.why_not));
            continue;
        }
        double within = reading_within(circuit, reading), span = 0;
        if (e.low && e.high) span = std::max({*e.high - *e.expected, *e.expected - *e.low, 0.0});
        observations.push_back({&reading, within, span});
        if (e.unloaded && std::fabs(reading.is - *e.expected) <= within && std::fabs(reading.is - *e.unloaded) > within + span / 2)
            out.loading.push_back(detail::loading_sentence(circuit, reading, *e.expected, *e.unloaded));
    }
    out.readings = !observations.empty();
    if (!out.readings) return out;

    int threads = options.threads > 0 ? options.threads : static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
    Fitting fitting(circuit, solver, observations);
    FaultFit healthy = fitting.fit({}, {{}});
    out.healthy_misfit = healthy.misfit;
    out.healthy = healthy.misfit <= 1;
    if (out.healthy) return out;

    std::vector<Suspect> suspects = detail::suspects_of(circuit, solver);
    std::vector<Fitting::Look> looks(suspects.size());
    std::vector<FaultFit> fits(suspects.size(), FaultFit{detail::no_fit, {}, {}});
    std::mutex progress_lock;
    std::size_t done = 0;
    in_parallel(suspects.size(), threads, circuit, solver, observations, [&](std::size_t i, Fitting& own) {
        looks[i] = own.look({suspects[i]});
        if (looks[i].score <= worth_a_fit) fits[i] = own.fit({suspects[i]}, looks[i].starts);
        else if (!looks[i].starts.empty()) {
            // Told only where nothing fits: how near it comes without the tolerances.
            fits[i].amounts = looks[i].starts.front();
            fits[i].misfit = std::max(looks[i].score, 1.0 + 1e-9);
        }
        if (options.progress) {
            std::lock_guard lock(progress_lock);
            options.progress(double(++done) / double(suspects.size()));
        }
    });
    for (std::size_t i = 0; i < suspects.size(); ++i)
        if (fits[i].misfit < detail::no_fit) out.explanations.push_back(explanation_of({suspects[i]}, fits[i]));
    keep_best_of_each(out.explanations);
    std::size_t fitting_count = static_cast<std::size_t>(
        std::count_if(out.explanations.begin(), out.explanations.end(), [](const Explanation& e) { return e.fits; }));
    if (fitting_count > 0) {
        out.explanations.resize(fitting_count);
        if (fitting_count > 1) out.further = detail::further_reading(circuit, solver, out.explanations, options.solve.when);
        return out;
    }
    if (out.explanations.size() > nearest_told) out.explanations.resize(nearest_told);
    if (!options.seek_pairs) return out;

    // Pairs: the nearest singles, each with every other suspect.
    std::vector<std::size_t> order(suspects.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return fits[a].misfit < fits[b].misfit; });
    std::vector<std::vector<Suspect>> pairs;
    for (std::size_t a = 0; a < std::min(order.size(), singles_paired); ++a)
        for (std::size_t b = 0; b < order.size(); ++b)
            if (suspects[order[a]].part != suspects[order[b]].part && !(b < singles_paired && b < a))
                pairs.push_back({suspects[order[a]], suspects[order[b]]});
    std::vector<Fitting::Look> pair_looks(pairs.size());
    in_parallel(pairs.size(), threads, circuit, solver, observations,
                [&](std::size_t i, Fitting& own) { pair_looks[i] = own.look(pairs[i]); });
    std::vector<std::size_t> best(pairs.size());
    for (std::size_t i = 0; i < best.size(); ++i) best[i] = i;
    std::stable_sort(best.begin(), best.end(), [&](std::size_t a, std::size_t b) { return pair_looks[a].score < pair_looks[b].score; });
    if (best.size() > pairs_fitted) best.resize(pairs_fitted);
    std::vector<FaultFit> pair_fits(best.size(), FaultFit{detail::no_fit, {}, {}});
    in_parallel(best.size(), threads, circuit, solver, observations, [&](std::size_t i, Fitting& own) {
        if (pair_looks[best[i]].score < detail::no_fit) pair_fits[i] = own.fit(pairs[best[i]], pair_looks[best[i]].starts);
    });
    for (std::size_t i = 0; i < best.size(); ++i)
        if (pair_fits[i].misfit <= 1) out.pairs.push_back(explanation_of(pairs[best[i]], pair_fits[i]));
    keep_best_of_each(out.pairs);
    if (out.pairs.size() > pairs_told) out.pairs.resize(pairs_told);
    return out;
}

}  // namespace tallyboard
