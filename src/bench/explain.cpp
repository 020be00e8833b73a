#include "bench/explain.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <memory>
#include <mutex>
#include <numeric>

#include "base/text.h"
#include "base/threads.h"
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
    for_each_number_by(count, threads, [&] {
        auto fitting = std::make_shared<Fitting>(circuit, solver, observations);
        return [&work, fitting](std::size_t i) { work(i, *fitting); };
    });
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

// The readings that can be worked out, and whether each taken by itself is within its span.
struct Observed { std::vector<Observation> observations; bool each_inside = true; };

Observed observe(const Circuit& circuit, const Solver& solver, When when, Diagnosis& out) {
    Observed observed;
    out.remarks = solver.remarks();
    for (const Reading& reading : circuit.bench.readings) {
        if (reading.when != when) continue;
        Expectation e = solver.expectation(reading);
        std::string place = reading.at ? reading.at->text : reading.through;
        if (!e.expected) {
            out.remarks.push_back(fmt::format("the reading at {} was left out: {}", place, e.why_not));
            continue;
        }
        const double within = reading_within(circuit, reading), low = e.low.value_or(*e.expected), high = e.high.value_or(*e.expected);
        observed.observations.push_back({&reading, within, std::max({high - *e.expected, *e.expected - low, 0.0})});
        observed.each_inside &= reading.is >= low - within && reading.is <= high + within;
        if (e.unloaded && std::fabs(reading.is - *e.expected) <= within &&
            std::fabs(reading.is - *e.unloaded) > within + observed.observations.back().span / 2)
            out.loading.push_back(detail::loading_sentence(circuit, reading, *e.expected, *e.unloaded));
    }
    return observed;
}

// What singles and pairs are tried with, and how well each single suspect fitted.
struct Trials {
    const Circuit& circuit;
    const Solver& solver;
    const std::vector<Observation>& observations;
    std::vector<Suspect> suspects;
    std::vector<FaultFit> fits;   // of each suspect alone
    const ExplainOptions& options;
};

// Every suspect alone, best first.
std::vector<Explanation> singles(Trials& t) {
    t.fits.assign(t.suspects.size(), FaultFit{detail::no_fit, {}, {}});
    std::mutex progress_lock;
    std::size_t done = 0;
    in_parallel(t.suspects.size(), t.options.threads, t.circuit, t.solver, t.observations, [&](std::size_t i, Fitting& own) {
        const Fitting::Look look = own.look({t.suspects[i]});
        if (look.score <= worth_a_fit) t.fits[i] = own.fit({t.suspects[i]}, look.starts);
        else if (!look.starts.empty()) {
            // Told only where nothing fits: how near it comes without the tolerances.
            t.fits[i].amounts = look.starts.front();
            t.fits[i].misfit = std::max(look.score, 1.0 + 1e-9);
        }
        if (t.options.progress) {
            std::lock_guard lock(progress_lock);
            t.options.progress(double(++done) / double(t.suspects.size()));
        }
    });
    std::vector<Explanation> out;
    for (std::size_t i = 0; i < t.suspects.size(); ++i)
        if (t.fits[i].misfit < detail::no_fit) out.push_back(explanation_of({t.suspects[i]}, t.fits[i]));
    keep_best_of_each(out);
    return out;
}

// The nearest singles, each with every other suspect.
std::vector<std::vector<Suspect>> pairs_worth_a_look(const Trials& t) {
    std::vector<std::size_t> order(t.suspects.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return t.fits[a].misfit < t.fits[b].misfit; });
    std::vector<std::vector<Suspect>> out;
    for (std::size_t a = 0; a < std::min(order.size(), singles_paired); ++a)
        for (std::size_t b = 0; b < order.size(); ++b)
            if (t.suspects[order[a]].part != t.suspects[order[b]].part && !(b < singles_paired && b < a))
                out.push_back({t.suspects[order[a]], t.suspects[order[b]]});
    return out;
}

// Pairs that fit, best first, a few.
std::vector<Explanation> pairs(const Trials& t) {
    const std::vector<std::vector<Suspect>> tried = pairs_worth_a_look(t);
    std::vector<Fitting::Look> looks(tried.size());
    in_parallel(tried.size(), t.options.threads, t.circuit, t.solver, t.observations, [&](std::size_t i, Fitting& own) { looks[i] = own.look(tried[i]); });
    std::vector<std::size_t> best(tried.size());
    std::iota(best.begin(), best.end(), std::size_t{0});
    std::stable_sort(best.begin(), best.end(), [&](std::size_t a, std::size_t b) { return looks[a].score < looks[b].score; });
    if (best.size() > pairs_fitted) best.resize(pairs_fitted);
    std::vector<FaultFit> fits(best.size(), FaultFit{detail::no_fit, {}, {}});
    in_parallel(best.size(), t.options.threads, t.circuit, t.solver, t.observations, [&](std::size_t i, Fitting& own) {
        if (looks[best[i]].score < detail::no_fit) fits[i] = own.fit(tried[best[i]], looks[best[i]].starts);
    });
    std::vector<Explanation> out;
    for (std::size_t i = 0; i < best.size(); ++i)
        if (fits[i].misfit <= 1) out.push_back(explanation_of(tried[best[i]], fits[i]));
    keep_best_of_each(out);
    if (out.size() > pairs_told) out.resize(pairs_told);
    return out;
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
    const Solver solver(circuit, options.solve);
    const Observed observed = observe(circuit, solver, options.solve.when, out);
    out.readings = !observed.observations.empty();
    if (!out.readings) return out;

    out.healthy_misfit = Fitting(circuit, solver, observed.observations).fit({}, {{}}).misfit;
    out.healthy = observed.each_inside || out.healthy_misfit <= 1;
    if (out.healthy_misfit <= 1) return out;

    Trials trials{circuit, solver, observed.observations, detail::suspects_of(circuit, solver), {}, options};
    out.explanations = singles(trials);
    const auto fitting = static_cast<std::size_t>(std::count_if(out.explanations.begin(), out.explanations.end(), [](const Explanation& e) { return e.fits; }));
    if (out.healthy || fitting > 0) out.explanations.resize(fitting);
    else if (out.explanations.size() > nearest_told) out.explanations.resize(nearest_told);
    if (out.healthy) std::swap(out.hints, out.explanations);
    else if (fitting > 1) out.further = detail::further_reading(circuit, solver, out.explanations, options.solve.when);
    else if (fitting == 0 && options.seek_pairs) out.pairs = pairs(trials);
    return out;
}

}  // namespace tallyboard
