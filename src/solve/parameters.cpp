#include "solve/parameters.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

constexpr auto names = std::to_array<ParameterName>({
    {"diode", "is", "saturation current, A"},
    {"diode", "n", "emission coefficient"},
    {"led", "is", "saturation current, A"},
    {"led", "n", "emission coefficient"},
    {"bridge", "is", "saturation current of each arm, A"},
    {"bridge", "n", "emission coefficient"},
    {"zener", "is", "saturation current forwards, A"},
    {"zener", "n", "emission coefficient forwards"},
    {"zener", "vz", "zener voltage at izt, V; the part's value counts before it"},
    {"zener", "izt", "test current, A"},
    {"zener", "nz", "emission coefficient in reverse"},
    {"neon", "vz", "burning voltage at izt, V; the part's value counts before it"},
    {"neon", "izt", "test current, A"},
    {"neon", "nz", "emission coefficient"},
    {"npn", "is", "saturation current, A"},
    {"npn", "beta-f", "forward current gain"},
    {"npn", "beta-r", "reverse current gain"},
    {"npn", "spread-low", "share of the current gain that the least of good specimens have"},
    {"npn", "spread-high", "share of the current gain that the most of good specimens have"},
    {"npn", "spread-vbe", "how far VBE lies from the type's, either way, V"},
    {"pnp", "is", "saturation current, A"},
    {"pnp", "beta-f", "forward current gain"},
    {"pnp", "beta-r", "reverse current gain"},
    {"pnp", "spread-low", "share of the current gain that the least of good specimens have"},
    {"pnp", "spread-high", "share of the current gain that the most of good specimens have"},
    {"pnp", "spread-vbe", "how far VBE lies from the type's, either way, V"},
    {"njfet", "idss", "drain current at no gate voltage, A, positive"},
    {"njfet", "vp", "pinch-off voltage, V, negative"},
    {"njfet", "igs", "saturation current of the gate junctions, A"},
    {"njfet", "spread-low", "share of idss that the least of good specimens have"},
    {"njfet", "spread-high", "share of idss that the most of good specimens have"},
    {"pjfet", "idss", "drain current at no gate voltage, A, positive"},
    {"pjfet", "vp", "pinch-off voltage, V, negative"},
    {"pjfet", "igs", "saturation current of the gate junctions, A"},
    {"pjfet", "spread-low", "share of idss that the least of good specimens have"},
    {"pjfet", "spread-high", "share of idss that the most of good specimens have"},
    {"nmos", "k", "square-law factor, A/V²"},
    {"nmos", "vth", "threshold voltage, V"},
    {"nmos", "spread-low", "share of vth that the least of good specimens have"},
    {"nmos", "spread-high", "share of vth that the most of good specimens have"},
    {"pmos", "k", "square-law factor, A/V²"},
    {"pmos", "vth", "threshold voltage, V, negative"},
    {"pmos", "spread-low", "share of vth that the least of good specimens have"},
    {"pmos", "spread-high", "share of vth that the most of good specimens have"},
    {"triode", "mu", "µ of the equation"},
    {"triode", "ex", "exponent x"},
    {"triode", "kg1", "plate current factor"},
    {"triode", "kp", "knee towards cut-off"},
    {"triode", "kvb", "knee at low plate voltage, V²"},
    {"triode", "spread-low", "share of the current that the least of good specimens have"},
    {"triode", "spread-high", "share of the current that the most of good specimens have"},
    {"pentode", "mu", "µ of the equation"},
    {"pentode", "ex", "exponent x"},
    {"pentode", "kg1", "plate current factor"},
    {"pentode", "kg2", "screen current factor"},
    {"pentode", "kp", "knee towards cut-off"},
    {"pentode", "kvb", "knee at low plate voltage, V"},
    {"pentode", "spread-low", "share of the current that the least of good specimens have"},
    {"pentode", "spread-high", "share of the current that the most of good specimens have"},
    {"opamp", "a0", "open-loop gain at rest"},
    {"opamp", "gbw", "gain-bandwidth product, Hz"},
    {"opamp", "vos", "offset voltage, adds to in+, V"},
    {"opamp", "ib", "current into each input, A"},
    {"opamp", "headroom-high", "how far the output stays below v+, V"},
    {"opamp", "headroom-low", "how far the output stays above v-, V"},
    {"opamp", "iout", "largest output current, A; 0: no limit"},
    {"opamp", "rout", "output resistance before feedback, ohms"},
    {"opamp", "isupply", "supply current of one section, A"},
    {"opamp", "set-supply", "programmable types: supply current per set current"},
    {"opamp", "set-gbw", "programmable types: gain-bandwidth product per set current, Hz/A"},
    {"opamp", "rset", "programmable types: set resistor to v-, ohms, where it has no pin"},
    {"lamp", "r", "resistance, ohms"},
    {"heater", "r", "resistance hot, ohms"},
});

std::string plain(std::string_view model) {
    std::string out;
    for (char c : model)
        if (c != ' ' && c != '-') out += ascii_upper(c);
    return out;
}

void add_missing(std::vector<std::pair<std::string, double>>& to, const Device& device) {
    for (const auto& [name, value] : device.parameters) {
        const bool there = std::any_of(to.begin(), to.end(), [&](const auto& entry) { return entry.first == name; });
        if (!there) to.emplace_back(name, value);
    }
}

const double* look_up(const std::vector<std::pair<std::string, double>>& in, std::string_view name) {
    for (const auto& [known, value] : in)
        if (known == name) return &value;
    return nullptr;
}

}  // namespace

std::span<const ParameterName> parameter_names() { return names; }

std::optional<double> Parameters::find(std::string_view name) const {
    if (const double* own = look_up(own_, name)) return *own;
    const double* usual = look_up(default_, name);
    if (!usual) return {};
    if (device_known && std::find(from_default_.begin(), from_default_.end(), name) == from_default_.end())
        from_default_.emplace_back(name);
    return *usual;
}

double Parameters::quietly(std::string_view name, double otherwise) const {
    if (const double* own = look_up(own_, name)) return *own;
    const double* usual = look_up(default_, name);
    return usual ? *usual : otherwise;
}

DeviceShelf::DeviceShelf(const Circuit& circuit, const std::vector<Device>& given) : circuit_(circuit) {
    for (auto it = circuit.devices.rbegin(); it != circuit.devices.rend(); ++it) devices_.push_back(&*it);
    for (auto it = given.rbegin(); it != given.rend(); ++it) devices_.push_back(&*it);
}

Parameters DeviceShelf::parameters(std::string_view kind, std::string_view model) const {
    Parameters out;
    const std::string wanted = plain(model);
    const Device* best = nullptr;
    std::size_t best_length = 0;
    for (const Device* device : devices_) {
        if (device->kind != kind) continue;
        if (device->model.empty()) {
            add_missing(out.default_, *device);
            continue;
        }
        if (wanted.empty()) continue;
        const std::string written = plain(device->model);
        // The same number beats any other that answers; among those the longest says most.
        const std::size_t length = written == wanted ? std::string::npos
                                   : circuit_.kinds.same_type(device->model, model) ? written.size() : 0;
        if (length > best_length) best = device, best_length = length;
    }
    if (best) {
        add_missing(out.own_, *best);
        out.device_known = true;
    }
    return out;
}

std::vector<std::string> DeviceShelf::remarks() const {
    std::vector<std::string> out;
    for (const Device& device : circuit_.devices) {
        std::vector<std::string> known;
        for (const ParameterName& name : names)
            if (name.kind == device.kind) known.emplace_back(name.name);
        for (const auto& [name, value] : device.parameters) {
            if (std::find(known.begin(), known.end(), name) != known.end()) continue;
            const std::string near = nearest_word(name, known);
            out.push_back(fmt::format("{}: no model of the kind {} takes {}{}",
                                      device.model.empty() ? "a <device> without model" : device.model, device.kind, name,
                                      near.empty() ? "" : fmt::format("; {} is meant?", near)));
        }
    }
    return out;
}

}  // namespace tallyboard::detail
