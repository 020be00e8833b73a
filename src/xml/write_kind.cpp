#include "base/number_text.h"
#include "base/text.h"
#include "xml/write_circuit.h"
#include "xml/xml_writer.h"

namespace tallyboard {
namespace {

std::string yes(bool is) { return is ? "yes" : ""; }
std::string figure(double number) { return rounded_text(number, 12); }

std::string_view word(PinRole role) {
    switch (role) {
        case PinRole::plain: return "";
        case PinRole::control: return "control";
        case PinRole::output: return "output";
        case PinRole::common: return "common";
        case PinRole::supply: return "supply";
        case PinRole::supply_plus: return "supply-plus";
        case PinRole::supply_minus: return "supply-minus";
    }
    return "";
}

std::string_view word(PinPattern pattern) {
    switch (pattern) {
        case PinPattern::fixed: return "";
        case PinPattern::any: return "any";
        case PinPattern::windings: return "windings";
        case PinPattern::contacts: return "contacts";
    }
    return "";
}

std::string word(Weight weight) {
    return weight == Weight::thin ? "thin" : weight == Weight::heavy ? "heavy" : "";
}

// An exchange as its pins and those they change places with.
void write_exchange(XmlWriter& out, const Kind& kind, const std::vector<std::uint32_t>& order) {
    std::vector<std::string> pins, others;
    for (std::uint32_t i = 0; i < order.size(); ++i)
        if (order[i] > i) {
            pins.push_back(kind.pins[i].name);
            others.push_back(kind.pins[order[i]].name);
        }
    if (pins.size() == 1) out.empty("exchange", {{"pins", pins[0] + " " + others[0]}});
    else out.empty("exchange", {{"pins", join(pins, " ")}, {"with", join(others, " ")}});
}

struct ShapeWriter {
    XmlWriter& out;

    void operator()(const SymbolLine& line) const {
        std::vector<std::string> points;
        for (const auto& [x, y] : line.points) points.push_back(figure(x) + "," + figure(y));
        out.empty("line", {{"points", join(points, " ")}, {"weight", word(line.weight)}, {"closed", yes(line.closed)},
                           {"filled", yes(line.filled)}});
    }
    void operator()(const SymbolCircle& c) const {
        out.empty("circle", {{"x", figure(c.x)}, {"y", figure(c.y)}, {"r", figure(c.r)}, {"weight", word(c.weight)},
                             {"filled", yes(c.filled)}});
    }
    void operator()(const SymbolArc& a) const {
        out.empty("arc", {{"x", figure(a.x)}, {"y", figure(a.y)}, {"r", figure(a.r)}, {"from", figure(a.from)}, {"to", figure(a.to)},
                          {"weight", word(a.weight)}});
    }
    void operator()(const SymbolText& t) const {
        out.empty("text", {{"x", figure(t.x)}, {"y", figure(t.y)}, {"size", figure(t.size)}, {"says", t.text}});
    }
};

}  // namespace

std::string write_kind(const Kind& kind) {
    XmlWriter out;
    out.open("kind", {{"name", kind.name}, {"says", kind.says},
                      {"quantity", kind.quantity == Quantity::none ? "" : std::string(quantity_name(kind.quantity))},
                      {"value-or-model", yes(kind.value_or_model)}, {"polarised", yes(kind.polarised)},
                      {"conductor", yes(kind.conductor)}, {"letters", kind.letters}, {"pattern", std::string(word(kind.pattern))}});
    for (const KindPin& pin : kind.pins)
        out.empty("pin", {{"name", pin.name}, {"others", join(pin.others, " ")}, {"role", std::string(word(pin.role))},
                          {"may-be-left-out", yes(pin.may_be_left_out)}});
    for (const auto& order : kind.exchanges) write_exchange(out, kind, order);
    for (const KindSection& section : kind.sections) {
        std::vector<std::string> pins;
        for (const auto& [pin, place] : section.pins) pins.push_back(pin + "=" + place);
        out.empty("section", {{"kind", section.kind}, {"of", section.of ? std::to_string(section.of) : ""}, {"pins", join(pins, " ")}});
    }
    for (const auto& one_type : kind.synonyms) out.text("synonyms", join(one_type, " "));
    for (const Symbol& symbol : kind.symbols) {
        out.open("symbol", {{"habit", symbol.habit}});
        for (const SymbolPin& pin : symbol.pins)
            out.empty("at", {{"pin", pin.name}, {"x", figure(pin.x)}, {"y", figure(pin.y)}, {"leaves", std::string(1, pin.leaves)}});
        for (const SymbolShape& shape : symbol.shapes) std::visit(ShapeWriter{out}, shape);
        out.close();
    }
    out.close();
    return out.take();
}

}  // namespace tallyboard
