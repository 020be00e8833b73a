#include "draw/union.h"

#include <fmt/format.h>

#include <stdexcept>

namespace tallyboard::detail {

namespace {

// The net of that name (or called by its first pin), made if there is none.
NetId net_called(Circuit& circuit, const std::string& name) {
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n)
        if (net_name(circuit, NetId{n}) == name) return NetId{n};
    Net net;
    net.name = name;
    circuit.nets.push_back(std::move(net));
    return NetId{static_cast<std::uint32_t>(circuit.nets.size() - 1)};
}

Pin& pin_called(Circuit& circuit, const std::string& place) {
    const auto dot = place.find('.');
    const auto part = dot == std::string::npos ? std::nullopt : circuit.part(place.substr(0, dot));
    if (part)
        for (Pin& pin : circuit.parts[part->index].pins)
            if (pin.name == place.substr(dot + 1)) return pin;
    throw std::logic_error(fmt::format("a mark at {}, which the drawing has not", place));
}

void connect(Circuit& circuit, Pin& pin, const std::string& net) {
    pin.state = net == "?" ? PinState::untraced : net.empty() || net == "-" ? PinState::nowhere : PinState::traced;
    if (pin.state == PinState::traced) pin.net = net_called(circuit, net);
}

void add_part(Circuit& circuit, const ExtraPart& extra) {
    const auto kind_id = circuit.kinds.find(extra.kind);
    if (!kind_id) throw std::logic_error(fmt::format("an extra part of kind {}, which the drawing does not know", extra.kind));
    const Kind& kind = circuit.kinds[*kind_id];
    Part part;
    part.ref = extra.ref;
    part.kind = *kind_id;
    part.model = extra.model;
    if (!extra.value.empty()) {
        Value value;
        value.text = extra.value;
        part.value = value;
    }
    for (std::uint32_t k = 0; k < kind.pins.size() && kind.pattern == PinPattern::fixed; ++k) {
        Pin pin;
        pin.name = kind.pins[k].name;
        pin.state = PinState::undrawn;
        pin.kind_pin = k;
        part.pins.push_back(pin);
    }
    for (const auto& [name, net] : extra.pins) {
        auto at = part.pins.begin();
        const auto index = kind.pin(name);
        while (at != part.pins.end() && at->name != (index ? kind.pins[*index].name : name)) ++at;
        if (at == part.pins.end()) {
            Pin pin;
            pin.name = name;
            pin.kind_pin = static_cast<std::uint32_t>(part.pins.size());
            at = part.pins.insert(at, pin);
        }
        connect(circuit, *at, net);
    }
    circuit.parts.push_back(std::move(part));
}

}  // namespace

Circuit united(const Circuit& drawing, const Annotations& annotations) {
    Circuit circuit = drawing;
    for (const Mark& mark : annotations.marks)
        if (mark.kind == MarkKind::moved || mark.kind == MarkKind::split || mark.kind == MarkKind::inserted)
            for (const std::string& pin : mark.pins) connect(circuit, pin_called(circuit, pin), mark.other_net);
    for (const ExtraPart& extra : annotations.extras) add_part(circuit, extra);
    return circuit;
}

}  // namespace tallyboard::detail
