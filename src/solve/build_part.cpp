#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "solve/kind_models.h"

namespace tallyboard::detail {

const Control* PartBuilder::control_of(PartId part) const {
    if (!circuit_.setup) return nullptr;
    const auto& controls = circuit_.setup->controls;
    for (const Control& control : controls)
        if (control.part == part) return &control;
    // Gangs turn together: one that is not set stands as a package mate of its kind does.
    const Part& written = circuit_[part];
    if (written.package.empty()) return nullptr;
    for (const Control& control : controls) {
        const Part& mate = circuit_[control.part];
        if (mate.package == written.package && mate.kind == written.kind) return &control;
    }
    return nullptr;
}

int PartBuilder::terminal(std::string_view pin) const {
    for (std::size_t i = 0; i < section_->pins.size(); ++i)
        if (section_->pins[i].name == pin) return static_cast<int>(i);
    return -1;
}

bool PartBuilder::is_open(std::string_view pin) const {
    const int i = terminal(pin);
    return i < 0 || planned_->terminals[i].net < 0;
}

void PartBuilder::remark(std::string text) {
    if (std::find(plan_.remarks.begin(), plan_.remarks.end(), text) == plan_.remarks.end())
        plan_.remarks.push_back(std::move(text));
}

void PartBuilder::no_model(std::string why, bool at_rest) {
    planned_->hides_rest = at_rest;
    planned_->hides_response = true;
    plan_.unmodelled.push_back({planned_->part, planned_->ref, std::move(why), at_rest});
}

void PartBuilder::put_element(std::unique_ptr<const Element> element, std::vector<int> terminals, bool takes_value) {
    // What has one end in the air carries nothing.
    if (terminals.size() == 2)
        for (int t : terminals)
            if (t < 0 || planned_->terminals[t].net < 0) return;
    planned_->prototypes.push_back({std::move(element), std::move(terminals), takes_value});
}

std::optional<double> PartBuilder::number(Quantity quantity) const {
    if (!worked_->value || worked_->value->quantity != quantity) return {};
    return worked_->value->si();
}

// The parameters of the part's type number, with what must be said about them.
Parameters PartBuilder::parameters(std::string_view kind) {
    Parameters found = shelf_.parameters(kind, worked_->model);
    const std::string& says = circuit_.kinds[section_->kind].says;
    if (!found.any()) return found;
    if (worked_->model.empty()) remark(fmt::format("{}: no type number; taken as a usual one for {}", section_->ref, says));
    else if (!found.device_known)
        remark(fmt::format("{}: {} is not among the known devices; taken as a usual one for {}", section_->ref, worked_->model,
                           says));
    return found;
}

void PartBuilder::device_spreads(const Parameters& parameters) {
    DeviceSpread spread;
    spread.part = planned_->part;
    spread.ref = planned_->ref;
    // Shares that make no sense are taken as none: no specimen is worked with a gain of nothing.
    const double low = parameters.quietly("spread-low", 1), high = parameters.quietly("spread-high", 1);
    if (low > 0.01 && low <= 1) spread.low = low;
    if (high >= 1 && high < 100) spread.high = high;
    spread.vbe = std::clamp(parameters.quietly("spread-vbe", 0), 0.0, 0.2);
    if (spread.low == 1 && spread.high == 1 && spread.vbe == 0) return;
    planned_->device = static_cast<int>(plan_.device_spreads.size());
    plan_.device_spreads.push_back(std::move(spread));
}

std::vector<int> KindModels::both() const { return {0, 1}; }

std::vector<int> KindModels::at(std::initializer_list<std::string_view> pins) const {
    std::vector<int> out;
    for (std::string_view pin : pins) out.push_back(b.terminal(pin));
    return out;
}

std::optional<double> KindModels::si(const std::optional<Value>& value) {
    return value ? std::optional(value->si()) : std::nullopt;
}

void KindModels::put_value(double value) { b.planned_->value = value; }

void KindModels::say_defaults(const Parameters& p) {
    if (p.from_default().empty()) return;
    b.remark(fmt::format("{}: {} as usual for {}", b.worked_->model, join_words(p.from_default()),
                         b.circuit_.kinds[b.section_->kind].says));
}

KindModels::Make KindModels::find(std::string_view kind) {
    struct Row { std::string_view kind; Make make; };
    using M = KindModels;
    static constexpr auto rows = std::to_array<Row>({
        {"resistor", &M::resistor}, {"ldr", &M::resistor}, {"thermistor", &M::resistor},
        {"capacitor", &M::capacitor}, {"electrolytic", &M::capacitor},
        {"inductor", &M::coil}, {"coil", &M::coil}, {"head", &M::coil},
        {"speaker", &M::speaker}, {"lamp", &M::lamp}, {"heater", &M::lamp}, {"neon", &M::neon},
        {"battery", &M::battery}, {"link", &M::wire}, {"fuse", &M::wire}, {"crystal", &M::crystal},
        {"switch", &M::toggle}, {"changeover", &M::changeover}, {"selector", &M::selector},
        {"jack", &M::nothing}, {"jack-stereo", &M::nothing}, {"jack-break", &M::jack_break},
        {"terminal", &M::nothing}, {"testpoint", &M::nothing},
        {"potentiometer", &M::potentiometer}, {"trimmer", &M::potentiometer},
        {"diode", &M::diode}, {"led", &M::led}, {"zener", &M::zener}, {"bridge", &M::bridge},
        {"npn", &M::npn}, {"pnp", &M::pnp},
        {"njfet", &M::njfet}, {"pjfet", &M::pjfet}, {"nmos", &M::nmos}, {"pmos", &M::pmos},
        {"triode", &M::triode}, {"pentode", &M::pentode}, {"opamp", &M::opamp},
        {"transformer", &M::transformer},
    });
    for (const Row& row : rows)
        if (row.kind == kind) return row.make;
    return nullptr;
}

void PartBuilder::add(const Section& section, const WorkedPart& worked) {
    const Kind& kind = circuit_.kinds[section.kind];
    section_ = &section;
    part_ = &circuit_[section.part];
    worked_ = &worked;
    planned_ = &plan_.parts.emplace_back();
    planned_->part = section.part;
    planned_->ref = section.ref;
    for (const SectionPin& pin : section.pins)
        planned_->terminals.push_back({pin.state == PinState::traced ? static_cast<int>(pin.net.index) : -1, pin.from});
    planned_->is_chip = kind.name == "ic";

    KindModels::Make make = KindModels::find(kind.name);
    // A file's own kind with an op-amp's pins is one, whatever it is called.
    if (!make && terminal("out") >= 0 && terminal("in-") >= 0 && terminal("in+") >= 0) make = &KindModels::opamp;
    // … and one with two pins and a quantity is what has that quantity.
    if (!make && section.pins.size() == 2) {
        if (kind.quantity == Quantity::resistance) make = &KindModels::resistor;
        if (kind.quantity == Quantity::capacitance) make = &KindModels::capacitor;
        if (kind.quantity == Quantity::inductance) make = &KindModels::coil;
    }
    KindModels models{*this};
    if (make) {
        (models.*make)();
    } else if (kind.conductor) {
        models.wire();
    } else {
        planned_->is_chip = true;
        no_model(kind.name == "ic" ? "an integrated circuit has no model" : "the kind " + kind.name + " has no model");
    }
    if (planned_->value) {
        planned_->tolerance = working_tolerance(circuit_, *part_);
        if (worked.value && worked.value->tolerance && options_.when == When::left) planned_->tolerance = *worked.value->tolerance;
    }
}

}  // namespace tallyboard::detail
