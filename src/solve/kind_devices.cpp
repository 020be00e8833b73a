#include "solve/kind_models.h"

#include <fmt/format.h>

#include "base/text.h"
#include "solve/models/fets.h"
#include "solve/models/junctions.h"
#include "solve/models/opamp.h"

namespace tallyboard::detail {

void KindModels::put_diode(std::string_view kind, std::vector<int> terminals) {
    const Parameters p = b.parameters(kind);
    if (!p.find("is")) return b.no_model("no parameters are known for it");
    b.put(Diode({p.get("is", 0), p.get("n", 1), 0, 0, 1}), std::move(terminals));
    say_defaults(p);
}

void KindModels::diode() {
    put_diode("diode", at({"anode", "cathode"}));
}

void KindModels::led() {
    put_diode("led", at({"anode", "cathode"}));
}

void KindModels::bridge() {
    for (auto [from, to] : {std::pair{"ac1", "plus"}, {"ac2", "plus"}, {"minus", "ac1"}, {"minus", "ac2"}})
        put_diode("bridge", at({from, to}));
}

void KindModels::zener() {
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

void KindModels::neon() {
    const Parameters p = b.parameters("neon");
    std::optional<double> volts = b.number(Quantity::voltage);
    if (!volts) volts = p.find("vz");
    if (!volts || !p.find("izt")) return b.no_model("its voltage is not known");
    b.put(Neon({*volts, p.get("izt", 1e-3), p.get("nz", 20)}), both(), false);
    b.remark(fmt::format("{}: a neon lamp is taken as lit where the circuit can keep it lit", b.section_->ref));
}

void KindModels::bipolar(std::string_view kind, double polarity) {
    const Parameters p = b.parameters(kind);
    const auto is = p.find("is"), forward = p.find("beta-f"), reverse = p.find("beta-r");
    if (!is || !forward || !reverse) return b.no_model("no parameters are known for it");
    b.put(Bipolar({*is, *forward, *reverse, polarity}), at({"emitter", "base", "collector"}));
    b.device_spreads(p);
    say_defaults(p);
}

void KindModels::npn() {
    bipolar("npn", 1);
}

void KindModels::pnp() {
    bipolar("pnp", -1);
}

void KindModels::junction_fet(std::string_view kind, double polarity) {
    const Parameters p = b.parameters(kind);
    const auto idss = p.find("idss"), vp = p.find("vp");
    if (!idss || !vp || *vp >= 0) return b.no_model("no parameters are known for it");
    b.put(FieldEffect({*idss / (*vp * *vp), *vp, p.get("igs", 0), polarity}), at({"source", "gate", "drain"}));
    b.device_spreads(p);
    say_defaults(p);
}

void KindModels::njfet() {
    junction_fet("njfet", 1);
}

void KindModels::pjfet() {
    junction_fet("pjfet", -1);
}

void KindModels::mosfet(std::string_view kind, double polarity) {
    const Parameters p = b.parameters(kind);
    const auto k = p.find("k"), vth = p.find("vth");
    if (!k || !vth) return b.no_model("no parameters are known for it");
    b.put(FieldEffect({*k, polarity * *vth, 0, polarity}), at({"source", "gate", "drain"}));
    b.device_spreads(p);
    say_defaults(p);
}

void KindModels::nmos() {
    mosfet("nmos", 1);
}

void KindModels::pmos() {
    mosfet("pmos", -1);
}

std::optional<KorenValues> KindModels::koren(const Parameters& p, bool pentode) {
    const auto mu = p.find("mu"), ex = p.find("ex"), kg1 = p.find("kg1"), kp = p.find("kp"), kvb = p.find("kvb");
    if (!mu || !ex || !kg1 || !kp || !kvb) return {};
    return KorenValues{*mu, *ex, *kg1, pentode ? p.get("kg2", 4200) : 0, *kp, *kvb};
}

void KindModels::triode() {
    b.planned_->is_valve = true;
    const Parameters p = b.parameters("triode");
    const auto values = koren(p, false);
    if (!values) return b.no_model("no parameters are known for it");
    b.put(Triode(*values), at({"cathode", "grid", "anode"}));
    b.device_spreads(p);
    say_defaults(p);
}

void KindModels::pentode() {
    b.planned_->is_valve = true;
    const Parameters p = b.parameters("pentode");
    const auto values = koren(p, true);
    if (!values) return b.no_model("no parameters are known for it");
    b.put(Pentode(*values), at({"cathode", "grid", "screen", "anode"}));
    b.device_spreads(p);
    say_defaults(p);
}

void KindModels::opamp() {
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

}  // namespace tallyboard::detail
