#include "bench/injected_faults.h"

#include <algorithm>
#include <cmath>

#include "base/number_text.h"
#include "bench/probe_sheet.h"
#include "bench/suspects.h"

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

}  // namespace

std::vector<InjectedFault> injected_faults(const Circuit& original, const SolveOptions& options) {
    Circuit circuit = original;
    Meter meter;
    meter.id = "injected";
    meter.input_ohms = 10e6;
    meter.error = 0.01;
    circuit.bench.meters.push_back(meter);
    Solver solver(circuit, options);
    NetId ground = circuit.ground().value();
    struct Spot { Reading reading; Expectation expectation; bool rail; };
    std::vector<Spot> spots;
    for (const VoltageRow& row : probe_sheet(circuit, {options, "injected"}).voltages) {
        Reading reading = reading_at(circuit, row.net, ground);
        Expectation e = solver.expectation(reading);
        if (e.expected && e.low && e.high) spots.push_back({reading, e, row.group == ProbeGroup::supplies});
    }
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
            std::vector<std::pair<double, std::size_t>> by_departure;
            std::vector<double> shows;
            for (std::size_t i = 0; i < spots.size(); ++i) {
                std::optional<double> volts = models[i].expected(departures);
                if (!volts) break;
                shows.push_back(as_shown(*volts));
                const Expectation& e = spots[i].expectation;
                double room = (*e.high - *e.low) / 2 + 0.01 * std::fabs(shows.back()) + 1e-3;
                by_departure.push_back({-std::fabs(shows.back() - *e.expected) / room, i});
            }
            if (shows.size() < spots.size()) continue;
            std::vector<std::size_t> chosen;
            for (std::size_t i = 0; i < spots.size() && chosen.size() < 2; ++i)
                if (spots[i].rail) chosen.push_back(i);
            std::stable_sort(by_departure.begin(), by_departure.end());
            for (const auto& [departure, i] : by_departure)
                if (chosen.size() < 6 && std::find(chosen.begin(), chosen.end(), i) == chosen.end()) chosen.push_back(i);
            for (std::size_t i : chosen) {
                Reading reading = spots[i].reading;
                reading.is = shows[i];
                reading.is_text = shortest_text(shows[i]) + "V";
                fault.readings.push_back(reading);
            }
            out.push_back(std::move(fault));
        }
    }
    return out;
}

Findings find_faults(const Circuit& original, const std::vector<InjectedFault>& faults, const SolveOptions& options) {
    Findings out;
    for (const InjectedFault& fault : faults) {
        Circuit circuit = original;
        Meter meter;
        meter.id = "injected";
        meter.input_ohms = 10e6;
        meter.error = 0.01;
        circuit.bench.meters.push_back(meter);
        circuit.bench.readings = fault.readings;
        ExplainOptions explain_options;
        explain_options.solve = options;
        explain_options.seek_pairs = false;
        Diagnosis d = explain(circuit, explain_options);
        ++out.faults;
        // A reading outside what tolerances and meter allow is what makes the unit not healthy; the program's own word for it is
        // checked against the plain spans of the readings.
        Solver solver(circuit, options);
        bool outside = false;
        for (const Reading& reading : circuit.bench.readings) {
            Expectation e = solver.expectation(reading);
            double within = reading_within(circuit, reading);
            if (e.low && e.high && (reading.is < *e.low - within || reading.is > *e.high + within)) outside = true;
        }
        if (!outside) continue;
        ++out.outside;
        bool named = false;
        std::vector<PartId> parts;
        for (const Explanation& e : d.explanations) {
            if (!e.fits) continue;
            if (e.faults.front().part == fault.fault.part) named = true;
            if (std::find(parts.begin(), parts.end(), e.faults.front().part) == parts.end()) parts.push_back(e.faults.front().part);
        }
        if (named) ++out.named;
        else out.missed.push_back(fault.name);
        // Two-pin parts across the same two nets cannot be told apart by any voltage.
        std::vector<std::pair<NetId, NetId>> across;
        std::size_t count = 0;
        for (PartId part : parts) {
            const std::vector<Pin>& pins = circuit[part].pins;
            if (pins.size() == 2 && pins[0].state == PinState::traced && pins[1].state == PinState::traced) {
                auto pair = std::minmax(pins[0].net, pins[1].net);
                std::pair<NetId, NetId> nets{pair.first, pair.second};
                if (std::find(across.begin(), across.end(), nets) != across.end()) continue;
                across.push_back(nets);
            }
            ++count;
        }
        out.suspects.push_back(count);
        if (d.further) out.suspects_after.push_back(d.further->suspects_left);
    }
    return out;
}

}  // namespace tallyboard::test
