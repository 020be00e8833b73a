#include "consequence/feedback.h"

#include <algorithm>

#include "circuit/packages.h"
#include "consequence/part_between.h"

namespace tallyboard::detail {

namespace {

// Volts put in series with in+, and the least fall of the output that counts: voltages are told to a thousandth of that.
const Decimal nudge(1, -5);
constexpr double least_fall = 1e-7;

struct Inputs { PinId plus; NetId out, minus_net, plus_net; };

// The section's in+ and output, where both and in- are on nets.
std::optional<Inputs> inputs_of(const Section& section) {
    const SectionPin *out = nullptr, *minus = nullptr, *plus = nullptr;
    for (const SectionPin& pin : section.pins) {
        if (pin.state != PinState::traced) continue;
        if (pin.name == "out") out = &pin;
        if (pin.name == "in-") minus = &pin;
        if (pin.name == "in+") plus = &pin;
    }
    if (!out || !minus || !plus) return {};
    return Inputs{plus->from, out->net, minus->net, plus->net};
}

// The circuit with a small battery between a pin and its net.
std::optional<Circuit> nudged(const Circuit& circuit, const Inputs& inputs) {
    const std::optional<KindId> battery = circuit.kinds.find("battery");
    if (!battery) return {};
    Circuit out = circuit;
    const NetId behind{static_cast<std::uint32_t>(out.nets.size())};
    out.nets.emplace_back();
    out.parts[inputs.plus.part.index].pins[inputs.plus.pin].net = behind;
    Part cell = part_between(*battery, "nudge", {{"plus", behind}, {"minus", inputs.plus_net}});
    cell.value.emplace();
    cell.value->quantity = Quantity::voltage;
    cell.value->number = nudge;
    out.parts.push_back(std::move(cell));
    return out;
}

}  // namespace

std::vector<std::string> latching_sections(const Circuit& circuit, const SolveOptions& options, const OperatingPoint& point,
                                           const std::set<NetId>& nets) {
    std::vector<std::string> out;
    if (!point.converged || nets.empty()) return out;
    for (const Section& section : sections_of(circuit)) {
        const std::optional<Inputs> inputs = inputs_of(section);
        if (!inputs || !(nets.count(inputs->out) || nets.count(inputs->minus_net) || nets.count(inputs->plus_net))) continue;
        if (!point.net_volts[inputs->out.index]) continue;
        const std::optional<Circuit> raised = nudged(circuit, *inputs);
        if (!raised) continue;
        const OperatingPoint after = Solver(*raised, options).operating_point();
        if (!after.converged || !after.net_volts[inputs->out.index]) continue;
        if (*after.net_volts[inputs->out.index] < *point.net_volts[inputs->out.index] - least_fall) out.push_back(section.ref);
    }
    return out;
}

std::set<NetId> changed_nets(const Circuit& circuit, const Circuit& trial) {
    std::set<NetId> out;
    const auto is_rail = [](const Net& net) { return net.role == NetRole::ground || net.role == NetRole::earth || net.role == NetRole::supply; };
    const auto put = [&](const Circuit& of, const Part& part) {
        for (const Pin& pin : part.pins)
            if (pin.state == PinState::traced && !is_rail(of[pin.net])) out.insert(pin.net);
    };
    const auto same = [](const Part& a, const Part& b) {
        return a.kind == b.kind && a.fit == b.fit && a.pins.size() == b.pins.size() &&
               std::equal(a.pins.begin(), a.pins.end(), b.pins.begin(), [](const Pin& one, const Pin& other) {
                   return one.state == other.state && (one.state != PinState::traced || one.net == other.net);
               });
    };
    for (std::size_t p = 0; p < trial.parts.size(); ++p) {
        const bool drawn = p < circuit.parts.size();
        if (drawn && same(circuit.parts[p], trial.parts[p])) continue;
        if (drawn) put(circuit, circuit.parts[p]);
        put(trial, trial.parts[p]);
    }
    return out;
}

}  // namespace tallyboard::detail
