#include "bench/suspects.h"

#include <algorithm>
#include <map>
#include <string_view>

namespace tallyboard::detail {
namespace {

struct Ways { bool opens, shorts, drifts, leaks; };

// By kind. A switch or fuse that is open or short is a fault like any other; what a capacitor's value does cannot be seen at DC.
const std::map<std::string_view, Ways>& table() {
    static const std::map<std::string_view, Ways> ways = {
        {"resistor", {true, true, true, false}},     {"potentiometer", {true, true, true, false}},
        {"trimmer", {true, true, true, false}},      {"ldr", {true, true, true, false}},
        {"thermistor", {true, true, true, false}},   {"capacitor", {false, true, false, true}},
        {"electrolytic", {false, true, false, true}}, {"inductor", {true, true, false, false}},
        {"coil", {true, true, false, false}},        {"head", {true, true, false, false}},
        {"speaker", {true, true, true, false}},      {"heater", {true, true, false, false}},
        {"lamp", {true, true, false, false}},        {"neon", {true, true, false, false}},
        {"fuse", {true, false, false, false}},       {"switch", {true, true, false, false}},
        {"changeover", {true, true, false, false}},  {"selector", {true, false, false, false}},
        {"battery", {true, false, true, false}},     {"diode", {true, true, false, false}},
        {"zener", {true, true, true, false}},        {"led", {true, true, false, false}},
        {"bridge", {true, true, false, false}},      {"npn", {true, true, false, false}},
        {"pnp", {true, true, false, false}},         {"njfet", {true, true, false, false}},
        {"pjfet", {true, true, false, false}},       {"nmos", {true, true, false, false}},
        {"pmos", {true, true, false, false}},        {"triode", {true, true, false, false}},
        {"pentode", {true, true, false, false}},     {"opamp", {true, true, false, false}},
        {"dual-opamp", {true, false, false, false}}, {"quad-opamp", {true, false, false, false}},
        {"twin-triode", {true, false, false, false}}, {"transformer", {true, false, false, false}},
    };
    return ways;
}

// A value is sought over four decades to either side, a leak from a dead short's edge to what no meter sees.
constexpr double value_reach = 1e4;
constexpr double least_leak = 1, most_leak = 1e9;

}  // namespace

std::vector<Suspect> suspects_of(const Circuit& circuit, const Solver& solver) {
    std::vector<Suspect> out;
    for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
        PartId id{i};
        const Part& part = circuit[id];
        const Kind& kind = circuit.kind_of(part);
        auto ways = table().find(kind.name);
        if (ways == table().end() || part.fit == Fit::no) continue;
        bool hidden = std::any_of(solver.unmodelled().begin(), solver.unmodelled().end(),
                                  [&](const Unmodelled& u) { return u.part == id && u.at_dc; });
        if (hidden) continue;
        if (ways->second.opens) out.push_back({id, Taken::open, {}, false, 0, 0});
        if (ways->second.shorts) {
            std::vector<std::uint32_t> traced;
            for (std::uint32_t p = 0; p < part.pins.size(); ++p)
                if (part.pins[p].state == PinState::traced) traced.push_back(p);
            for (std::size_t a = 0; a < traced.size(); ++a)
                for (std::size_t b = a + 1; b < traced.size(); ++b)
                    if (part.pins[traced[a]].net != part.pins[traced[b]].net)
                        out.push_back({id, Taken::shorted, std::pair{traced[a], traced[b]}, false, 0, 0});
        }
        if (ways->second.drifts && part.nominal() && part.nominal()->si() > 0) {
            double nominal = part.nominal()->si();
            out.push_back({id, Taken::value, {}, true, nominal / value_reach, nominal * value_reach});
        }
        if (ways->second.leaks) out.push_back({id, Taken::leak, {}, true, least_leak, most_leak});
    }
    return out;
}

}  // namespace tallyboard::detail
