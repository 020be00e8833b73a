#include "xml/same_circuit.h"

#include <algorithm>

#include "base/number_text.h"
#include "base/text.h"

namespace tallyboard::test {
namespace {

std::string number(double n) { return rounded_text(n, 12); }
std::string number(const std::optional<double>& n) { return n ? number(*n) : "none"; }
std::string value(const std::optional<Value>& v) {
    return v ? v->text + "=" + v->number.to_text() + "/" + v->rating + (v->tolerance ? "±" + number(v->tolerance->plus) : "") : "none";
}
std::string place(const Circuit& c, const std::optional<Place>& p) {
    if (!p) return "none";
    return p->text + (p->pin ? " pin " + pin_name(c, *p->pin) : "") + (p->net ? " on " + net_name(c, *p->net) : "");
}
std::string tolerance(const std::optional<Tolerance>& t) { return t ? number(t->minus) + "/" + number(t->plus) : "none"; }

void add_part(std::vector<std::string>& out, const Circuit& c, const Part& p) {
    std::string line = "part " + p.ref + " " + c.kind_of(p).name + " " + value(p.value) + " model " + p.model + " tol " +
                       tolerance(p.tol) + " package " + p.package + " fit " + std::to_string(static_cast<int>(p.fit)) + " on " + p.on +
                       " taper " + p.taper + " half " + number(p.half) + " " + value(p.resistance) + " " + value(p.inductance) + " " +
                       value(p.capacitance) + " note " + p.note;
    for (const Pin& pin : p.pins)
        line += " " + pin.name + "=" + std::to_string(static_cast<int>(pin.state)) +
                (pin.state == PinState::traced ? net_name(c, pin.net) : "");
    for (const Winding& w : p.windings) {
        line += " winding " + w.name + number(w.henries);
        for (double t : w.turns) line += " " + number(t);
        for (double o : w.ohms) line += " R" + number(o);
    }
    for (const Found& f : p.found)
        line += " found " + f.marking + "|" + (f.marked ? f.marked->number.to_text() : "") + "|" + f.measured_text + "|" +
                number(f.measured) + "|" + f.condition + "|" + f.date_code + "|" + f.meter + "|" + f.note + "|" +
                std::string(where_word(f.where)) + std::string(status_word(f.status));
    for (const Done& d : p.done)
        line += " done " + std::string(done_word(d.what)) + "|" + d.with + "|" + d.on + "|" + d.why + "|" + d.by + value(d.value);
    if (p.stands)
        line += " stands " + number(p.stands->x) + "," + number(p.stands->y) + "," + std::to_string(p.stands->quarter) +
                (p.stands->flipped ? "f" : "") + std::to_string(p.stands->sheet);
    for (const OnScan& o : p.on_scan) line += " scan " + number(o.x) + "," + number(o.y) + o.scan;
    out.push_back(line);
}

void add_bench(std::vector<std::string>& out, const Circuit& c) {
    if (c.setup) {
        for (const Supply& s : c.setup->supplies)
            out.push_back("supply " + s.name + net_name(c, s.plus) + net_name(c, s.minus) + number(s.volts) + "," + number(s.ohms));
        if (const auto& s = c.setup->source) out.push_back("source " + net_name(c, s->net) + net_name(c, s->back) + number(s->ohms));
        if (const auto& l = c.setup->load) out.push_back("load " + net_name(c, l->net) + net_name(c, l->back) + number(l->ohms));
        for (const Control& k : c.setup->controls) out.push_back("control " + c[k.part].ref + number(k.share) + (k.share ? "" : k.position));
    }
    for (const Meter& m : c.bench.meters)
        out.push_back("meter " + m.id + number(m.input_ohms) + number(m.ohms_per_volt) + number(m.error) + number(m.burden_volts) +
                      number(m.test_volts) + number(m.test_amperes));
    for (const Reading& r : c.bench.readings) {
        std::string line = "reading " + std::to_string(static_cast<int>(r.what)) + place(c, r.at) + place(c, r.to) + r.through +
                           (r.through_pin ? pin_name(c, *r.through_pin) : "") + r.is_text + number(r.is) + r.meter.value_or("-") +
                           number(r.range) + number(r.within) + (r.when == When::left ? "left" : "found") + r.note;
        for (PartId part : r.without) line += " without " + c[part].ref;
        out.push_back(line);
    }
    for (const ContinuityTest& t : c.continuity)
        out.push_back("test " + place(c, t.from) + place(c, t.to) + std::to_string(static_cast<int>(t.beeps)) + t.note);
}

}  // namespace

std::vector<std::string> lines_of(const Circuit& c) {
    std::vector<std::string> out;
    out.push_back(std::string(c.role == CircuitRole::board ? "board " : "drawing ") + (c.complete ? "complete " : "part ") + c.on);
    const About& a = c.about;
    out.push_back(a.title + "|" + a.maker + "|" + a.model + "|" + a.serial + "|" + a.source + "|" + a.by + "|" + a.date + "|" + a.note +
                  "|" + (a.made ? a.made->text : ""));
    out.push_back(std::to_string(static_cast<int>(c.defaults.capacitor)) + tolerance(c.defaults.resistor_tol) +
                  tolerance(c.defaults.capacitor_tol));
    for (const Part& part : c.parts) add_part(out, c, part);
    std::vector<std::string> nets;
    for (const Net& net : c.nets) {
        std::string line = "net " + net.name + " " + std::string(role_word(net.role)) + (net.declared ? " declared" : "");
        for (PinId pin : net.pins) line += " " + pin_name(c, pin);
        nets.push_back(line);
    }
    std::sort(nets.begin(), nets.end());
    out.insert(out.end(), nets.begin(), nets.end());
    add_bench(out, c);
    for (const Device& d : c.devices) {
        out.push_back("device " + d.model + "|" + d.kind + "|" + d.source);
        for (const auto& [name, figure] : d.parameters) out.push_back(name + "=" + shortest_text(figure));
    }
    for (const Scan& s : c.scans) out.push_back("scan " + s.file);
    for (const Revision& r : c.revisions) out.push_back("revision " + r.letter + "|" + r.date + "|" + r.by + "|" + r.text);
    std::vector<std::string> kinds = c.kinds.names();
    out.push_back("kinds " + join(kinds, " "));
    return out;
}

}  // namespace tallyboard::test
