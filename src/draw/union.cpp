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

KindId kind_called(const Circuit& circuit, const std::string& name) {
    if (const auto id = circuit.kinds.find(name)) return *id;
    throw std::logic_error(fmt::format("a part of kind {}, which the drawing does not know", name));
}

// Those of a fixed kind; none where the pins are the file's.
std::vector<Pin> undrawn_pins(const Kind& kind) {
    std::vector<Pin> pins;
    for (std::uint32_t k = 0; k < kind.pins.size() && kind.pattern == PinPattern::fixed; ++k) {
        Pin pin;
        pin.name = kind.pins[k].name;
        pin.state = PinState::undrawn;
        pin.kind_pin = k;
        pins.push_back(pin);
    }
    return pins;
}

void add_part(Circuit& circuit, const ExtraPart& extra) {
    Part part;
    part.ref = extra.ref;
    part.kind = kind_called(circuit, extra.kind);
    const Kind& kind = circuit.kinds[part.kind];
    part.model = extra.model;
    if (!extra.value.empty()) {
        Value value;
        value.text = extra.value;
        part.value = value;
    }
    part.pins = undrawn_pins(kind);
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

const std::string& found_pin(const AsFound& found, const std::string& drawn) {
    for (const auto& [from, to] : found.pins)
        if (from == drawn) return to;
    return drawn;
}

// Each connection goes along to the pin that was found in its pin's place.
void stand_as_found(Circuit& circuit, const AsFound& found) {
    const auto id = circuit.part(found.ref);
    if (!id) throw std::logic_error(fmt::format("{} stands as found, but the drawing has no such part", found.ref));
    Part& part = circuit.parts[id->index];
    const std::vector<Pin> drawn = part.pins;
    if (!found.kind.empty()) {
        part.kind = kind_called(circuit, found.kind);
        part.pins = undrawn_pins(circuit.kind_of(part));
    }
    for (const Pin& pin : drawn) {
        Pin& there = pin_called(circuit, part.ref + "." + found_pin(found, pin.name));
        there.state = pin.state;
        there.net = pin.net;
    }
}

}  // namespace

Circuit united(const Circuit& drawing, const Annotations& annotations) {
    Circuit circuit = drawing;
    // Nets called by a pin keep that name, whatever becomes of the pin.
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n) circuit.nets[n].name = net_name(drawing, NetId{n});
    for (const Mark& mark : annotations.marks)
        if (mark.kind == MarkKind::moved || mark.kind == MarkKind::split || mark.kind == MarkKind::inserted)
            for (const std::string& pin : mark.pins) connect(circuit, pin_called(circuit, pin), mark.other_net);
    for (const ExtraPart& extra : annotations.extras) add_part(circuit, extra);
    for (const AsFound& found : annotations.as_found) stand_as_found(circuit, found);
    return circuit;
}

Annotations with_found_pins(Annotations annotations) {
    for (Mark& mark : annotations.marks)
        for (std::string& pin : mark.pins)
            for (const AsFound& found : annotations.as_found)
                if (pin.compare(0, found.ref.size() + 1, found.ref + ".") == 0) {
                    pin = found.ref + "." + found_pin(found, pin.substr(found.ref.size() + 1));
                    break;
                }
    return annotations;
}

}  // namespace tallyboard::detail
