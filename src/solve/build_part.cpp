#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "base/number_text.h"
#include "base/text.h"
#include "solve/models/fets.h"
#include "solve/models/junctions.h"
#include "solve/models/opamp.h"
#include "solve/models/passive.h"
#include "solve/models/valves.h"
#include "solve/plan.h"

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

template <class E>
void PartBuilder::put(E element, std::vector<int> terminals, bool takes_value) {
    // What has one end in the air carries nothing.
    if (terminals.size() == 2)
        for (int t : terminals)
            if (t < 0 || planned_->terminals[t].net < 0) return;
    planned_->prototypes.push_back({std::make_unique<E>(std::move(element)), std::move(terminals), takes_value});
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

// What each kind is made of. A kind that is in no table below has no model.
struct KindModels {
    PartBuilder& b;

    using Make = void (KindModels::*)();
    static Make find(std::string_view kind);

    std::vector<int> both() const { return {0, 1}; }
    std::vector<int> at(std::initializer_list<std::string_view> pins) const {
        std::vector<int> out;
        for (std::string_view pin : pins) out.push_back(b.terminal(pin));
        return out;
    }
    static std::optional<double> si(const std::optional<Value>& value) {
        return value ? std::optional(value->si()) : std::nullopt;
    }

    void put_value(double value) { b.planned_->value = value; }

    // --- two terminals ---

    void put_resistance(double ohms, bool takes_value) {
        if (ohms > 0) b.put(Resistor(ohms), both(), takes_value);
        else put_wire(0, 1);
    }
    void put_wire(int a, int c) { b.put(Branch({}), {a, c}); }

    void resistor() {
        const std::optional<double> ohms = b.number(Quantity::resistance);
        if (!ohms || *ohms < 0) return b.no_model("its value is not known");
        if (*ohms > 0) put_value(*ohms);
        put_resistance(*ohms, true);
    }
    void capacitor() {
        const std::optional<double> farads = b.number(Quantity::capacitance);
        if (!farads || *farads < 0) return b.no_model("its value is not known", false);
        if (*farads > 0) put_value(*farads);
        b.put(Capacitor(*farads), both(), true);
    }
    void coil() {
        std::optional<double> henries = b.number(Quantity::inductance);
        const bool from_value = henries.has_value();
        if (!henries) henries = si(b.part_->inductance);
        Branch::Values values;
        values.ohms = si(b.part_->resistance).value_or(0);
        values.henries = henries.value_or(0);
        if (from_value && *henries > 0) {
            values.takes = Branch::Values::Part::henries;
            put_value(*henries);
        }
        b.put(Branch(values), both(), from_value);
        if (const auto farads = si(b.part_->capacitance)) b.put(Capacitor(*farads), both());
        if (!henries) b.no_model("its inductance is not known", false);
        if (!b.part_->resistance)
            b.remark(fmt::format("{}: the resistance of its wire is not known; taken as 0 Ω", b.section_->ref));
    }
    void speaker() {
        const std::optional<double> nominal = b.number(Quantity::resistance);
        std::optional<double> ohms = si(b.part_->resistance);
        if (!ohms) ohms = nominal;
        if (!ohms) return b.no_model("its resistance is not known");
        b.put(Branch({0, *ohms, si(b.part_->inductance).value_or(0)}), both());
        if (const auto farads = si(b.part_->capacitance)) b.put(Capacitor(*farads), both());
    }
    // Hot resistance: as written, else from voltage and current or power, else by type.
    void lamp() {
        std::optional<double> ohms = si(b.part_->resistance);
        const std::optional<double> volts = b.number(Quantity::voltage);
        if (!ohms && volts && b.worked_->value) {
            const std::string& rating = b.worked_->value->rating;
            for (const std::string& word : split_words(rating)) {
                if (const auto amperes = read_value(word, Quantity::current); amperes && amperes->si() > 0)
                    ohms = *volts / amperes->si();
                else if (const auto watts = read_value(word, Quantity::power); watts && watts->si() > 0)
                    ohms = *volts * *volts / watts->si();
                if (ohms) break;
            }
        }
        if (!ohms) {
            const std::string& kind = b.circuit_.kinds[b.section_->kind].name;
            const Parameters p = b.shelf_.parameters(kind, b.worked_->model);
            ohms = p.find("r");
            if (ohms && !p.device_known)
                b.remark(fmt::format("every {} of which nothing is known is taken as {}", kind, engineering_text(*ohms, Quantity::resistance)));
        }
        if (!ohms || *ohms < 0) return b.no_model("its resistance is not known");
        put_resistance(*ohms, false);
    }
    void battery() {
        b.planned_->is_battery = true;
        const std::optional<double> volts = b.number(Quantity::voltage);
        if (!volts) return b.no_model("its voltage is not known");
        put_value(*volts);
        Branch::Values values{*volts, si(b.part_->resistance).value_or(0), 0};
        values.takes = Branch::Values::Part::volts;
        b.put(Branch(values), at({"plus", "minus"}), true);
    }
    void wire() { b.put(Branch({0, si(b.part_->resistance).value_or(0), 0}), both()); }
    void crystal() { b.remark(fmt::format("{}: a crystal is taken as open far below its frequency", b.section_->ref)); }
    void nothing() {}

    // --- controls ---

    const Control* set_control(std::string_view otherwise) {
        const Control* control = b.control_of(b.section_->part);
        if (!control) b.remark(fmt::format("{} is not set: taken {}", b.section_->ref, otherwise));
        return control;
    }
    void toggle() {
        const Control* control = set_control("as open");
        if (control && control->position == "closed") put_wire(0, 1);
    }
    void changeover() {
        const Control* control = set_control("as at a");
        b.put(Branch({}), at({"common", control && control->position == "b" ? "b" : "a"}));
    }
    void selector() {
        const Control* control = set_control("as at 1");
        const std::string contact = control && !control->position.empty() ? control->position : "1";
        const int to = b.terminal(contact);
        if (to >= 0) b.put(Branch({}), {b.terminal("common"), to});
    }
    // Its break contact rests on the tip until a plug lifts it: where the source or the load stands on the tip, one is in.
    void jack_break() {
        const Control* control = b.control_of(b.section_->part);
        const int tip = b.terminal("tip"), contact = b.terminal("break");
        if (tip < 0 || contact < 0) return;
        bool plugged = control && control->position == "open";
        const int net = b.planned_->terminals[tip].net;
        if (!control && b.circuit_.setup) {
            const auto& [supplies, source, load, controls] = *b.circuit_.setup;
            plugged = (source && static_cast<int>(source->net.index) == net) || (load && static_cast<int>(load->net.index) == net);
        }
        b.remark(fmt::format("{}: {}", b.section_->ref,
                             plugged ? "a plug is in, its break contact is open" : "no plug is in, its break contact is closed"));
        if (!plugged) put_wire(tip, contact);
    }
    void potentiometer() {
        const std::optional<double> ohms = b.number(Quantity::resistance);
        if (!ohms || *ohms <= 0) return b.no_model("its value is not known");
        put_value(*ohms);
        double turn = 0.5;
        if (b.worked_->turned) turn = *b.worked_->turned;
        else if (const Control* control = set_control("at half turn"); control && control->share) turn = *control->share;
        if (b.part_->taper.find("log") != std::string::npos && !b.part_->half)
            b.remark(fmt::format("{}: a log track is taken to have 15 % at half turn", b.section_->ref));
        const double share = track_share(turn, b.part_->taper, b.part_->half);
        const auto piece = [&](double part_share, std::initializer_list<std::string_view> pins) {
            Branch::Values values{0, *ohms * part_share, 0, part_share, Branch::Values::Part::ohms};
            b.put(Branch(values), at(pins), true);
        };
        piece(share, {"ccw", "wiper"});
        piece(1 - share, {"wiper", "cw"});
    }

    // --- semiconductors ---

    void put_diode(std::string_view kind, std::vector<int> terminals) {
        const Parameters p = b.parameters(kind);
        if (!p.find("is")) return b.no_model("no parameters are known for it");
        b.put(Diode({p.get("is", 0), p.get("n", 1), 0, 0, 1}), std::move(terminals));
        say_defaults(p);
    }
    void diode() { put_diode("diode", at({"anode", "cathode"})); }
    void led() { put_diode("led", at({"anode", "cathode"})); }
    void bridge() {
        for (auto [from, to] : {std::pair{"ac1", "plus"}, {"ac2", "plus"}, {"minus", "ac1"}, {"minus", "ac2"}})
            put_diode("bridge", at({from, to}));
    }
    void zener() {
        const Parameters p = b.parameters("zener");
        std::optional<double> volts = b.number(Quantity::voltage);
        if (volts) put_value(*volts);
        const bool from_value = volts.has_value();
        if (!volts) volts = p.find("vz");
        if (!volts) return b.no_model("its voltage is not known");
        if (!p.find("is") || !p.find("izt")) return b.no_model("no parameters are known for it");
        b.put(Diode({p.get("is", 0), p.get("n", 1), *volts, p.get("izt", 0), p.get("nz", 1)}), at({"anode", "cathode"}), from_value);
        say_defaults(p);
    }
    void neon() {
        const Parameters p = b.parameters("neon");
        std::optional<double> volts = b.number(Quantity::voltage);
        if (!volts) volts = p.find("vz");
        if (!volts || !p.find("izt")) return b.no_model("its voltage is not known");
        b.put(Neon({*volts, p.get("izt", 1e-3), p.get("nz", 20)}), both(), false);
        b.remark(fmt::format("{}: a neon lamp is taken as lit where the circuit can keep it lit", b.section_->ref));
    }
    void bipolar(std::string_view kind, double polarity) {
        const Parameters p = b.parameters(kind);
        const auto is = p.find("is"), forward = p.find("beta-f"), reverse = p.find("beta-r");
        if (!is || !forward || !reverse) return b.no_model("no parameters are known for it");
        b.put(Bipolar({*is, *forward, *reverse, polarity}), at({"emitter", "base", "collector"}));
        say_defaults(p);
    }
    void npn() { bipolar("npn", 1); }
    void pnp() { bipolar("pnp", -1); }
    void junction_fet(std::string_view kind, double polarity) {
        const Parameters p = b.parameters(kind);
        const auto idss = p.find("idss"), vp = p.find("vp");
        if (!idss || !vp || *vp >= 0) return b.no_model("no parameters are known for it");
        b.put(FieldEffect({*idss / (*vp * *vp), *vp, p.get("igs", 0), polarity}), at({"source", "gate", "drain"}));
        say_defaults(p);
    }
    void njfet() { junction_fet("njfet", 1); }
    void pjfet() { junction_fet("pjfet", -1); }
    void mosfet(std::string_view kind, double polarity) {
        const Parameters p = b.parameters(kind);
        const auto k = p.find("k"), vth = p.find("vth");
        if (!k || !vth) return b.no_model("no parameters are known for it");
        b.put(FieldEffect({*k, polarity * *vth, 0, polarity}), at({"source", "gate", "drain"}));
        say_defaults(p);
    }
    void nmos() { mosfet("nmos", 1); }
    void pmos() { mosfet("pmos", -1); }

    // --- valves and op-amps ---

    std::optional<KorenValues> koren(const Parameters& p, bool pentode) {
        const auto mu = p.find("mu"), ex = p.find("ex"), kg1 = p.find("kg1"), kp = p.find("kp"), kvb = p.find("kvb");
        if (!mu || !ex || !kg1 || !kp || !kvb) return {};
        return KorenValues{*mu, *ex, *kg1, pentode ? p.get("kg2", 4200) : 0, *kp, *kvb};
    }
    void triode() {
        const Parameters p = b.parameters("triode");
        const auto values = koren(p, false);
        if (!values) return b.no_model("no parameters are known for it");
        b.put(Triode(*values), at({"cathode", "grid", "anode"}));
        say_defaults(p);
    }
    void pentode() {
        const Parameters p = b.parameters("pentode");
        const auto values = koren(p, true);
        if (!values) return b.no_model("no parameters are known for it");
        b.put(Pentode(*values), at({"cathode", "grid", "screen", "anode"}));
        say_defaults(p);
    }
    void opamp() {
        b.planned_->is_chip = true;
        const Parameters p = b.parameters("opamp");
        if (!p.find("a0")) return b.no_model("no parameters are known for it");
        OpAmp::Values v;
        v.a0 = p.get("a0", v.a0);
        v.vos = p.get("vos", 0);
        v.ib = p.get("ib", 0);
        v.headroom_high = p.get("headroom-high", v.headroom_high);
        v.headroom_low = p.get("headroom-low", v.headroom_low);
        v.iout = p.get("iout", 0);
        v.rout = p.get("rout", 0);
        v.isupply = p.get("isupply", 0);
        v.set_supply = p.get("set-supply", 0);
        v.set_gbw = p.get("set-gbw", 0);
        v.rset = p.get("rset", 0);
        v.gbw = v.set_gbw > 0 ? 0 : p.get("gbw", 0);
        v.has_minus = !b.is_open("v-");
        v.has_plus = !b.is_open("v+");
        v.has_set = !b.is_open("set");
        std::vector<int> terminals = at({"out", "in-", "in+", "v-", "v+"});
        if (v.has_set) terminals.push_back(b.terminal("set"));
        b.put(OpAmp(v), std::move(terminals));
        if (!v.has_minus || !v.has_plus)
            b.remark(fmt::format("{}: its supplies are not drawn; its output is not limited there", b.section_->ref));
        if (v.set_gbw > 0 && !v.has_set && !(v.rset > 0))
            b.no_model("its set resistor is not known, and with it neither bandwidth nor supply current", false);
        say_defaults(p);
    }

    void transformer();

    void say_defaults(const Parameters& p) {
        if (p.from_default().empty()) return;
        b.remark(fmt::format("{}: {} as usual for {}", b.worked_->model, join_words(p.from_default()),
                             b.circuit_.kinds[b.section_->kind].says));
    }
};

namespace {

struct WindingTaps {
    std::string name;
    std::map<int, int> terminals;  // tap number, terminal
};

// p1 p2 s1 s2 s3 by winding, taps by number, windings in the order met.
std::vector<WindingTaps> windings_of(const Section& section) {
    std::vector<WindingTaps> out;
    for (std::size_t i = 0; i < section.pins.size(); ++i) {
        const std::string& pin = section.pins[i].name;
        const std::size_t digits = pin.find_first_of("0123456789");
        if (digits == std::string::npos || digits == 0) continue;
        const std::string name = pin.substr(0, digits);
        const auto number = read_integer(std::string_view(pin).substr(digits));
        if (!number || *number < 1 || *number > 1000) continue;
        auto known = std::find_if(out.begin(), out.end(), [&](const WindingTaps& w) { return w.name == name; });
        if (known == out.end()) known = out.insert(out.end(), {name, {}});
        known->terminals[static_cast<int>(*number)] = static_cast<int>(i);
    }
    return out;
}

}  // namespace

void KindModels::transformer() {
    const std::optional<double> ratio = b.number(Quantity::ratio);
    std::vector<Transformer::Stretch> stretches;
    std::vector<int> terminals, winding_of_tap;
    double permeance = 0;
    bool turns_known = true, ohms_known = true;
    int index = 0;
    for (const WindingTaps& winding : windings_of(*b.section_)) {
        const auto& all = b.part_->windings;
        const auto written = std::find_if(all.begin(), all.end(), [&](const Winding& w) { return w.name == winding.name; });
        const bool has_turns = written != all.end() && !written->turns.empty();
        int taps = std::max(winding.terminals.rbegin()->first, 2);
        if (written != all.end()) taps = std::max({taps, static_cast<int>(written->turns.size()) + 1, static_cast<int>(written->ohms.size()) + 1});
        // Without figures of its own: the part's ratio, shared out evenly between the taps.
        const double even = (winding.name == "p" ? ratio : winding.name == "s" && ratio ? std::optional(1.0) : std::nullopt).value_or(0) / (taps - 1);
        double total = 0;
        const int first = static_cast<int>(terminals.size());
        for (int tap = 1; tap <= taps; ++tap) {
            const auto pin = winding.terminals.find(tap);
            terminals.push_back(pin == winding.terminals.end() ? -1 : pin->second);
            winding_of_tap.push_back(index);
            if (tap == taps) break;
            const auto figure = [&](const std::vector<double>& list, double otherwise) {
                return static_cast<std::size_t>(tap) <= list.size() ? list[tap - 1] : otherwise;
            };
            const double turns = has_turns ? figure(written->turns, 0) : even;
            const double ohms = written != all.end() ? figure(written->ohms, 0) : 0;
            ohms_known = ohms_known && written != all.end() && static_cast<std::size_t>(tap) <= written->ohms.size();
            stretches.push_back({first + tap - 1, first + tap, turns, ohms});
            total += turns;
        }
        turns_known = turns_known && total > 0;
        std::optional<double> henries = written != all.end() ? written->henries : std::nullopt;
        if (!henries && winding.name == "p") henries = si(b.part_->inductance);
        if (henries && total > 0 && permeance == 0) permeance = *henries / (total * total);
        ++index;
    }
    if (stretches.empty()) return b.no_model("it has no windings");
    const int taps = static_cast<int>(terminals.size());
    b.put(Transformer(taps, std::move(stretches), std::move(winding_of_tap), permeance), std::move(terminals));
    if (!turns_known) b.no_model("the turns of its windings are not known", false);
    if (!ohms_known) b.remark(fmt::format("{}: the resistance of its wire is not known; taken as 0 Ω", b.section_->ref));
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
