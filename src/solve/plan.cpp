#include "solve/plan.h"

#include <algorithm>
#include <cmath>

#include "base/number_text.h"

namespace tallyboard {

Tolerance working_tolerance(const Circuit& circuit, const Part& part) {
    if (part.tol) return *part.tol;
    if (part.value && part.value->tolerance) return *part.value->tolerance;
    for (const Found& found : part.found)
        if (found.marked && found.marked->tolerance) return *found.marked->tolerance;
    const std::string& kind = circuit.kind_of(part).name;
    if (kind == "potentiometer" || kind == "trimmer") return {0.2, 0.2};
    if (kind == "capacitor" || kind == "electrolytic") {
        if (circuit.defaults.capacitor_tol) return *circuit.defaults.capacitor_tol;
        return kind == "electrolytic" ? Tolerance{0.2, 0.8} : Tolerance{0.2, 0.2};
    }
    if (kind != "resistor") return {};
    if (circuit.defaults.resistor_tol) return *circuit.defaults.resistor_tol;
    const std::optional<Date>& made = circuit.about.made;
    const std::optional<Day> day = !made ? std::nullopt : made->earliest ? made->earliest : made->latest;
    if (!day) return {0.1, 0.1};
    const int year = day->year();
    const double share = year < 1955 ? 0.2 : year <= 1970 ? 0.1 : 0.05;
    return {share, share};
}

}  // namespace tallyboard

namespace tallyboard::detail {

WorkedPart worked_part(const Circuit& circuit, const Part& part, When when) {
    WorkedPart out;
    if (const Value* nominal = part.nominal()) out.value = *nominal;
    out.model = part.model;
    const Kind& kind = circuit.kind_of(part);
    for (const Done& done : part.done) {
        if (when == When::found) {
            if (done.what == DoneWhat::added) out.present = false;
            continue;
        }
        out.present = done.what != DoneWhat::removed;
        if (!out.present || done.with.empty()) continue;
        // A track adjusted to a share of its turn ("0.4", "40%"): no one means a potentiometer of 0.4 ohms.
        const bool track = kind.name == "potentiometer" || kind.name == "trimmer";
        if (track && done.what == DoneWhat::adjusted) {
            const Result<double> share = read_share(done.with);
            if (share && *share >= 0 && *share <= 1) {
                out.turned = *share;
                continue;
            }
        }
        if (done.value) out.value = done.value;
        else if (kind.quantity == Quantity::none || kind.value_or_model) out.model = done.with;
    }
    return out;
}

double track_share(double x, std::string_view taper, std::optional<double> half) {
    x = std::clamp(x, 0.0, 1.0);
    if (taper == "linear" || (taper.empty() && !half)) return x;
    const bool reverse = taper == "reverse-log";
    double m = half.value_or(reverse ? 0.85 : 0.15);
    if (reverse && m < 0.5) m = 1 - m;
    m = std::clamp(m, 1e-6, 1 - 1e-6);
    if (std::fabs(m - 0.5) < 1e-9) return x;
    const double log_b = 2 * std::log(1 / m - 1);
    return std::expm1(x * log_b) / std::expm1(log_b);
}

namespace {

// Against what voltages are told: the ground, else the first battery's minus, else the first net with a pin.
int reference_net(const Circuit& circuit) {
    if (const std::optional<NetId> ground = circuit.ground()) return static_cast<int>(ground->index);
    for (const Part& part : circuit.parts) {
        if (circuit.kind_of(part).name != "battery") continue;
        for (const Pin& pin : part.pins)
            if (pin.name == "minus" && pin.state == PinState::traced) return static_cast<int>(pin.net.index);
    }
    for (std::size_t i = 0; i < circuit.nets.size(); ++i)
        if (!circuit.nets[i].pins.empty()) return static_cast<int>(i);
    return -1;
}

}  // namespace

Plan plan_of(const Circuit& circuit, const SolveOptions& options) {
    Plan plan;
    plan.reference = reference_net(circuit);
    const DeviceShelf shelf(circuit, options.devices);
    plan.remarks = shelf.remarks();
    if (plan.reference >= 0 && !circuit.ground())
        plan.remarks.push_back("no net is the ground: voltages are against " +
                               net_name(circuit, NetId{static_cast<std::uint32_t>(plan.reference)}));
    PartBuilder builder(circuit, options, shelf, plan);
    for (const Section& section : sections_of(circuit)) {
        const WorkedPart worked = worked_part(circuit, circuit[section.part], options.when);
        if (worked.present) builder.add(section, worked);
    }
    // A spread for each part once, whatever number of sections it has.
    for (const PlannedPart& planned : plan.parts) {
        if (!planned.value) continue;
        const bool known = !plan.spreads.empty() && plan.spreads.back().part == planned.part;
        if (!known) plan.spreads.push_back({planned.part, *planned.value, planned.tolerance});
    }
    return plan;
}

}  // namespace tallyboard::detail
