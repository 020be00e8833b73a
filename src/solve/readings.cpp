#include "solve/readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

constexpr double usual_test_volts = 0.2;   // the format's default
// What a meter would have to tell apart from nothing at all.
constexpr double open_ohms = 1e12;

int net_of(const std::optional<Place>& place) {
    return place && place->net ? static_cast<int>(place->net->index) : -1;
}

// Meter and probes as the equations know them.
LayoutRequest request_of(const Circuit& circuit, const Reading& reading, bool with_meter) {
    LayoutRequest request;
    const Meter* meter = meter_of(circuit, reading);
    request.without = reading.without;
    if (reading.what == ReadingWhat::current) {
        if (reading.through_pin) request.through_pin = reading.through_pin;
        else request.through_supply = reading.through;
        if (with_meter && meter && meter->burden_volts && reading.range && *reading.range > 0)
            request.burden_ohms = *meter->burden_volts / *reading.range;
        return request;
    }
    LayoutRequest::Across across{net_of(reading.at), net_of(reading.to), 0, {}, {}};
    if (reading.what == ReadingWhat::resistance) {
        request.powered = false;
        if (meter && meter->test_amperes && *meter->test_amperes != 0) across.test_amperes = meter->test_amperes;
        else across.test_volts = meter && meter->test_volts && *meter->test_volts != 0 ? *meter->test_volts : usual_test_volts;
    } else if (with_meter && meter) {
        if (meter->input_ohms && *meter->input_ohms > 0) across.siemens = 1 / *meter->input_ohms;
        else if (meter->ohms_per_volt && reading.range && *meter->ohms_per_volt * *reading.range > 0)
            across.siemens = 1 / (*meter->ohms_per_volt * *reading.range);
    }
    request.across = across;
    return request;
}

}  // namespace

const Meter* meter_of(const Circuit& circuit, const Reading& reading) {
    if (!reading.meter) return nullptr;
    for (const Meter& meter : circuit.bench.meters)
        if (meter.id == *reading.meter) return &meter;
    return nullptr;
}

std::string resistance_words(const Circuit& circuit, const Network& network, const Rest& rest) {
    const std::string place = rest.resists >= 0 ? network.says(circuit, rest.resists) : std::string();
    if (rest.short_circuit) return fmt::format("a short circuit: nothing limits the current at {}", place);
    if (place.empty()) return "no operating point was found";
    return fmt::format("no operating point was found; {} resists", place);
}

std::string hidden_words(const Plan& plan) {
    if (plan.unmodelled.empty()) return "it depends on a net that nothing holds";
    std::vector<std::string> refs;
    for (const Unmodelled& part : plan.unmodelled)
        if (std::find(refs.begin(), refs.end(), part.ref) == refs.end()) refs.push_back(part.ref);
    if (refs.size() > 4) return fmt::format("it depends on one of {} parts that could not be worked with", refs.size());
    return fmt::format("it depends on {}, of which too little is known", join_words(refs, "or"));
}

Metered::Metered(const Circuit& circuit, const Plan& plan, const Reading& reading, bool with_meter,
                 std::span<const Departure> departures)
    : circuit_(circuit), reading_(reading), hidden_(hidden_words(plan)) {
    LayoutRequest request = request_of(circuit, reading, with_meter);
    request.departures = departures;
    if (request.across && request.across->test_volts) test_volts_ = *request.across->test_volts;
    if (request.across && request.across->test_amperes) test_amperes_ = *request.across->test_amperes;
    if (reading.what != ReadingWhat::current && (net_of(reading.at) < 0 || net_of(reading.to) < 0))
        why_ = "a pin that is not traced is open";
    Network network = lay_out(circuit, plan, request);
    equations_ = std::make_unique<Equations>(std::move(network));
}

// The reading is scale · (weights · x); for an ohmmeter with a test voltage its inverse.
std::vector<double> Metered::functional(double* scale) const {
    const Network& network = equations_->network;
    std::vector<double> weights(network.size(), 0);
    *scale = 1;
    if (reading_.what == ReadingWhat::current || test_volts_ != 0) {
        if (network.meter_current >= 0) weights[network.meter_current] = network.meter_sign;
        return weights;
    }
    if (network.meter_a >= 0) weights[network.meter_a] += 1;
    if (network.meter_b >= 0) weights[network.meter_b] -= 1;
    if (test_amperes_ != 0) *scale = 1 / test_amperes_;
    return weights;
}

std::optional<double> Metered::show() {
    if (!why_.empty() && reading_.what != ReadingWhat::current) return {};
    Rest rest = equations_->find_rest(start_);
    if (!rest.converged && !start_.empty()) rest = equations_->find_rest();
    if (!rest.converged) {
        why_ = resistance_words(circuit_, equations_->network, rest);
        start_.clear();
        return {};
    }
    why_.clear();
    std::optional<double> value = told_value(rest);
    start_ = std::move(rest.x);
    if (value && !std::isfinite(*value)) value.reset();
    if (value) shown_ = *value;
    return value;
}

std::optional<double> Metered::told_value(const Rest& rest) {
    const Network& network = equations_->network;
    const Structure& structure = equations_->at_rest();
    const auto hidden = [&]() -> std::optional<double> {
        why_ = hidden_;
        return {};
    };
    if (reading_.what == ReadingWhat::current) {
        if (network.meter_current < 0) return 0.0;  // nothing is connected there
        if (!structure.told[network.meter_current]) return hidden();
        return network.meter_sign * rest.x[network.meter_current];
    }
    const auto volts = [&](int node) { return node < 0 ? 0.0 : rest.x[node]; };
    const double difference = volts(network.meter_a) - volts(network.meter_b);
    if (reading_.what == ReadingWhat::voltage) {
        if (!structure.tells_difference(network.meter_a, network.meter_b)) return hidden();
        return difference;
    }
    if (network.meter_a == network.meter_b) return 0.0;
    if (test_amperes_ != 0) {
        const bool joined = network.meter_a < 0 || network.meter_b < 0
                                ? structure.group[std::max(network.meter_a, network.meter_b)] < 0
                                : structure.group[network.meter_a] == structure.group[network.meter_b];
        if (!structure.tells_difference(network.meter_a, network.meter_b)) return joined ? hidden() : std::nullopt;
        const double ohms = difference / test_amperes_;
        if (std::fabs(ohms) < open_ohms) return ohms;
    } else {
        if (!structure.told[network.meter_current]) return hidden();
        const double amperes = network.meter_sign * rest.x[network.meter_current];
        if (std::fabs(amperes) * open_ohms > std::fabs(test_volts_)) return test_volts_ / amperes;
    }
    why_ = "nothing conducts between the two places: the meter shows open";
    return {};
}

// -y · dF for a rise of ln value of what these elements share: differences of the elements alone, exact to 1e-8.
double Metered::slope_by(const std::vector<int>& elements, double value, const std::vector<double>& adjoint, std::vector<double>& change) {
    constexpr double step = 1e-4;   // of ln value, to both sides
    Network& network = equations_->network;
    for (int side : {1, -1})
        for (int e : elements) {
            network.elements[e]->take_value(value * std::exp(side * step));
            equations_->add_residual(e, start_, side / (2 * step), change);
        }
    double sum = 0;
    for (int e : elements) {
        network.elements[e]->take_value(value);
        for (int u : network.elements[e]->at) {
            if (u < 0) continue;
            sum -= adjoint[u] * change[u];
            change[u] = 0;
        }
    }
    return sum;
}

Metered::Slopes Metered::slopes() {
    Network& network = equations_->network;
    Slopes out{std::vector<double>(network.valued.size(), 0), std::vector<double>(network.leaks.size(), 0)};
    if (start_.empty()) return out;   // nothing was shown
    double scale = 1;
    const std::optional<std::vector<double>> y = equations_->adjoint(functional(&scale));
    if (!y) return out;
    // d(w·x) = -y · dF. With a test voltage the reading is V / I: dR = -R² dI / V.
    if (test_volts_ != 0) scale = -shown_ * shown_ / test_volts_;
    std::vector<double> change(network.size());
    for (std::size_t i = 0; i < network.valued.size(); ++i)
        out.valued[i] = scale * slope_by(network.valued[i].elements, network.valued[i].now, *y, change);
    for (std::size_t i = 0; i < network.leaks.size(); ++i)
        if (const Network::Leak& leak = network.leaks[i]; leak.element >= 0) out.leaks[i] = scale * slope_by({leak.element}, leak.ohms, *y, change);
    return out;
}

void Metered::reset_values() {
    for (Network::Valued& one : equations_->network.valued) {
        for (int e : one.elements) equations_->network.elements[e]->take_value(one.nominal);
        one.now = one.nominal;
    }
}

namespace {

// Each part's tolerance at its worse end by the sign of its effect.
void put_span(Metered& metered, const std::vector<double>& slopes, Expectation& out) {
    Network& network = metered.equations().network;
    for (int side : {1, -1}) {
        for (std::size_t i = 0; i < network.valued.size(); ++i) {
            const Network::Valued& one = network.valued[i];
            const double sign = slopes[i] * side;
            const double share = sign > 0 ? 1 + one.tolerance.plus : sign < 0 ? std::max(1 - one.tolerance.minus, 1e-6) : 1;
            for (int e : one.elements) network.elements[e]->take_value(one.nominal * share);
        }
        const std::optional<double> end = metered.show();
        (side > 0 ? out.high : out.low) = end;
    }
    metered.reset_values();
    if (out.low && out.high && *out.low > *out.high) std::swap(out.low, out.high);
}

}  // namespace

Expectation expectation_of(const Circuit& circuit, const Plan& plan, const Reading& reading) {
    Expectation out;
    Metered loaded(circuit, plan, reading, true, {});
    out.expected = loaded.show();
    out.why_not = loaded.why();
    if (reading.what == ReadingWhat::resistance || !meter_of(circuit, reading)) {
        out.unloaded = out.expected;
    } else {
        Metered ideal(circuit, plan, reading, false, {});
        out.unloaded = ideal.show();
    }
    if (!out.expected) return out;
    const std::vector<double> slopes = loaded.slopes().valued;
    const double negligible = 1e-12 * std::fabs(*out.expected);
    for (std::size_t i = 0; i < slopes.size(); ++i)
        if (std::fabs(slopes[i]) > negligible)
            out.effects.push_back({loaded.equations().network.valued[i].part, slopes[i]});
    put_span(loaded, slopes, out);
    if (!out.low || !out.high) out.low = out.high = std::nullopt;
    return out;
}

}  // namespace tallyboard::detail
