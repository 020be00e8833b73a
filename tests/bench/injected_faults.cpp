#include "bench/injected_faults.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <set>

#include "base/number_text.h"
#include "base/text.h"
#include "bench/probe_sheet.h"
#include "bench/suspects.h"
#include "support/draft.h"

namespace tallyboard::test {
namespace {

Reading reading_at(const Circuit& circuit, NetId net, NetId ground) {
    Reading reading;
    reading.at = Place{net_name(circuit, net), {}, net, {}};
    reading.to = Place{net_name(circuit, ground), {}, ground, {}};
    reading.meter = "injected";
    return reading;
}

double as_shown(double volts) {
    return volts == 0 ? 0 : read_double(rounded_text(volts, 4)).value_or(0);
}

std::string fault_name(const Circuit& circuit, const Fault& fault) {
    std::string out = circuit[fault.part].ref + " " + std::string(fault_word(fault.how));
    if (fault.value) out += " " + engineering_text(*fault.value, fault.how == Taken::leak ? Quantity::resistance
                                                                   : circuit.kind_of(circuit[fault.part]).quantity);
    return out;
}

// The sample with a usual meter, and no readings of its own.
Circuit with_meter(const Circuit& original) {
    Circuit circuit = original;
    Meter meter;
    meter.id = "injected";
    meter.input_ohms = 10e6;
    meter.error = 0.01;
    circuit.bench.meters.push_back(meter);
    circuit.bench.readings.clear();
    return circuit;
}

struct Spot { Reading reading; Expectation expectation; bool rail; };

std::vector<Spot> spots_of(const Circuit& circuit, const Solver& solver, const SolveOptions& options) {
    std::vector<Spot> spots;
    for (const VoltageRow& row : probe_sheet(circuit, {options, "injected"}).voltages) {
        Reading reading = reading_at(circuit, row.net, circuit.ground().value());
        Expectation e = solver.expectation(reading);
        if (e.expected && e.low && e.high) spots.push_back({reading, e, row.group == ProbeGroup::supplies});
    }
    return spots;
}

// Two supplies, and the places furthest out. None where no operating point is found.
std::vector<Reading> six_readings(const std::vector<Spot>& spots, std::vector<ReadingModel>& models, const std::vector<Departure>& departures) {
    std::vector<std::pair<double, std::size_t>> by_departure;
    std::vector<double> shows;
    for (std::size_t i = 0; i < spots.size(); ++i) {
        std::optional<double> volts = models[i].expected(departures);
        if (!volts) return {};
        shows.push_back(as_shown(*volts));
        const Expectation& e = spots[i].expectation;
        double room = (*e.high - *e.low) / 2 + 0.01 * std::fabs(shows.back()) + 1e-3;
        by_departure.push_back({-std::fabs(shows.back() - *e.expected) / room, i});
    }
    std::vector<std::size_t> chosen;
    for (std::size_t i = 0; i < spots.size() && chosen.size() < 2; ++i)
        if (spots[i].rail) chosen.push_back(i);
    std::stable_sort(by_departure.begin(), by_departure.end());
    for (const auto& [departure, i] : by_departure)
        if (chosen.size() < 6 && std::find(chosen.begin(), chosen.end(), i) == chosen.end()) chosen.push_back(i);
    std::vector<Reading> out;
    for (std::size_t i : chosen) {
        Reading reading = spots[i].reading;
        reading.is = shows[i];
        reading.is_text = shortest_text(shows[i]) + "V";
        out.push_back(reading);
    }
    return out;
}

Diagnosis diagnosis_of(const Circuit& circuit, const SolveOptions& options) {
    ExplainOptions explain_options;
    explain_options.solve = options;
    explain_options.seek_pairs = false;
    return explain(circuit, explain_options);
}

// Whether tolerances and the meter's error together leave some reading unexplained, each taken by itself.
bool some_outside(const Circuit& circuit, const SolveOptions& options) {
    Solver solver(circuit, options);
    return std::any_of(circuit.bench.readings.begin(), circuit.bench.readings.end(), [&](const Reading& reading) {
        Expectation e = solver.expectation(reading);
        double within = reading_within(circuit, reading);
        return e.low && e.high && (reading.is < *e.low - within || reading.is > *e.high + within);
    });
}

std::vector<PartId> parts_named(const Diagnosis& d) {
    std::vector<PartId> parts;
    for (const Explanation& e : d.explanations)
        if (e.fits && std::find(parts.begin(), parts.end(), e.faults.front().part) == parts.end()) parts.push_back(e.faults.front().part);
    return parts;
}

// Two-pin parts across the same two nets cannot be told apart by any voltage: they count as one.
std::size_t told_apart(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::set<std::pair<NetId, NetId>> across;
    std::size_t count = 0;
    for (PartId part : parts) {
        const std::vector<Pin>& pins = circuit[part].pins;
        bool two = pins.size() == 2 && pins[0].state == PinState::traced && pins[1].state == PinState::traced;
        if (!two || across.insert(std::minmax(pins[0].net, pins[1].net)).second) ++count;
    }
    return count;
}

// What the suggested reading shows on the faulty unit.
std::optional<Reading> taken(const Circuit& circuit, const FurtherReading& further, const Fault& fault, const SolveOptions& options) {
    Reading reading = reading_at(circuit, further.at, further.to);
    const std::vector<Departure> departures{{fault.part, fault.how, fault.value.value_or(0), fault.pins}};
    const Solver solver(circuit, options);   // the model refers to it
    std::optional<double> volts = solver.reading_model(reading).expected(departures);
    if (!volts) return std::nullopt;
    reading.is = as_shown(*volts);
    reading.is_text = shortest_text(reading.is) + "V";
    return reading;
}

}  // namespace

std::vector<InjectedFault> injected_faults(const Circuit& original, const SolveOptions& options) {
    const Circuit circuit = with_meter(original);
    Solver solver(circuit, options);
    const std::vector<Spot> spots = spots_of(circuit, solver, options);
    std::vector<ReadingModel> models;
    for (const Spot& spot : spots) models.push_back(solver.reading_model(spot.reading));

    std::vector<InjectedFault> out;
    for (const detail::Suspect& suspect : detail::suspects_of(circuit, solver)) {
        std::vector<double> amounts{0};
        if (suspect.how == Taken::value) {
            double nominal = circuit[suspect.part].nominal()->si();
            amounts = {nominal / 2, nominal * 2, nominal * 10};
        } else if (suspect.how == Taken::leak) amounts = {22e3, 470e3};
        for (double amount : amounts) {
            std::vector<Departure> departures{{suspect.part, suspect.how, amount, suspect.pins}};
            InjectedFault fault;
            fault.fault = {suspect.part, suspect.how, suspect.adjustable ? std::optional(amount) : std::nullopt, suspect.pins};
            fault.name = fault_name(circuit, fault.fault);
            fault.readings = six_readings(spots, models, departures);
            if (fault.readings.empty()) continue;
            out.push_back(std::move(fault));
        }
    }
    return out;
}

std::vector<InjectedFault> evenly(const std::vector<InjectedFault>& faults, std::size_t count) {
    if (faults.size() <= count) return faults;
    std::vector<InjectedFault> out;
    for (std::size_t i = 0; i < count; ++i) out.push_back(faults[i * faults.size() / count]);
    return out;
}

std::size_t quantile(std::vector<std::size_t> sizes, double share) {
    if (sizes.empty()) return 0;
    std::sort(sizes.begin(), sizes.end());
    return sizes[static_cast<std::size_t>(std::ceil(share * static_cast<double>(sizes.size()))) - 1];
}

std::string summary(const Findings& f) {
    const auto sizes = [](const std::vector<std::size_t>& list) {
        return fmt::format("median {}, nine in ten at most {}, most {}", quantile(list, 0.5), quantile(list, 0.9), quantile(list, 1));
    };
    const auto mean = [](const std::vector<std::size_t>& list) {
        return static_cast<double>(std::accumulate(list.begin(), list.end(), std::size_t{0})) / static_cast<double>(std::max<std::size_t>(list.size(), 1));
    };
    std::string out = fmt::format("  {} faults; {} push a reading outside its span, the part is named in {} of them\n", f.faults, f.outside, f.named);
    out += fmt::format("  of the {} others {} are accused of something: {}\n", f.faults - f.outside, f.accused.size(), join(f.accused, ", "));
    out += "  suspects: " + sizes(f.suspects) + "\n";
    out += fmt::format("  a further reading suggested in {}: {:.2f} suspects before it, {:.2f} with it, the part still named in {}\n", f.before_further.size(),
                       mean(f.before_further), mean(f.after_further), f.named_further);
    for (const std::string& name : f.missed) out += "  missed: " + name + "\n";
    return out;
}

Findings find_faults(const Circuit& original, const std::vector<InjectedFault>& faults, const SolveOptions& options) {
    Findings out;
    for (const InjectedFault& fault : faults) {
        Circuit circuit = with_meter(original);
        circuit.bench.readings = fault.readings;
        const Diagnosis d = diagnosis_of(circuit, options);
        ++out.faults;
        if (!some_outside(circuit, options)) {
            if (!d.healthy) out.accused.push_back(fault.name);
            continue;
        }
        ++out.outside;
        const std::vector<PartId> parts = parts_named(d);
        const auto is_named = [&](const std::vector<PartId>& list) { return std::find(list.begin(), list.end(), fault.fault.part) != list.end(); };
        if (is_named(parts)) ++out.named;
        else out.missed.push_back(fault.name);
        out.suspects.push_back(told_apart(circuit, parts));
        if (!d.further) continue;
        const std::optional<Reading> further = taken(circuit, *d.further, fault.fault, options);
        if (!further) continue;
        circuit.bench.readings.push_back(*further);
        const std::vector<PartId> left = parts_named(diagnosis_of(circuit, options));
        out.before_further.push_back(out.suspects.back());
        out.after_further.push_back(told_apart(circuit, left));
        out.named_further += is_named(left);
    }
    return out;
}

std::size_t fault_free_accused(const Circuit& original, std::size_t units, const SolveOptions& options) {
    Circuit circuit = with_meter(original);
    const Solver solver(circuit, options);
    const std::vector<Spot> spots = spots_of(circuit, solver, options);
    std::vector<ReadingModel> models;
    for (const Spot& spot : spots) models.push_back(solver.reading_model(spot.reading));
    Random random(1);
    std::size_t accused = 0;
    for (std::size_t unit = 0; unit < units; ++unit) {
        std::vector<Departure> departures;
        for (const Spread& spread : solver.spreads()) {
            const double share = static_cast<double>(random.below(2001)) / 1000 - 1;   // -1 … 1 of the tolerance
            departures.push_back({spread.part, Taken::value, spread.nominal * (1 + share * (share < 0 ? spread.tolerance.minus : spread.tolerance.plus)), {}});
        }
        circuit.bench.readings = six_readings(spots, models, departures);
        if (!circuit.bench.readings.empty() && !diagnosis_of(circuit, options).healthy) ++accused;
    }
    return accused;
}

}  // namespace tallyboard::test
