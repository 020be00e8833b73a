#include "bench/further_reading.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

#include "base/text.h"

namespace tallyboard::detail {
namespace {

// The meter most readings were made with.
std::string usual_meter(const Circuit& circuit, When when) {
    std::map<std::string, int> uses;
    for (const Reading& reading : circuit.bench.readings)
        if (reading.when == when && reading.what == ReadingWhat::voltage && reading.meter) ++uses[*reading.meter];
    std::string best;
    int most = 0;
    for (const auto& [meter, count] : uses)
        if (count > most) best = meter, most = count;
    return best;
}

std::string rail_above(const Circuit& circuit, const Reading& reading) {
    if (circuit.setup)
        for (const Supply& supply : circuit.setup->supplies)
            if (reading.to && reading.to->net == supply.minus) return net_name(circuit, supply.plus);
    return "the supply rail";
}

}  // namespace

std::optional<FurtherReading> further_reading(const Circuit& circuit, const Solver& solver,
                                              const std::vector<Explanation>& explanations, When when) {
    std::optional<NetId> ground = circuit.ground();
    if (!ground || explanations.size() < 2) return std::nullopt;
    std::string meter_id = usual_meter(circuit, when);
    double error = 0.01;
    const Meter* meter = nullptr;
    for (const Meter& m : circuit.bench.meters)
        if (m.id == meter_id) meter = &m, error = m.error;

    std::optional<FurtherReading> best;
    double best_left = static_cast<double>(explanations.size()) - 1e-6;
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n) {
        NetId net{n};
        if (net == *ground || circuit[net].role == NetRole::mains) continue;
        bool read = std::any_of(circuit.bench.readings.begin(), circuit.bench.readings.end(), [&](const Reading& r) {
            return r.when == when && r.what == ReadingWhat::voltage && r.at && r.at->net == net && r.to && r.to->net == *ground;
        });
        if (read) continue;
        Reading trial;
        trial.at = Place{net_name(circuit, net), {}, net, {}};
        trial.to = Place{net_name(circuit, *ground), {}, *ground, {}};
        trial.when = when;
        if (meter) trial.meter = meter->id;
        Expectation healthy = solver.expectation(trial);
        if (!healthy.expected) continue;
        double span = healthy.low && healthy.high ? (*healthy.high - *healthy.low) / 2 : 0;
        // A meter whose loading goes by its range is set to the range the healthy reading asks for.
        if (meter && meter->ohms_per_volt) {
            double range = 1000;
            for (double step : {1000.0, 300.0, 100.0, 30.0, 10.0, 3.0, 1.0, 0.3})
                if (step >= 1.05 * std::fabs(*healthy.expected)) range = step;
            trial.range = range;
        }
        ReadingModel model = solver.reading_model(trial);
        std::vector<std::pair<double, std::size_t>> shows;
        for (std::size_t e = 0; e < explanations.size(); ++e) {
            std::vector<Departure> departures;
            for (const Fault& fault : explanations[e].faults) departures.push_back({fault.part, fault.how, fault.value.value_or(0), fault.pins});
            if (std::optional<double> volts = model.expected(departures)) shows.push_back({*volts, e});
        }
        if (shows.size() < explanations.size()) continue;
        std::sort(shows.begin(), shows.end());
        // Runs of outcomes that cannot be told from their neighbour.
        double left = 0, run = 1;
        for (std::size_t i = 1; i <= shows.size(); ++i) {
            double apart = 2 * (error * std::max(std::fabs(shows[i - 1].first), 0.01)) + span;
            if (i < shows.size() && shows[i].first - shows[i - 1].first <= apart) ++run;
            else left += run * run / static_cast<double>(shows.size()), run = 1;
        }
        if (left < best_left - 1e-9) {
            best_left = left;
            best = FurtherReading{net, *ground, meter_id, {}, left};
            std::sort(shows.begin(), shows.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
            for (const auto& [volts, index] : shows) best->shows.push_back({index, volts});
        }
    }
    return best;
}

std::string loading_sentence(const Circuit& circuit, const Reading& reading, double expected, double unloaded) {
    Quantity quantity = reading.what == ReadingWhat::voltage ? Quantity::voltage
                      : reading.what == ReadingWhat::current ? Quantity::current : Quantity::resistance;
    std::string place = reading.at ? reading.at->text : reading.through;
    std::string says = fmt::format("{} reads {} only because the meter loads it: this meter shows {} where {} stand without it",
                                   place, reading.is_text, engineering_text(expected, quantity), engineering_text(unloaded, quantity));
    if (reading.what == ReadingWhat::voltage)
        says += fmt::format("; read it from {} too: what the two readings lack of the whole is the loading", rail_above(circuit, reading));
    return says;
}

}  // namespace tallyboard::detail
