#include "consequence/untold.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/number_text.h"
#include "base/text.h"
#include "consequence/polarity.h"

namespace tallyboard::detail {

namespace {

constexpr double least_reservoir = 1e-6;   // farads: what is smaller smooths no supply
constexpr double least_ripple = 1;         // decibels more that are worth telling: the step of "audible"
constexpr double idle = 1e-6;              // amperes: a device with less is off

bool is_ground(const Net& net) { return net.role == NetRole::ground || net.role == NetRole::earth; }

bool is_supply(const Circuit& circuit, NetId id) {
    if (circuit[id].role == NetRole::supply) return true;
    if (!circuit.setup) return false;
    return std::any_of(circuit.setup->supplies.begin(), circuit.setup->supplies.end(), [&](const Supply& supply) {
        return (supply.plus == id || supply.minus == id) && !is_ground(circuit[id]) && circuit.ground() != id;
    });
}

// A part's two nets; nothing for others and for pins that go nowhere.
std::optional<std::pair<NetId, NetId>> ends_of(const Part& part) {
    if (part.pins.size() != 2 || part.pins[0].state != PinState::traced || part.pins[1].state != PinState::traced) return {};
    return std::pair{part.pins[0].net, part.pins[1].net};
}

bool is_across_supply(const Circuit& circuit, const Part& part) {
    const auto ends = ends_of(part);
    if (!ends) return false;
    const auto at_rest = [&](NetId net) { return is_supply(circuit, net) || is_ground(circuit[net]) || circuit.ground() == net; };
    return (is_supply(circuit, ends->first) || is_supply(circuit, ends->second)) && at_rest(ends->first) && at_rest(ends->second);
}

bool is_capacitor(const Circuit& circuit, const Part& part) { return circuit.kind_of(part).quantity == Quantity::capacitance; }
bool is_choke(const Circuit& circuit, const Part& part) { return circuit.kind_of(part).quantity == Quantity::inductance; }

// Ripple behind a reservoir is I/(2fC), behind a further stage 1/(ωRC) of that before: either way as 1/C.
Untold ripple(const Circuit& circuit, const Circuit& trial, const Finding& finding) {
    if (finding.drawing_parts.empty()) return {};
    const Part &before = circuit[finding.drawing_parts.front()], &after = trial[finding.drawing_parts.front()];
    if (is_choke(circuit, before) && ends_of(before) && is_supply(circuit, ends_of(before)->first) && is_supply(circuit, ends_of(before)->second))
        return {"a choke of the supply smooths it: hum is not computed", true};
    if (!is_capacitor(circuit, before) || !is_across_supply(circuit, before) || !before.nominal() || before.nominal()->si() < least_reservoir) return {};
    if (after.fit == Fit::no) return {"it smooths a supply: hum is not computed", true};
    if (!after.nominal() || !(after.nominal()->si() > 0) || !is_capacitor(trial, after)) return {};
    const double more = 20 * std::log10(before.nominal()->si() / after.nominal()->si());
    if (std::fabs(more) < least_ripple) return {};
    return {fmt::format("ripple on that supply {} dB {}, as 1/C; whether that is heard as hum is not computed", fixed_text(std::fabs(more), 1),
                        more > 0 ? "more" : "less"), more > 0};
}

// A polarised capacitor found turned about that no rating tells of.
Untold turned_about(const CarriedOut& change, const Finding& finding) {
    if (finding.what != What::reversed || finding.drawing_parts.empty()) return {};
    const PartId id = finding.drawing_parts.front();
    const std::string& ref = change.circuit[id].ref;
    if (change.circuit.kind_of(change.circuit[id]).name != "electrolytic") return {};
    const auto before = reverse_volts(change.circuit, change.drawn.point, change.circuit[id]);
    const auto after = reverse_volts(change.trial, change.found.point, change.trial[id]);
    if (!before || !after) return {"whether " + ref + " stands the wrong way round is not told: the voltage across it is not known", true};
    const double most = std::max(*before, *after);
    if (grade_of(Judged::reverse_voltage, most) > Grade::nothing) return {};
    return {fmt::format("{} stands at {} at rest, which it bears either way round", ref, engineering_text(most, Quantity::voltage, 2)), false};
}

bool touches(const Circuit& circuit, const std::vector<PartId>& parts, const std::vector<PinId>& pins, const std::optional<NetId>& net,
             NetRole role) {
    if (net && circuit[*net].role == role) return true;
    const auto on = [&](const Pin& pin) { return pin.state == PinState::traced && circuit[pin.net].role == role; };
    if (std::any_of(pins.begin(), pins.end(), [&](PinId pin) { return on(circuit[pin]); })) return true;
    return std::any_of(parts.begin(), parts.end(), [&](PartId id) { return std::any_of(circuit[id].pins.begin(), circuit[id].pins.end(), on); });
}

// The parts a finding is about on the drawing: its own, and those whose pins it names.
std::vector<PartId> parts_of(const std::vector<PartId>& parts, const std::vector<PinId>& pins) {
    std::vector<PartId> out = parts;
    for (PinId pin : pins)
        if (std::find(out.begin(), out.end(), pin.part) == out.end()) out.push_back(pin.part);
    return out;
}

// Grounds of different names made one, or one made two.
bool concerns_grounds(const Circuit& circuit, const Circuit& board, const Finding& finding) {
    if (finding.what != What::joined && finding.what != What::split) return false;
    if (finding.drawing_net && is_ground(circuit[*finding.drawing_net])) return true;
    return finding.board_net && is_ground(board[*finding.board_net]);
}

bool is_device(std::string_view kind) {
    return kind == "diode" || kind == "led" || kind == "zener" || kind == "bridge" || kind == "npn" || kind == "pnp" || kind == "njfet" ||
           kind == "pjfet" || kind == "nmos" || kind == "pmos";
}

// Every known current into the part's pins is next to nothing; false where none is known.
bool is_off(const OperatingPoint& point, PartId id) {
    if (id.index >= point.pin_amperes.size()) return false;
    bool known = false;
    for (const auto& amperes : point.pin_amperes[id.index]) {
        if (!amperes) return false;
        known = true;
        if (std::fabs(*amperes) > idle) return false;
    }
    return known;
}

}  // namespace

Untold untold_of(const CarriedOut& change, const Circuit& board, const Finding& finding) {
    const auto& [circuit, drawn, trial, found] = change;
    if (Untold out = turned_about(change, finding); !out.says.empty()) return out;
    if (Untold out = ripple(circuit, trial, finding); !out.says.empty()) return out;
    // Of a valve's many pins the heater's are not the ones meant.
    std::vector<PartId> parts = parts_of(finding.drawing_parts, finding.drawing_pins);
    std::erase_if(parts, [&](PartId id) { return circuit[id].pins.size() > 2; });
    if (touches(circuit, parts, finding.drawing_pins, finding.drawing_net, NetRole::heater))
        return {"heaters are concerned: their hum is not computed", true};
    if (concerns_grounds(circuit, board, finding)) return {"grounds are concerned: hum through them is not computed", true};
    for (PartId id : finding.drawing_parts)
        if (is_device(circuit.kind_of(circuit[id]).name) && is_off(drawn.point, id) && is_off(found.point, id))
            return {fmt::format("{} carries no current at rest, neither way: what it does with a signal is not computed", circuit[id].ref), true};
    return {};
}

namespace {

bool is_safety_rating(const Value* value) {
    if (!value) return false;
    for (const std::string& word : split_words(value->rating))
        if (word.size() == 2 && (word[0] == 'X' || word[0] == 'Y') && word[1] >= '1' && word[1] <= '4') return true;
    return false;
}

struct Concern { bool mains = false, earth = false, capacitor = false, fuse = false; };

Concern concern_of(const Circuit& circuit, const std::vector<PartId>& parts, const std::vector<PinId>& pins, const std::optional<NetId>& net) {
    Concern out;
    out.mains = touches(circuit, parts, pins, net, NetRole::mains);
    out.earth = touches(circuit, parts, pins, net, NetRole::earth);
    for (PartId id : parts) {
        out.fuse |= circuit.kind_of(circuit[id]).name == "fuse";
        out.capacitor |= is_safety_rating(circuit[id].nominal()) || (is_capacitor(circuit, circuit[id]) && (out.mains || out.earth));
    }
    return out;
}

}  // namespace

std::string safety_words(const Circuit& drawing, const Circuit& board, const Finding& finding) {
    if (finding.what == What::unverified || finding.what == What::equivalent) return {};
    const Concern drawn = concern_of(drawing, finding.drawing_parts, finding.drawing_pins, finding.drawing_net);
    const Concern found = concern_of(board, finding.board_parts, finding.board_pins, finding.board_net);
    if (drawn.fuse || found.fuse) return "a fuse protects: one of the marked type and rating goes in before power is applied";
    if (drawn.capacitor || found.capacitor) return "a capacitor of the mains or the protective earth: fit an approved part (IEC 60384-14), whatever the rest says";
    if (drawn.mains || found.mains) return "a part of the mains: work for a competent person, by the local code, whatever the rest says";
    if (drawn.earth || found.earth) return "the protective earth is concerned: work for a competent person, by the local code, whatever the rest says";
    return {};
}

}  // namespace tallyboard::detail
