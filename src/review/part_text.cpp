#include "review/part_text.h"

#include <algorithm>

#include "base/number_text.h"
#include "base/text.h"

namespace tallyboard::detail {

namespace {

ValueHabits habits_of(const Circuit& drawing, const Kind& kind) {
    ValueHabits habits;
    habits.capacitor = drawing.defaults.capacitor;
    habits.polarised = kind.polarised;
    if (drawing.about.made && drawing.about.made->earliest) habits.year = drawing.about.made->earliest->year();
    return habits;
}

std::string percent(double share) { return rounded_text(share * 100, 4); }

std::string tolerance_text(const Tolerance& tolerance) {
    if (tolerance.minus == tolerance.plus) return percent(tolerance.plus) + "%";
    return "-" + percent(tolerance.minus) + "/+" + percent(tolerance.plus) + "%";
}

void add_attribute(std::string& element, std::string_view name, const std::string& value) {
    if (!value.empty()) element += " " + std::string(name) + "=\"" + escaped_attribute(value) + "\"";
}

std::string windings_text(const Part& part) {
    std::string text;
    for (const Winding& winding : part.windings) {
        const auto figures = [](const std::vector<double>& numbers) {
            std::vector<std::string> words;
            for (double number : numbers) words.push_back(shortest_text(number));
            return join(words, " ");
        };
        text += "\n  <winding";
        add_attribute(text, "name", winding.name);
        add_attribute(text, "turns", figures(winding.turns));
        add_attribute(text, "resistance", figures(winding.ohms));
        if (winding.henries) add_attribute(text, "inductance", engineering_text(*winding.henries, Quantity::inductance, 6));
        text += "/>";
    }
    return text;
}

}  // namespace

std::string written_net(const PinAfter& pin) {
    switch (pin.state) {
        case PinState::traced: return pin.net;
        case PinState::nowhere: return "-";
        case PinState::untraced:
        case PinState::undrawn: break;
    }
    return "?";
}

std::string pins_text(const std::vector<std::string>& names, const std::vector<PinAfter>& after) {
    std::vector<std::string> items;
    for (std::size_t i = 0; i < after.size(); ++i)
        if (after[i].state != PinState::undrawn) items.push_back(names[i] + "=" + written_net(after[i]));
    return join(items, " ");
}

std::vector<Edit> pin_edits(const Circuit& drawing, const Part& part, const std::vector<PinAfter>& after) {
    std::vector<Edit> edits;
    std::vector<std::string> names;
    bool in_place = true, changed = false;
    for (std::size_t i = 0; i < after.size(); ++i) {
        names.push_back(part.pins[i].name);
        changed |= after[i].changed;
        if (after[i].changed && part.pins[i].span == Span{}) in_place = false;
    }
    if (!changed) return edits;
    if (!in_place) return {set_attribute(drawing.source, part.span, "pins", pins_text(names, after))};
    const char quote = drawing.source.bytes()[part.pins_span.begin - 1];
    for (std::size_t i = 0; i < after.size(); ++i) {
        if (!after[i].changed) continue;
        Span net = part.pins[i].span;
        const std::size_t equals = drawing.source.slice(net).find('=');
        if (equals != std::string_view::npos) net.begin += equals + 1;
        edits.push_back({net, escaped_attribute(written_net(after[i]), quote)});
    }
    return edits;
}

bool reads_as(const Circuit& drawing, const Kind& kind, const std::string& text, const Decimal& number) {
    // A comma is read by what the sheet's other values say; a number that needs none is safer.
    if (text.find(',') != std::string::npos) return false;
    const auto read = read_value(text, kind.quantity, habits_of(drawing, kind));
    return read && read->number == number;
}

std::string value_text_for(const Circuit& drawing, const Kind& kind, const Value* drawn, const Part& found) {
    const Value* value = found.nominal();
    if (!value) return "";
    std::string text = found.value ? found.value->text : trade_text(value->number, kind.quantity);
    if (!reads_as(drawing, kind, text, value->number)) text = trade_text(value->number, kind.quantity);
    if (!drawn) return text;
    std::string with_rest = text;
    if (drawn->tolerance && !value->tolerance) with_rest += " " + tolerance_text(*drawn->tolerance);
    if (!drawn->rating.empty() && value->rating.empty()) with_rest += " " + drawn->rating;
    return reads_as(drawing, kind, with_rest, value->number) ? with_rest : text;
}

std::string part_element(const Circuit& drawing, const Circuit& board, const Part& found, const NewPart& as) {
    const Kind& kind = board.kind_of(found);
    std::string element = "<part";
    add_attribute(element, "ref", as.ref);
    add_attribute(element, "package", as.package);
    add_attribute(element, "kind", kind.name);
    if (kind.quantity != Quantity::none) add_attribute(element, "value", value_text_for(drawing, kind, nullptr, found));
    add_attribute(element, "model", found.model);
    if (found.tol) add_attribute(element, "tol", tolerance_text(*found.tol));
    add_attribute(element, "taper", found.taper);
    if (found.half) add_attribute(element, "half", percent(*found.half) + "%");
    if (found.resistance) add_attribute(element, "resistance", found.resistance->text);
    if (found.inductance) add_attribute(element, "inductance", found.inductance->text);
    if (found.capacitance) add_attribute(element, "capacitance", found.capacitance->text);
    add_attribute(element, "on", as.on);

    // Net names alone where the kind allows it and every pin is known; untraced pins are left out.
    const bool all_known = std::none_of(as.nets.begin(), as.nets.end(), [](const std::string& net) { return net == "?"; });
    std::vector<std::string> items;
    for (std::size_t i = 0; i < as.nets.size(); ++i)
        if (as.nets[i] != "?") items.push_back(kind.ordered && all_known ? as.nets[i] : found.pins[i].name + "=" + as.nets[i]);
    add_attribute(element, "pins", join(items, " "));
    const std::string inside = windings_text(found);
    return element + (inside.empty() ? "/>" : ">" + inside + "\n</part>");
}

}  // namespace tallyboard::detail
