#include "solve/kind_models.h"

#include <fmt/format.h>

#include "base/text.h"
#include "solve/models/junctions.h"
#include "solve/models/passive.h"

namespace tallyboard::detail {

void KindModels::put_resistance(double ohms, bool takes_value) {
    if (ohms > 0) b.put(Resistor(ohms), both(), takes_value);
    else put_wire(0, 1);
}

void KindModels::put_wire(int a, int c) {
    b.put(Branch({}), {a, c});
}

void KindModels::resistor() {
    const std::optional<double> ohms = b.number(Quantity::resistance);
    if (!ohms || *ohms < 0) return b.no_model("its value is not known");
    if (*ohms > 0) put_value(*ohms);
    put_resistance(*ohms, true);
}

void KindModels::capacitor() {
    const std::optional<double> farads = b.number(Quantity::capacitance);
    if (!farads || *farads < 0) return b.no_model("its value is not known", false);
    if (*farads > 0) put_value(*farads);
    b.put(Capacitor(*farads), both(), true);
}

void KindModels::coil() {
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

void KindModels::speaker() {
    const std::optional<double> nominal = b.number(Quantity::resistance);
    std::optional<double> ohms = si(b.part_->resistance);
    if (!ohms) ohms = nominal;
    if (!ohms) return b.no_model("its resistance is not known");
    b.put(Branch({0, *ohms, si(b.part_->inductance).value_or(0)}), both());
    if (const auto farads = si(b.part_->capacitance)) b.put(Capacitor(*farads), both());
}

// Hot resistance: as written, else from voltage and current or power, else by type.
void KindModels::lamp() {
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

void KindModels::battery() {
    b.planned_->is_battery = true;
    const std::optional<double> volts = b.number(Quantity::voltage);
    if (!volts) return b.no_model("its voltage is not known");
    put_value(*volts);
    Branch::Values values{*volts, si(b.part_->resistance).value_or(0), 0};
    values.takes = Branch::Values::Part::volts;
    b.put(Branch(values), at({"plus", "minus"}), true);
}

void KindModels::wire() {
    b.put(Branch({0, si(b.part_->resistance).value_or(0), 0}), both());
}

void KindModels::crystal() {
    b.remark(fmt::format("{}: a crystal is taken as open far below its frequency", b.section_->ref));
}

void KindModels::nothing() {
    
}

const Control* KindModels::set_control(std::string_view otherwise) {
    const Control* control = b.control_of(b.section_->part);
    if (!control) b.remark(fmt::format("{} is not set: taken {}", b.section_->ref, otherwise));
    return control;
}

void KindModels::toggle() {
    const Control* control = set_control("as open");
    if (control && control->position == "closed") put_wire(0, 1);
}

void KindModels::changeover() {
    const Control* control = set_control("as at a");
    b.put(Branch({}), at({"common", control && control->position == "b" ? "b" : "a"}));
}

void KindModels::selector() {
    const Control* control = set_control("as at 1");
    const std::string contact = control && !control->position.empty() ? control->position : "1";
    const int to = b.terminal(contact);
    if (to >= 0) b.put(Branch({}), {b.terminal("common"), to});
}

// Its break contact rests on the tip until a plug lifts it: where the source or the load stands on the tip, one is in.
void KindModels::jack_break() {
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

void KindModels::potentiometer() {
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

}  // namespace tallyboard::detail
