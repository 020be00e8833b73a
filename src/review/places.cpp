#include "review/places.h"

#include <algorithm>
#include <map>
#include <optional>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

class PlaceEditor {
public:
    PlaceEditor(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring) : drawing_(drawing), parts_(parts), wiring_(wiring) {}

    std::vector<Edit> edits() {
        if (drawing_.setup) setup(*drawing_.setup);
        for (const Reading& reading : drawing_.bench.readings) this->reading(reading);
        for (const ContinuityTest& test : drawing_.continuity) this->test(test);
        return std::move(edits_);
    }

private:
    bool is_removed(PartId id) const { return parts_.removed.count(id.index) != 0; }
    bool is_removed(std::string_view ref) const {
        const auto id = drawing_.part(ref);
        return id && is_removed(*id);
    }

    void set(Span element, const char* attribute, const std::string& now, const std::string& after) {
        if (now != after) edits_.push_back(set_attribute(drawing_.source, element, attribute, after));
    }
    void take_out(Span element) { edits_.push_back(remove_element(drawing_.source, element)); }

    void net(Span element, const char* attribute, NetId id) { set(element, attribute, drawing_[id].name, wiring_.net_names[id.index]); }

    // What a place is called afterwards; nothing where it is gone.
    std::optional<std::string> name_of(const Place& place) const {
        if (!place.pin) return place.net ? std::optional(wiring_.net_names[place.net->index]) : place.text;
        const PinId pin = *place.pin;
        if (!is_removed(pin.part)) {
            if (!parts_.other_kind.count(pin.part.index)) return place.text;
            return drawing_[pin.part].ref + "." + parts_.pin_names[pin.part.index][pin.pin];
        }
        if (!place.net || wiring_.net_names[place.net->index].empty()) return {};
        return wiring_.net_names[place.net->index];
    }

    void setup(const Setup& setup) {
        for (const Supply& supply : setup.supplies) {
            if (is_shorted(supply)) {
                take_out(supply.span);
                continue;
            }
            net(supply.span, "plus", supply.plus);
            net(supply.span, "minus", supply.minus);
            // A supply called by its net keeps that name when the net takes another.
            const bool renamed = (drawing_[supply.plus].name == supply.name && wiring_.net_names[supply.plus.index] != supply.name) ||
                                 (drawing_[supply.minus].name == supply.name && wiring_.net_names[supply.minus.index] != supply.name);
            if (renamed) edits_.push_back(set_attribute(drawing_.source, supply.span, "name", supply.name));
        }
        if (setup.source) {
            net(setup.source->span, "net", setup.source->net);
            net(setup.source->span, "return", setup.source->back);
        }
        if (setup.load) {
            net(setup.load->span, "net", setup.load->net);
            net(setup.load->span, "return", setup.load->back);
        }
        for (const Control& control : setup.controls)
            if (is_removed(control.part) || parts_.other_kind.count(control.part.index)) take_out(control.span);
    }

    // Plus and minus have become one net.
    bool is_shorted(const Supply& supply) const {
        return wiring_.net_names[supply.plus.index] == wiring_.net_names[supply.minus.index];
    }
    bool is_shorted(std::string_view name) const {
        if (!drawing_.setup || name.empty()) return false;
        return std::any_of(drawing_.setup->supplies.begin(), drawing_.setup->supplies.end(),
                           [&](const Supply& supply) { return supply.name == name && is_shorted(supply); });
    }

    void reading(const Reading& reading) {
        const auto at = reading.at ? name_of(*reading.at) : std::optional<std::string>("");
        const auto to = reading.to ? name_of(*reading.to) : std::optional<std::string>("");
        const bool through_gone = reading.through_pin ? is_removed(reading.through_pin->part)
                                                      : is_removed(reading.through) || is_shorted(reading.through);
        if (!at || !to || through_gone) return take_out(reading.span);
        if (reading.at) set(reading.span, "at", reading.at->text, *at);
        if (reading.to) set(reading.span, "to", reading.to->text, *to);
        if (reading.through_pin && parts_.other_kind.count(reading.through_pin->part.index)) {
            const PinId pin = *reading.through_pin;
            edits_.push_back(set_attribute(drawing_.source, reading.span, "through",
                                           drawing_[pin.part].ref + "." + parts_.pin_names[pin.part.index][pin.pin]));
        }
        std::vector<std::string> without;
        for (PartId id : reading.without)
            if (!is_removed(id)) without.push_back(drawing_[id].ref);
        if (without.size() == reading.without.size()) return;
        if (without.empty()) edits_.push_back(remove_attribute(drawing_.source, reading.span, "without"));
        else edits_.push_back(set_attribute(drawing_.source, reading.span, "without", join(without, " ")));
    }

    std::string net_after(const Place& place) const {
        if (place.pin && !is_removed(place.pin->part)) return wiring_.pins[place.pin->part.index][place.pin->pin].net;
        return place.net ? wiring_.net_names[place.net->index] : "";
    }

    // A test that the corrected drawing contradicts says nothing any more.
    void test(const ContinuityTest& test) {
        const auto from = name_of(test.from), to = name_of(test.to);
        const std::string from_net = net_after(test.from), to_net = net_after(test.to);
        const bool known = !from_net.empty() && !to_net.empty();
        const bool contradicted = known && ((test.beeps == Beeps::yes && from_net != to_net) || (test.beeps == Beeps::no && from_net == to_net));
        if (!from || !to || contradicted || from == to) return take_out(test.span);
        set(test.span, "from", test.from.text, *from);
        set(test.span, "to", test.to.text, *to);
    }

    const Circuit& drawing_;
    const PartsAfter& parts_;
    const Wiring& wiring_;
    std::vector<Edit> edits_;
};

// Nets that setup, readings and tests name, by their names afterwards.
std::set<std::string> named_by_places(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring) {
    std::set<std::string> names;
    const auto add = [&](NetId net) { names.insert(wiring.net_names[net.index]); };
    const auto add_place = [&](const Place& place) {
        if (place.net && (!place.pin || parts.removed.count(place.pin->part.index))) add(*place.net);
    };
    if (drawing.setup) {
        for (const Supply& supply : drawing.setup->supplies) add(supply.plus), add(supply.minus);
        if (drawing.setup->source) add(drawing.setup->source->net), add(drawing.setup->source->back);
        if (drawing.setup->load) add(drawing.setup->load->net), add(drawing.setup->load->back);
    }
    for (const Reading& reading : drawing.bench.readings) {
        if (reading.at) add_place(*reading.at);
        if (reading.to) add_place(*reading.to);
    }
    for (const ContinuityTest& test : drawing.continuity) add_place(test.from), add_place(test.to);
    names.erase("");
    return names;
}

std::string net_element(const std::string& name, NetRole role) {
    std::string element = "<net name=\"" + escaped_attribute(name) + "\"";
    if (role != NetRole::unsaid) element += " role=\"" + std::string(role_word(role)) + "\"";
    return element + "/>";
}

}  // namespace

std::vector<Edit> place_edits(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring) {
    return PlaceEditor(drawing, parts, wiring).edits();
}

std::vector<Edit> net_edits(const Circuit& drawing, const PartsAfter& parts, const Wiring& wiring) {
    std::vector<Edit> edits;
    std::set<std::string> standing;  // names that a pin or a <net> gives
    for (std::size_t part = 0; part < wiring.pins.size(); ++part)
        if (!parts.removed.count(static_cast<std::uint32_t>(part)))
            for (const PinAfter& pin : wiring.pins[part])
                if (pin.state == PinState::traced) standing.insert(pin.net);
    const Net* last_declared = nullptr;
    for (std::size_t i = 0; i < drawing.nets.size(); ++i) {
        const Net& net = drawing.nets[i];
        if (!net.declared) continue;
        last_declared = &net;
        if (wiring.net_names[i] == net.name) standing.insert(net.name);
        else edits.push_back(remove_element(drawing.source, net.span));
    }
    std::vector<NewNet> declare;
    for (const NewNet& net : wiring.new_nets)
        if (net.role != NetRole::unsaid) declare.push_back(net);
    for (const std::string& name : named_by_places(drawing, parts, wiring))
        if (!standing.count(name)) declare.push_back({name, NetRole::unsaid});
    for (const NewNet& net : declare) {
        const std::string element = net_element(net.name, net.role);
        edits.push_back(last_declared ? insert_behind(drawing.source, last_declared->span, element)
                                      : append_child(drawing.source, drawing.root_span, element));
    }
    return edits;
}

}  // namespace tallyboard::detail
