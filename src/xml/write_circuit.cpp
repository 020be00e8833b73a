#include "xml/write_circuit.h"

#include <algorithm>

#include "base/number_text.h"
#include "base/text.h"
#include "xml/document.h"
#include "xml/read.h"
#include "xml/xml_writer.h"

namespace tallyboard {
namespace {

using Field = XmlWriter::Field;

// Enough digits that a figure typed in comes back as the same double.
std::string figure(double number) { return rounded_text(number, 15); }
std::string figure_or_none(const std::optional<double>& number, std::string_view unit = "") {
    return number ? figure(*number) + std::string(unit) : std::string();
}

std::string tolerance_or_none(const std::optional<Tolerance>& tolerance) {
    return tolerance ? tolerance_text(*tolerance) : std::string();
}

std::string text_of(const std::optional<Value>& value) { return value ? value->text : std::string(); }

class CircuitWriter {
public:
    explicit CircuitWriter(const Circuit& circuit) : circuit_(circuit) {}

    std::string write() {
        bool board = circuit_.role == CircuitRole::board;
        out_.raw("<?xml version=\"1.0\" encoding=\"UTF-8\"?>");
        out_.open(board ? "as-found" : "circulated", {{"xmlns", std::string(circuit_namespace)},
                                                      {"complete", circuit_.complete ? "" : "no"},
                                                      {"on", circuit_.on}});
        about();
        defaults();
        for (const Scan& scan : circuit_.scans) out_.empty("scan", {{"file", scan.file}});
        for (const Net& net : circuit_.nets)
            if (net.declared) out_.empty("net", {{"name", net.name}, {"role", std::string(role_word(net.role))}});
        kinds_and_devices();
        for (const Part& part : circuit_.parts) write_part(part);
        for (const Revision& r : circuit_.revisions) revision(r);
        if (circuit_.setup) setup(*circuit_.setup);
        bench();
        continuity();
        out_.close();
        return out_.take();
    }

private:
    void about() {
        const About& a = circuit_.about;
        const std::pair<std::string_view, const std::string*> lines[] = {
            {"title", &a.title}, {"maker", &a.maker}, {"model", &a.model}, {"serial", &a.serial}};
        bool any = !(a.title + a.maker + a.model + a.serial + a.source + a.by + a.date + a.note).empty() || a.made;
        if (!any) return;
        out_.open("about");
        for (const auto& [name, text] : lines) out_.text(name, *text);
        if (a.made) out_.text("made", a.made->text);
        out_.text("source", a.source);
        out_.text("by", a.by);
        out_.text("date", a.date);
        out_.text("note", a.note);
        out_.close();
    }

    void defaults() {
        const Defaults& d = circuit_.defaults;
        std::string habit = d.capacitor == CapacitorHabit::microfarad ? "uF" : d.capacitor == CapacitorHabit::picofarad ? "pF" : "";
        if (habit.empty() && !d.resistor_tol && !d.capacitor_tol) return;
        out_.empty("defaults", {{"capacitor", habit},
                                {"resistor-tol", tolerance_or_none(d.resistor_tol)},
                                {"capacitor-tol", tolerance_or_none(d.capacitor_tol)}});
    }

    // Kinds that the program does not know by itself, or knows otherwise.
    void kinds_and_devices() {
        const KindTable& known = built_in_kinds();
        for (std::uint32_t k = 0; k < circuit_.kinds.size(); ++k) {
            const Kind& kind = circuit_.kinds[KindId{k}];
            auto same = known.find(kind.name);
            std::string text = write_kind(kind);
            if (same && write_kind(known[*same]) == text) continue;
            for (const std::string& line : split(text, '\n'))
                if (!line.empty()) out_.raw(line);
        }
        for (const Device& device : circuit_.devices) {
            std::vector<Field> fields{{"model", device.model}, {"kind", device.kind}};
            for (const auto& [name, value] : device.parameters) fields.emplace_back(name, shortest_text(value));
            fields.emplace_back("source", device.source);
            out_.empty("device", fields);
        }
    }

    void write_part(const Part& part) {
        // A type number that only the marking gives is not written a second time.
        bool marked_only = part.model_span == Span{} &&
                           std::any_of(part.found.begin(), part.found.end(), [&](const Found& f) { return f.marking == part.model; });
        std::vector<Field> fields{
            {"ref", part.ref}, {"package", part.package}, {"kind", circuit_.kind_of(part).name}, {"value", text_of(part.value)},
            {"model", marked_only ? "" : part.model}, {"resistance", text_of(part.resistance)}, {"inductance", text_of(part.inductance)},
            {"capacitance", text_of(part.capacitance)}, {"taper", part.taper}, {"half", part.half ? rounded_text(*part.half * 100, 12) + "%" : ""},
            {"tol", tolerance_or_none(part.tol)}, {"fit", part.fit == Fit::no ? "no" : part.fit == Fit::optional ? "optional" : ""},
            {"on", part.on}, {"pins", pins_text(circuit_, part)}, {"note", part.note}};
        if (part.found.empty() && part.done.empty() && part.windings.empty() && !part.stands && part.on_scan.empty()) {
            out_.empty("part", fields);
            return;
        }
        out_.open("part", fields);
        for (const Winding& w : part.windings) winding(w);
        for (const Found& f : part.found)
            out_.empty("found", {{"marking", f.marking}, {"measured", f.measured_text}, {"where", std::string(where_word(f.where))},
                                 {"status", std::string(status_word(f.status))}, {"condition", f.condition},
                                 {"date-code", f.date_code}, {"meter", f.meter}, {"note", f.note}});
        for (const Done& d : part.done)
            out_.empty("done", {{"what", std::string(done_word(d.what))}, {"with", d.with}, {"on", d.on}, {"why", d.why}, {"by", d.by}});
        if (const auto& s = part.stands)
            out_.empty("stands", {{"x", figure(s->x)}, {"y", figure(s->y)}, {"quarter", s->quarter ? std::to_string(s->quarter) : ""},
                                  {"flipped", s->flipped ? "yes" : ""}, {"sheet", s->sheet == 1 ? "" : std::to_string(s->sheet)}});
        for (const OnScan& o : part.on_scan) out_.empty("on-scan", {{"x", figure(o.x)}, {"y", figure(o.y)}, {"scan", o.scan}});
        out_.close();
    }

    void winding(const Winding& w) {
        auto list = [](const std::vector<double>& numbers) {
            std::vector<std::string> words;
            for (double n : numbers) words.push_back(figure(n));
            return join(words, " ");
        };
        out_.empty("winding", {{"name", w.name}, {"turns", list(w.turns)}, {"resistance", list(w.ohms)},
                               {"inductance", figure_or_none(w.henries, "H")}});
    }

    void revision(const Revision& r) {
        std::vector<Field> fields{{"letter", r.letter}, {"date", r.date}, {"by", r.by}};
        if (r.text.empty()) out_.empty("revision", fields);
        else out_.text("revision", r.text, fields);
    }

    void setup(const Setup& s) {
        out_.open("setup");
        for (const Supply& supply : s.supplies)
            out_.empty("supply", {{"name", supply.name}, {"plus", net_name(circuit_, supply.plus)}, {"minus", net_name(circuit_, supply.minus)},
                                  {"voltage", figure(supply.volts) + "V"}, {"resistance", supply.ohms == 0 ? "" : figure(supply.ohms)}});
        if (s.source)
            out_.empty("source", {{"net", net_name(circuit_, s.source->net)}, {"return", net_name(circuit_, s.source->back)},
                                  {"resistance", s.source->ohms == 0 ? "" : figure(s.source->ohms)}});
        if (s.load)
            out_.empty("load", {{"net", net_name(circuit_, s.load->net)}, {"return", net_name(circuit_, s.load->back)},
                                {"resistance", figure_or_none(s.load->ohms)}});
        for (const Control& control : s.controls)
            out_.empty("control", {{"ref", circuit_[control.part].ref},
                                   {"at", control.share ? figure(*control.share) : control.position}});
        out_.close();
    }

    void bench() {
        if (circuit_.bench.meters.empty() && circuit_.bench.readings.empty()) return;
        out_.open("bench");
        for (const Meter& m : circuit_.bench.meters)
            out_.empty("meter", {{"id", m.id},
                                 {"input", m.ohms_per_volt ? figure(*m.ohms_per_volt) + "/V" : figure_or_none(m.input_ohms)},
                                 {"error", m.error == 0 ? "" : rounded_text(m.error * 100, 12) + "%"},
                                 {"burden", figure_or_none(m.burden_volts, "V")},
                                 {"test", m.test_amperes ? figure(*m.test_amperes) + "A" : figure_or_none(m.test_volts, "V")}});
        for (const Reading& r : circuit_.bench.readings) reading(r);
        out_.close();
    }

    void reading(const Reading& r) {
        static constexpr std::string_view words[] = {"voltage", "resistance", "current"};
        static constexpr std::string_view units[] = {"V", "", "A"};
        std::string_view unit = units[static_cast<int>(r.what)];
        std::vector<std::string> without;
        for (PartId part : r.without) without.push_back(circuit_[part].ref);
        std::string through = r.through_pin ? pin_name(circuit_, *r.through_pin) : r.through;
        out_.empty("reading", {{"what", std::string(words[static_cast<int>(r.what)])}, {"at", r.at ? r.at->text : ""},
                               {"to", r.to ? r.to->text : ""}, {"through", through}, {"is", r.is_text}, {"meter", r.meter.value_or("")},
                               {"range", figure_or_none(r.range, unit)}, {"within", figure_or_none(r.within, unit)},
                               {"without", join(without, " ")}, {"when", r.when == When::left ? "left" : ""}, {"note", r.note}});
    }

    void continuity() {
        if (circuit_.continuity.empty()) return;
        static constexpr std::string_view words[] = {"yes", "part", "no"};
        out_.open("continuity");
        for (const ContinuityTest& test : circuit_.continuity)
            out_.empty("test", {{"from", test.from.text}, {"to", test.to.text},
                                {"beeps", std::string(words[static_cast<int>(test.beeps)])}, {"note", test.note}});
        out_.close();
    }

    const Circuit& circuit_;
    XmlWriter out_;
};

// What stands for a pin's net: its name, `?` or `-`; empty where the pin is not drawn.
std::string net_text(const Circuit& circuit, const Pin& pin) {
    switch (pin.state) {
        case PinState::undrawn: return "";
        case PinState::nowhere: return "-";
        case PinState::untraced: return "?";
        case PinState::traced: break;
    }
    const std::string& name = circuit[pin.net].name;
    return name.empty() ? "?" : name;  // the tests that joined such pins are written too, and join them again
}

}  // namespace

std::string pins_text(const Circuit& circuit, const Part& part) {
    const Kind& kind = circuit.kind_of(part);
    bool all = true, any = false;
    for (const Pin& pin : part.pins) {
        std::string net = net_text(circuit, pin);
        all = all && !net.empty();
        any = any || (!net.empty() && net != "?") || pin.span != Span{} || kind.pattern != PinPattern::fixed;
    }
    if (!any) return "";
    std::vector<std::string> items;
    for (const Pin& pin : part.pins) {
        std::string net = net_text(circuit, pin);
        if (kind.ordered && all) items.push_back(net);
        // On a board a pin not mentioned is `?` anyway.
        else if (!net.empty() && (net != "?" || pin.span != Span{} || kind.pattern != PinPattern::fixed))
            items.push_back(pin.name + "=" + net);
    }
    return join(items, " ");
}

std::string tolerance_text(const Tolerance& tolerance) {
    // Twelve digits: 0.2 as a share is 20 per cent, whatever the last bit says.
    std::string minus = rounded_text(tolerance.minus * 100, 12), plus = rounded_text(tolerance.plus * 100, 12);
    return minus == plus ? plus + "%" : "-" + minus + "/+" + plus + "%";
}

std::string write_circuit(const Circuit& circuit) { return CircuitWriter(circuit).write(); }

}  // namespace tallyboard
