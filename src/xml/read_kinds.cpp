#include "xml/read_kinds.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/symmetry.h"
#include "circuit/unknown_kind.h"
#include "circuit/written.h"
#include "xml/read_symbol.h"

namespace tallyboard {
namespace {

constexpr std::size_t max_pins = 512;  // of a kind; parts of the open kinds are limited by their attribute's length

std::optional<Quantity> quantity_called(Diagnoses& diagnoses, const Written& written) {
    if (!written) return Quantity::none;
    std::vector<std::string> known;
    for (Quantity q : {Quantity::none, Quantity::resistance, Quantity::capacitance, Quantity::inductance, Quantity::voltage,
                       Quantity::current, Quantity::frequency, Quantity::power, Quantity::ratio}) {
        if (quantity_name(q) == written.text) return q;
        known.emplace_back(quantity_name(q));
    }
    diagnoses.error(written.at(), diagnoses.unknown(written.at(), "quantity", written.text, [&] { return known; }));
    return std::nullopt;
}

class KindReader {
public:
    KindReader(const Element& element, Diagnoses& diagnoses) : element_(element), diagnoses_(diagnoses) {}

    Kind read() {
        kind_.name = element_["name"].text;
        kind_.says = element_["says"] ? collapsed(element_["says"].text) : "a " + kind_.name;
        kind_.letters = element_["letters"].text;
        kind_.quantity = quantity_called(diagnoses_, element_["quantity"]).value_or(Quantity::none);
        kind_.value_or_model = yes("value-or-model");
        kind_.polarised = yes("polarised");
        kind_.conductor = yes("conductor");
        kind_.pattern = read_word<PinPattern>(diagnoses_, element_["pattern"], "pattern",
                                              {{"fixed", PinPattern::fixed}, {"any", PinPattern::any},
                                               {"windings", PinPattern::windings}, {"contacts", PinPattern::contacts}})
                            .value_or(PinPattern::fixed);
        if (element_["name"] && !is_word(kind_.name))
            diagnoses_.error(element_["name"].at(), "a kind's name is a word without blanks, = and quotes");
        each("pin", [&](const Element& e) { pin(e); });
        bool wants_pins = kind_.pattern == PinPattern::fixed || kind_.pattern == PinPattern::contacts;
        if (wants_pins && kind_.pins.empty()) diagnoses_.error(element_.span.begin, "the kind " + kind_.name + " has no pins");
        each("exchange", [&](const Element& e) { exchange(e); });
        each("section", [&](const Element& e) { section(e); });
        each("synonyms", [&](const Element& e) {
            kind_.synonyms.push_back(split_words(e.content().text));
            if (kind_.synonyms.back().size() < 2)
                diagnoses_.error(e.span.begin, "synonyms are two type numbers or more, with blanks between them");
        });
        each("symbol", [&](const Element& e) {
            if (!e["like"]) kind_.symbols.push_back(read_symbol(e, kind_, diagnoses_));
        });
        kind_.ordered = is_ordered();
        return std::move(kind_);
    }

private:
    static bool is_word(std::string_view name) {
        return !name.empty() && name.find_first_of(" \t\r\n=\"'<>&") == std::string_view::npos;
    }
    bool yes(std::string_view attribute) {
        return read_yes_no(diagnoses_, element_[attribute], "answer").value_or(false);
    }
    template <class Do>
    void each(std::string_view name, Do&& read) {
        for (const Element& child : element_.children)
            if (child.name == name) read(child);
    }

    void pin(const Element& e) {
        KindPin pin;
        pin.name = e["name"].text;
        pin.others = split_words(e["others"].text);
        pin.may_be_left_out = read_yes_no(diagnoses_, e["may-be-left-out"], "answer").value_or(false);
        pin.role = read_word<PinRole>(diagnoses_, e["role"], "role",
                                      {{"plain", PinRole::plain}, {"control", PinRole::control}, {"output", PinRole::output},
                                       {"common", PinRole::common}, {"supply", PinRole::supply},
                                       {"supply-plus", PinRole::supply_plus}, {"supply-minus", PinRole::supply_minus}})
                       .value_or(PinRole::plain);
        std::vector<std::string> names = pin.others;
        names.push_back(pin.name);
        for (const std::string& name : names) {
            if (!e["name"]) continue;
            if (!is_word(name)) diagnoses_.error(e["name"].at(), "a pin's name is a word without blanks, = and quotes");
            else if (!names_.insert(name).second)
                diagnoses_.error(e["name"].at(), "the kind " + kind_.name + " has two pins of the name " + name);
        }
        if (kind_.pins.size() == max_pins) diagnoses_.error(e.span.begin, "a kind has at most " + std::to_string(max_pins) + " pins");
        if (kind_.pins.size() < max_pins) kind_.pins.push_back(std::move(pin));
    }

    std::vector<std::uint32_t> pins_of(const Written& written) {
        std::vector<std::uint32_t> out;
        for (const std::string& word : split_words(written.text)) {
            auto at = kind_.pin(word);
            if (at && std::find(out.begin(), out.end(), *at) == out.end()) out.push_back(*at);
            else diagnoses_.error(written.at(), at ? "the pin " + word + " stands twice" : "there is no pin " + word);
        }
        return out;
    }

    std::vector<std::uint32_t> identity() const {
        std::vector<std::uint32_t> order(kind_.pins.size());
        for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
        return order;
    }

    // "a b": these change places; three and more: in any order. With `with`: the group changes places with that group.
    void exchange(const Element& e) {
        auto pins = pins_of(e["pins"]);
        if (!e["with"]) {
            if (e["pins"] && split_words(e["pins"].text).size() < 2) diagnoses_.error(e["pins"].at(), "an exchange is of two pins or more");
            for (std::size_t i = 0; i + 1 < pins.size(); ++i) {
                auto order = identity();
                std::swap(order[pins[i]], order[pins[i + 1]]);
                kind_.exchanges.push_back(std::move(order));
            }
            return;
        }
        auto others = pins_of(e["with"]);
        bool apart = std::none_of(pins.begin(), pins.end(),
                                  [&](std::uint32_t p) { return std::find(others.begin(), others.end(), p) != others.end(); });
        if (pins.size() != others.size() || !apart) {
            diagnoses_.error(e["with"].at(), "the two groups that change places have as many pins and none in common");
            return;
        }
        auto order = identity();
        for (std::size_t i = 0; i < pins.size(); ++i) std::swap(order[pins[i]], order[others[i]]);
        kind_.exchanges.push_back(std::move(order));
    }

    void section(const Element& e) {
        KindSection section;
        section.kind = e["kind"].text;
        section.of = static_cast<int>(read_whole(diagnoses_, e["of"], "of", 1, 99).value_or(0));
        for (const std::string& word : split_words(e["pins"].text)) {
            std::size_t equals = word.find('=');
            if (equals == std::string::npos || !kind_.pin(word.substr(equals + 1)))
                diagnoses_.error(e["pins"].at(), "\"" + word + "\" is not PIN=PIN, a pin of the section and one of this kind");
            else section.pins.emplace_back(word.substr(0, equals), kind_.pins[*kind_.pin(word.substr(equals + 1))].name);
        }
        kind_.sections.push_back(std::move(section));
    }

    // Net names may stand alone where nobody can mistake the order.
    bool is_ordered() const {
        if (kind_.pattern != PinPattern::fixed) return false;
        if (kind_.pins.size() == 1) return true;
        bool numbered = std::all_of(kind_.pins.begin(), kind_.pins.end(), [](const KindPin& pin) {
            return std::all_of(pin.name.begin(), pin.name.end(), [](char c) { return is_digit(c); });
        });
        return numbered || all_exchangeable();
    }

    // Every pin reaches every other by exchanges of two, which then make all orders.
    bool all_exchangeable() const {
        std::vector<std::uint32_t> group(kind_.pins.size(), 0);
        for (std::uint32_t i = 0; i < group.size(); ++i) group[i] = i;
        for (const auto& order : kind_.exchanges) {
            std::vector<std::uint32_t> moved;
            for (std::uint32_t i = 0; i < order.size(); ++i)
                if (order[i] != i) moved.push_back(i);
            if (moved.size() != 2) continue;
            std::uint32_t from = group[moved[1]], to = group[moved[0]];
            for (std::uint32_t& g : group)
                if (g == from) g = to;
        }
        return std::all_of(group.begin(), group.end(), [&](std::uint32_t g) { return g == group.front(); });
    }

    const Element& element_;
    Diagnoses& diagnoses_;
    Kind kind_;
    std::set<std::string> names_;
};

// Sections are of kinds that are known, and exchanges do not make more orders than can be looked at.
void check_whole(const Element& element, const Kind& kind, const KindTable& kinds, Diagnoses& diagnoses) {
    for (const Element& child : element.children) {
        if (child.name != "section" || !child["kind"]) continue;
        auto id = kinds.find(child["kind"].text);
        if (!id) {
            diagnoses.error(child["kind"].at(), unknown_kind(diagnoses, child["kind"].at(), child["kind"].text, kinds));
            continue;
        }
        for (const std::string& word : split_words(child["pins"].text)) {
            std::string pin = word.substr(0, word.find('='));
            const auto& pins = kinds[*id].pins;
            if (std::none_of(pins.begin(), pins.end(), [&](const KindPin& p) { return p.name == pin; }))
                diagnoses.error(child["pins"].at(), kinds[*id].says + " has no pin \"" + pin + "\"");
        }
    }
    std::vector<std::string> names;
    for (const KindPin& pin : kind.pins) names.push_back(pin.name);
    if (kind.pattern != PinPattern::fixed || diagnoses.has_errors()) return;
    if (allowed_orders(kinds, *kinds.find(kind.name), names).size() > most_pin_orders)
        diagnoses.error(element.span.begin, "the pins of " + kind.name + " may be exchanged in more than " +
                                                std::to_string(most_pin_orders) + " ways");
}

}  // namespace

void read_kinds(const Element& parent, KindTable& kinds, Diagnoses& diagnoses) {
    std::map<std::string_view, std::size_t> here;
    std::vector<const Element*> elements;
    for (const Element& element : parent.children) {
        if (element.name != "kind" || !element["name"]) continue;
        if (auto [first, added] = here.emplace(element["name"].text, element.span.begin); !added) {
            diagnoses.error(element["name"].at(), "there is already a kind " + std::string(element["name"].text) + ", on " +
                                                      diagnoses.line_words(first->second));
            continue;
        }
        kinds.set(KindReader(element, diagnoses).read());
        elements.push_back(&element);
    }
    for (const Element* element : elements) {
        Kind kind = kinds[*kinds.find(element->operator[]("name").text)];
        check_whole(*element, kind, kinds, diagnoses);
        if (copy_symbols(*element, kind, kinds, diagnoses)) kinds.set(std::move(kind));
    }
}

}  // namespace tallyboard
