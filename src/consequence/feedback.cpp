#include "consequence/feedback.h"

#include "circuit/packages.h"

namespace tallyboard::detail {

namespace {

// Volts put in series with in+, and the least fall of the output that counts: voltages are told to a thousandth of that.
const Decimal nudge(1, -5);
constexpr double least_fall = 1e-7;

struct Inputs { PinId plus; NetId plus_net, out; };

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
    return Inputs{plus->from, plus->net, out->net};
}

// The circuit with a small battery between a pin and its net.
std::optional<Circuit> nudged(const Circuit& circuit, const Inputs& inputs) {
    const std::optional<KindId> battery = circuit.kinds.find("battery");
    if (!battery) return {};
    Circuit out = circuit;
    const NetId behind{static_cast<std::uint32_t>(out.nets.size())};
    out.nets.emplace_back();
    out.parts[inputs.plus.part.index].pins[inputs.plus.pin].net = behind;
    Part cell;
    cell.kind = *battery;
    cell.ref = "nudge";
    cell.value.emplace();
    cell.value->quantity = Quantity::voltage;
    cell.value->number = nudge;
    for (const auto& [name, net] : {std::pair{"plus", behind}, {"minus", inputs.plus_net}}) {
        Pin pin;
        pin.name = name;
        pin.state = PinState::traced;
        pin.net = net;
        cell.pins.push_back(pin);
    }
    out.parts.push_back(std::move(cell));
    return out;
}

}  // namespace

std::vector<std::string> latching_sections(const Circuit& circuit, const SolveOptions& options, const OperatingPoint& point) {
    std::vector<std::string> out;
    if (!point.converged) return out;
    for (const Section& section : sections_of(circuit)) {
        const std::optional<Inputs> inputs = inputs_of(section);
        if (!inputs || !point.net_volts[inputs->out.index]) continue;
        const std::optional<Circuit> raised = nudged(circuit, *inputs);
        if (!raised) continue;
        const OperatingPoint after = Solver(*raised, options).operating_point();
        if (!after.converged || !after.net_volts[inputs->out.index]) continue;
        if (*after.net_volts[inputs->out.index] < *point.net_volts[inputs->out.index] - least_fall) out.push_back(section.ref);
    }
    return out;
}

}  // namespace tallyboard::detail
