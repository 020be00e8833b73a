#include "support/draft.h"

#include "xml/read.h"

namespace tallyboard::test {

std::uint64_t Random::bits() {
    state_ += 0x9e3779b97f4a7c15u;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

std::size_t Random::below(std::size_t n) {
    // The bias of the remainder is below 2^-40 for every n used here.
    return static_cast<std::size_t>(bits() % n);
}

bool is_plain_two_pin(const DraftPart& part) {
    return part.pins.size() == 2 && part.pins[0].name == "a" && part.pins[1].name == "b";
}

namespace {

std::string escaped(const std::string& text) {
    std::string result;
    for (char c : text) {
        if (c == '&') result += "&amp;";
        else if (c == '<') result += "&lt;";
        else if (c == '"') result += "&quot;";
        else result += c;
    }
    return result;
}

void add_attribute(std::string& text, const char* name, const std::string& value) {
    if (!value.empty()) text += std::string(" ") + name + "=\"" + escaped(value) + "\"";
}

std::string pins_text(const DraftPart& part) {
    std::string text;
    for (const DraftPin& pin : part.pins) {
        if (!text.empty()) text += ' ';
        if (!is_plain_two_pin(part)) text += pin.name + '=';
        text += pin.net;
    }
    return text;
}

}  // namespace

std::string xml_text(const Draft& draft, CircuitRole role, const std::string& attributes) {
    const std::string root = role == CircuitRole::drawing ? "circulated" : "as-found";
    std::string text = "<" + root + " xmlns=\"urn:tallyboard:circuit:1\"" + (attributes.empty() ? "" : " " + attributes) + ">\n";
    if (!draft.title.empty()) text += "  <about><title>" + escaped(draft.title) + "</title></about>\n";
    for (const DraftNet& net : draft.nets) {
        text += "  <net";
        add_attribute(text, "name", net.name);
        add_attribute(text, "role", net.role);
        text += "/>\n";
    }
    for (const DraftPart& part : draft.parts) {
        text += "  <part";
        add_attribute(text, "ref", part.ref);
        add_attribute(text, "package", part.package);
        add_attribute(text, "kind", part.kind);
        add_attribute(text, "value", part.value);
        add_attribute(text, "model", part.model);
        add_attribute(text, "pins", pins_text(part));
        if (!part.attributes.empty()) text += " " + part.attributes;
        text += "/>\n";
    }
    return text + draft.more + "</" + root + ">\n";
}

Draft draft_of(const Circuit& circuit) {
    Draft draft;
    for (const Part& part : circuit.parts) {
        const Kind& kind = circuit.kind_of(part);
        DraftPart out{part.ref, kind.name, "", part.model, part.package, "", {}};
        if (const Value* value = part.nominal())
            out.value = value->quantity == Quantity::ratio ? value->text : trade_text(value->number, value->quantity);
        if (part.fit != Fit::yes) out.attributes += part.fit == Fit::no ? " fit=\"no\"" : " fit=\"optional\"";
        if (!part.taper.empty()) out.attributes += " taper=\"" + part.taper + "\"";
        if (!part.on.empty()) out.attributes += " on=\"" + escaped(part.on) + "\"";
        for (const Pin& pin : part.pins) {
            if (pin.state == PinState::undrawn) continue;
            out.pins.push_back({pin.name, pin.state == PinState::traced ? net_name(circuit, pin.net) : pin.state == PinState::nowhere ? "-" : "?"});
        }
        draft.parts.push_back(std::move(out));
    }
    return draft;
}

Circuit read_draft(const Draft& draft, CircuitRole role, const std::string& attributes) {
    const char* name = role == CircuitRole::drawing ? "drawing.xml" : "board.xml";
    return read_circuit(SourceText(name, xml_text(draft, role, attributes)), built_in_kinds(), role);
}

}  // namespace tallyboard::test
