#include "solve/solve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "solve/readings.h"
#include "solve/response.h"

namespace tallyboard {

using detail::Equations;
using detail::LayoutRequest;
using detail::Metered;
using detail::Network;
using detail::Plan;
using detail::Rest;
using detail::Structure;

struct Solver::State {
    const Circuit& circuit;
    Plan plan;
};

struct ReadingModel::State {
    // The reading with certain parts open, shorted or leaking: values and the sizes of leaks are changed in it.
    struct Variant {
        std::vector<Departure> shape;     // the departures that are no values
        Metered metered;
        bool changed = false;             // values are not nominal now
    };
    const Circuit& circuit;
    const Plan& plan;
    Reading reading;
    std::vector<std::unique_ptr<Variant>> variants;  // the last used first

    Variant& variant(std::span<const Departure> departures);
};

namespace {

// Suspects come in runs: the same fault with other sizes. So many are kept.
constexpr std::size_t variants_kept = 6;

bool is_value(const Departure& departure) {
    return departure.taken == Taken::value && std::isfinite(departure.amount) && departure.amount > 0;
}
bool is_leak(const Departure& departure) { return departure.taken == Taken::leak && departure.amount > 0; }
bool same_shape(const Departure& a, const Departure& b) {
    return a.part == b.part && a.taken == b.taken && a.pins == b.pins && is_leak(a) == is_leak(b) &&
           (a.taken != Taken::value || a.amount == b.amount);
}

}  // namespace

ReadingModel::State::Variant& ReadingModel::State::variant(std::span<const Departure> departures) {
    std::vector<Departure> shape;
    for (const Departure& departure : departures)
        if (!is_value(departure)) shape.push_back(departure);
    const auto known = std::find_if(variants.begin(), variants.end(), [&](const auto& one) {
        return std::equal(one->shape.begin(), one->shape.end(), shape.begin(), shape.end(), same_shape);
    });
    if (known != variants.end()) {
        std::rotate(variants.begin(), known, known + 1);
    } else {
        if (variants.size() == variants_kept) variants.pop_back();
        variants.insert(variants.begin(), std::unique_ptr<Variant>(new Variant{shape, Metered(circuit, plan, reading, true, shape), false}));
    }
    return *variants.front();
}

Solver::Solver(const Circuit& circuit, const SolveOptions& options)
    : state_(std::make_unique<State>(State{circuit, detail::plan_of(circuit, options)})) {}
Solver::Solver(Solver&&) noexcept = default;
Solver::~Solver() = default;

const std::vector<Spread>& Solver::spreads() const { return state_->plan.spreads; }
const std::vector<DeviceSpread>& Solver::device_spreads() const { return state_->plan.device_spreads; }
const std::vector<Unmodelled>& Solver::unmodelled() const { return state_->plan.unmodelled; }
const std::vector<std::string>& Solver::remarks() const { return state_->plan.remarks; }

namespace {

std::string help_words(Rest::Help help) {
    switch (help) {
        case Rest::Help::none: return {};
        case Rest::Help::conductances: return "the operating point was found with helping conductances, since removed";
        case Rest::Help::sources: return "the operating point was found by bringing up the supplies step by step";
    }
    return {};
}

// Currents into every pin: what its elements draw from the net at x.
std::vector<std::vector<std::optional<double>>> pin_currents(const Circuit& circuit, const Equations& equations,
                                                             const Rest& rest) {
    const Network& network = equations.network;
    const Structure& structure = equations.at_rest();
    std::vector<std::vector<std::optional<double>>> out(circuit.parts.size());
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) out[p].assign(circuit.parts[p].pins.size(), 0.0);
    std::vector<double> x, f, j;
    int worked_out = -1;
    for (const Network::Touch& touch : network.touches) {
        const detail::Element& element = *network.elements[touch.element];
        if (worked_out != touch.element) {
            x.assign(element.size(), 0);
            f.assign(element.size(), 0);
            j.assign(element.size() * element.size(), 0);
            for (int k = 0; k < element.size(); ++k) x[k] = element.at[k] < 0 ? 0 : rest.x[element.at[k]];
            element.rest(x.data(), 1, f.data(), j.data());
            worked_out = touch.element;
        }
        // Told where all that the current depends on is.
        bool told = true;
        for (int k = 0; k < element.size(); ++k)
            if (element.couples(touch.node, k, true) && element.at[k] >= 0 && !structure.told[element.at[k]]) told = false;
        std::optional<double>& amperes = out[touch.pin.part.index][touch.pin.pin];
        if (!told) amperes.reset();
        else if (amperes) *amperes += f[touch.node];
    }
    return out;
}

void hide_pins(const Plan& plan, OperatingPoint& point) {
    for (const detail::PlannedPart& part : plan.parts)
        if (part.hides_rest)
            for (const detail::Terminal& terminal : part.terminals)
                if (terminal.net >= 0) point.pin_amperes[terminal.pin.part.index][terminal.pin.pin].reset();
}

}  // namespace

namespace {

OperatingPoint told_point(const Circuit& circuit, const Plan& plan, const Equations& equations, const Rest& rest) {
    const Network& network = equations.network;
    const Structure& structure = equations.at_rest();
    OperatingPoint point;
    point.converged = rest.converged;
    point.iterations = rest.iterations;
    point.net_volts.resize(circuit.nets.size());
    point.pin_amperes.resize(circuit.parts.size());
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) point.pin_amperes[p].resize(circuit.parts[p].pins.size());
    for (const Network::Delivers& supply : network.supplies) point.supplies.push_back({supply.name, {}});
    if (!rest.converged) {
        if (rest.resists >= 0) point.resists = network.says(circuit, rest.resists);
        point.says = detail::resistance_words(circuit, network, rest);
        return point;
    }
    point.says = help_words(rest.help);
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        const int node = network.node_of_net[n];
        if (node == -1) point.net_volts[n] = 0;
        else if (node >= 0 && structure.tells(node)) point.net_volts[n] = rest.x[node];
    }
    for (std::size_t s = 0; s < network.supplies.size(); ++s)
        if (const int own = network.supplies[s].unknown; structure.told[own]) point.supplies[s].amperes = -rest.x[own];
    point.pin_amperes = pin_currents(circuit, equations, rest);
    hide_pins(plan, point);
    return point;
}

}  // namespace

OperatingPoint Solver::operating_point(std::span<const Departure> departures) const {
    LayoutRequest request;
    request.departures = departures;
    Equations equations(detail::lay_out(state_->circuit, state_->plan, request));
    const Rest rest = equations.find_rest();
    return told_point(state_->circuit, state_->plan, equations, rest);
}

std::string Solver::why_no_response() const {
    const Circuit& circuit = state_->circuit;
    if (!circuit.setup || !circuit.setup->source) return "no source is set up";
    if (!circuit.setup->load) return "no load is set up";
    LayoutRequest request;
    Equations equations(detail::lay_out(circuit, state_->plan, request));
    const std::string hidden = detail::hidden_words(state_->plan);
    if (!detail::may_have_response(equations)) return hidden;
    if (equations.moving().tells_difference(equations.network.load_a, equations.network.load_b)) return {};
    std::vector<ResponsePoint> middle{{1000, {}, {}}};
    detail::put_response(equations, equations.find_rest(), middle);
    return middle[0].db ? std::string() : hidden;
}

std::vector<ResponsePoint> Solver::response(std::span<const double> hz, std::span<const Departure> departures) const {
    std::vector<ResponsePoint> out;
    for (double f : hz) out.push_back({f, {}, {}});
    const Circuit& circuit = state_->circuit;
    if (!circuit.setup || !circuit.setup->source || !circuit.setup->load) return out;
    LayoutRequest request;
    request.departures = departures;
    Equations equations(detail::lay_out(circuit, state_->plan, request));
    detail::put_response(equations, equations.find_rest(), out);
    return out;
}

Expectation Solver::expectation(const Reading& reading) const {
    return detail::expectation_of(state_->circuit, state_->plan, reading);
}

ReadingModel Solver::reading_model(const Reading& reading) const {
    return ReadingModel(std::unique_ptr<ReadingModel::State>(
        new ReadingModel::State{state_->circuit, state_->plan, reading, {}}));
}

ReadingModel::ReadingModel(std::unique_ptr<State> state) : state_(std::move(state)) {}
ReadingModel::ReadingModel(ReadingModel&&) noexcept = default;
ReadingModel& ReadingModel::operator=(ReadingModel&&) noexcept = default;
ReadingModel::~ReadingModel() = default;

std::optional<double> ReadingModel::expected(std::span<const Departure> departures) {
    State::Variant& variant = state_->variant(departures);
    Network& network = variant.metered.equations().network;
    if (variant.changed) variant.metered.reset_values();
    variant.changed = false;
    std::size_t leak = 0;
    for (const Departure& departure : departures) {
        if (is_value(departure)) variant.changed = network.set_value(departure.part, departure.amount) || variant.changed;
        if (!is_leak(departure) || leak >= network.leaks.size()) continue;
        Network::Leak& one = network.leaks[leak++];
        one.ohms = departure.amount;
        if (one.element >= 0) network.elements[one.element]->take_value(departure.amount);
    }
    return variant.metered.show();
}

ReadingModel::Slopes ReadingModel::slopes() {
    Slopes out;
    if (state_->variants.empty()) return out;
    Metered& metered = state_->variants.front()->metered;
    Metered::Slopes slopes = metered.slopes();
    for (std::size_t i = 0; i < slopes.valued.size(); ++i) out.values.push_back({metered.equations().network.valued[i].part, slopes.valued[i]});
    out.leaks = std::move(slopes.leaks);
    return out;
}

struct UnitModel::State {
    const Circuit& circuit;
    const Plan& plan;
    Equations equations;
    std::vector<double> nominal_rest;     // empty where the nominal circuit did not come to rest
};

UnitModel::UnitModel(std::unique_ptr<State> state) : state_(std::move(state)) {}
UnitModel::UnitModel(UnitModel&&) noexcept = default;
UnitModel& UnitModel::operator=(UnitModel&&) noexcept = default;
UnitModel::~UnitModel() = default;

UnitModel Solver::unit_model(std::span<const Departure> departures) const {
    LayoutRequest request;
    request.departures = departures;
    std::unique_ptr<UnitModel::State> state(
        new UnitModel::State{state_->circuit, state_->plan, Equations(detail::lay_out(state_->circuit, state_->plan, request)), {}});
    Rest rest = state->equations.find_rest();
    if (rest.converged) state->nominal_rest = std::move(rest.x);
    return UnitModel(std::move(state));
}

UnitModel::Unit UnitModel::unit(std::span<const double> values, std::span<const double> hz, std::span<const Specimen> specimens) {
    State& s = *state_;
    for (std::size_t i = 0; i < s.plan.spreads.size(); ++i) {
        const Spread& spread = s.plan.spreads[i];
        s.equations.network.set_value(spread.part, i < values.size() ? values[i] : spread.nominal);
    }
    for (std::size_t i = 0; i < s.plan.device_spreads.size(); ++i) {
        const Specimen specimen = i < specimens.size() ? specimens[i] : Specimen{};
        s.equations.network.set_specimen(i, specimen.share, specimen.vbe);
    }
    const Rest rest = s.equations.find_rest(s.nominal_rest);
    Unit unit;
    unit.point = told_point(s.circuit, s.plan, s.equations, rest);
    for (double f : hz) unit.response.push_back({f, {}, {}});
    detail::put_response(s.equations, rest, unit.response);
    return unit;
}

Solution solve(const Circuit& circuit, const SolveOptions& options) {
    const Solver solver(circuit, options);
    Solution solution;
    solution.dc = solver.operating_point();
    for (const Reading& reading : circuit.bench.readings)
        if (reading.when == options.when) solution.readings.push_back({&reading, solver.expectation(reading)});
    solution.why_no_response = solver.why_no_response();
    const bool set_up = circuit.setup && circuit.setup->source && circuit.setup->load;
    if (set_up) {
        std::vector<double> hz = options.hz.empty() ? third_octaves() : options.hz;
        std::sort(hz.begin(), hz.end());
        solution.response = solver.response(hz);
        if (solution.why_no_response.empty() && !solution.dc.converged) solution.why_no_response = solution.dc.says;
    }
    solution.unmodelled = solver.unmodelled();
    solution.remarks = solver.remarks();
    return solution;
}

std::vector<double> third_octaves() {
    return {20,  25,   31.5, 40,   50,   63,   80,   100,  125,  160,  200,  250,   315,   400,   500,  630,
            800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000};
}

std::vector<double> log_frequencies(double low, double high, int count) {
    std::vector<double> out;
    for (int i = 0; i < count; ++i) out.push_back(count < 2 ? low : low * std::pow(high / low, static_cast<double>(i) / (count - 1)));
    return out;
}

}  // namespace tallyboard
