#include "circuit/understood.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include "base/text.h"
#include "circuit/packages.h"

namespace tallyboard {
namespace {

constexpr std::size_t named_at_most = 6;  // parts named in one sentence; the rest are counted

std::string some_of(const std::vector<std::string>& names) {
    if (names.size() <= named_at_most + 1) return join_words(names);
    std::vector<std::string> first(names.begin(), names.begin() + named_at_most);
    first.push_back(std::to_string(names.size() - named_at_most) + " more");
    return join_words(first);
}

// Kinds of which the kinds data make packages (op-amps, triodes); heaters go along with them.
std::set<std::string> section_kinds(const KindTable& kinds) {
    std::set<std::string> out;
    for (std::uint32_t k = 0; k < kinds.size(); ++k)
        for (const KindSection& section : kinds[KindId{k}].sections)
            if (section.of == 0) out.insert(section.kind);
    return out;
}

// Further kinds that often share a case: gangs, poles, cans, a relay's coil. Two resistors called R12A and R12B do not.
bool is_ganged(const std::string& kind) {
    static const std::set<std::string> ganged{"potentiometer", "switch", "changeover", "selector", "electrolytic", "coil"};
    return ganged.count(kind) > 0;
}

// The name with signs that a reader of print takes for one another made one: minus signs, µ and u, the two Ω, O and 0, l and 1.
std::string as_seen(std::string_view name) {
    static const std::map<std::string, std::string, std::less<>> seen{
        {"\u2212", "-"}, {"\u2010", "-"}, {"\u2011", "-"}, {"\u2012", "-"}, {"\u2013", "-"}, {"\u2014", "-"},
        {"\u00B5", "u"}, {"\u03BC", "u"}, {"\u2126", "\u03A9"}, {"\uFF0B", "+"}, {"\u00A0", ""}, {"\u202F", ""},
        {"O", "0"}, {"o", "0"}, {"l", "1"}, {"\u041E", "0"}, {"\u0421", "C"}, {"\u0412", "B"}};
    std::string out;
    for (const std::string& character : split_characters(name)) {
        auto at = seen.find(character);
        out += at == seen.end() ? character : at->second;
    }
    return out;
}

class Looking {
public:
    explicit Looking(const Circuit& circuit) : circuit_(circuit) {}

    Understood look() {
        count_parts();
        count_nets();
        for (const Package& package : packages_of(circuit_)) (void)package, ++out_.packages;
        out_.readings = circuit_.bench.readings.size();
        out_.tests = circuit_.continuity.size();
        names_alike();
        parts_on_one_net();
        pieces();
        packages_unsaid();
        std::stable_sort(out_.oddities.begin(), out_.oddities.end(),
                         [](const Oddity& a, const Oddity& b) { return a.span.begin < b.span.begin; });
        return std::move(out_);
    }

private:
    void odd(OddityWhat what, std::string says, Span span) { out_.oddities.push_back({what, std::move(says), span}); }

    void count_parts() {
        std::vector<std::size_t> by_kind(circuit_.kinds.size());
        for (const Part& part : circuit_.parts) {
            if (part.fit == Fit::no) {
                ++out_.not_fitted;
                continue;
            }
            ++out_.parts;
            if (part.fit == Fit::optional) ++out_.optional;
            ++by_kind[part.kind.index];
            out_.found += part.found.empty() ? 0 : 1;
            if (value_unknown(part)) ++out_.values_unknown;
            for (const Pin& pin : part.pins) count_pin(part, pin);
        }
        for (std::uint32_t k = 0; k < by_kind.size(); ++k)
            if (by_kind[k] > 0) out_.kinds.push_back({circuit_.kinds[KindId{k}].name, by_kind[k]});
    }

    bool value_unknown(const Part& part) const {
        const Kind& kind = circuit_.kind_of(part);
        if (kind.value_or_model) return !part.nominal() && part.model.empty() && part.windings.empty();
        return kind.quantity != Quantity::none && !part.nominal();
    }

    void count_pin(const Part& part, const Pin& pin) {
        switch (pin.state) {
            case PinState::traced: ++out_.traced; break;
            case PinState::untraced: ++out_.untraced; break;
            case PinState::nowhere: ++out_.nowhere; break;
            case PinState::undrawn:
                if (!circuit_.kind_of(part).pins[pin.kind_pin].may_be_left_out)
                    odd(OddityWhat::pins_not_drawn, "the pin " + pin.name + " of " + part.ref + " is not drawn", part.span);
                return;
        }
        ++out_.pins;
    }

    void count_nets() {
        for (const Net& net : circuit_.nets) {
            if (!net.pins.empty()) ++out_.nets;
            if (net.name.empty()) ++out_.unnamed_nets;
            if (net.pins.size() == 1)
                odd(OddityWhat::one_pin_net, "the net " + net.name + " has one pin, " + pin_name(circuit_, net.pins.front()), net.span);
            if (net.pins.empty() && net.declared)
                odd(OddityWhat::no_pin_net, "no pin is on the net " + net.name, net.span);
        }
    }

    template <class Things, class Name>
    void alike(const Things& things, std::string_view what, Name&& name) {
        std::map<std::string, const std::string*> by_case, by_look;
        for (const auto& thing : things) {
            const std::string& own = name(thing);
            if (own.empty()) continue;
            auto [cased, new_case] = by_case.emplace(ascii_lower(own), &own);
            auto [looked, new_look] = by_look.emplace(as_seen(own), &own);
            if (!new_case && *cased->second != own)
                odd(OddityWhat::names_alike, "the " + std::string(what) + " " + *cased->second + " and " + own + " differ by case alone",
                    thing.span);
            else if (!new_look && *looked->second != own)
                odd(OddityWhat::names_alike, "the " + std::string(what) + " " + *looked->second + " and " + own +
                                                 " look alike but are written with other signs", thing.span);
        }
    }

    void names_alike() {
        alike(circuit_.nets, "nets", [](const Net& net) -> const std::string& { return net.name; });
        alike(circuit_.parts, "parts", [](const Part& part) -> const std::string& { return part.ref; });
    }

    void parts_on_one_net() {
        for (const Part& part : circuit_.parts) {
            if (part.fit == Fit::no || part.pins.size() < 2 || circuit_.kind_of(part).conductor) continue;
            bool one = std::all_of(part.pins.begin(), part.pins.end(), [&](const Pin& pin) {
                return pin.state == PinState::traced && pin.net == part.pins.front().net;
            });
            if (one)
                odd(OddityWhat::on_one_net, part.ref + ", " + circuit_.kind_of(part).says + ", has " +
                                                (part.pins.size() == 2 ? "both pins" : "all its pins") + " on the net " +
                                                net_name(circuit_, part.pins.front().net), part.span);
        }
    }

    // What is joined by nets or by sharing a package; every piece but the largest is told. Parts of which nothing is traced say
    // nothing about where they belong.
    void pieces() {
        std::vector<std::size_t> above(circuit_.parts.size());
        std::iota(above.begin(), above.end(), 0u);
        auto top = [&](std::size_t i) {
            while (above[i] != i) i = above[i] = above[above[i]];
            return i;
        };
        for (const Net& net : circuit_.nets)
            for (PinId pin : net.pins) above[top(pin.part.index)] = top(net.pins.front().part.index);
        std::map<std::string_view, std::size_t> packages;
        for (std::size_t i = 0; i < circuit_.parts.size(); ++i)
            if (const std::string& package = circuit_.parts[i].package; !package.empty())
                above[top(i)] = top(packages.emplace(package, i).first->second);
        std::map<std::size_t, std::vector<std::size_t>> groups;
        for (std::size_t i = 0; i < circuit_.parts.size(); ++i) {
            const Part& part = circuit_.parts[i];
            bool said = std::any_of(part.pins.begin(), part.pins.end(), [](const Pin& pin) { return pin.state == PinState::traced; });
            if (part.fit != Fit::no && said) groups[top(i)].push_back(i);
        }
        std::size_t largest = 0, largest_size = 0;
        for (const auto& [root, members] : groups)
            if (members.size() > largest_size) largest = root, largest_size = members.size();
        for (const auto& [root, members] : groups) {
            if (root == largest) continue;
            std::vector<std::string> refs;
            for (std::size_t i : members) refs.push_back(circuit_.parts[i].ref);
            odd(OddityWhat::apart, some_of(refs) + (refs.size() == 1 ? " is" : " are") + " joined to the rest by nothing",
                circuit_.parts[members.front()].span);
        }
    }

    // IC1A and IC1B, or V1A by itself where its kind comes in packages.
    void packages_unsaid() {
        std::set<std::string> sectional = section_kinds(circuit_.kinds);
        std::map<std::pair<std::string, std::string>, std::vector<const Part*>> stems;
        for (const Part& part : circuit_.parts) {
            const std::string& ref = part.ref;
            if (!part.package.empty() || ref.size() < 3 || part.fit == Fit::no) continue;
            char last = ascii_lower(ref.back());
            if (last < 'a' || last > 'h' || !is_digit(ref[ref.size() - 2])) continue;
            stems[{ref.substr(0, ref.size() - 1), circuit_.kind_of(part).name}].push_back(&part);
        }
        for (const auto& [stem, parts] : stems) {
            if (!sectional.count(stem.second) && !(parts.size() > 1 && is_ganged(stem.second))) continue;
            if (circuit_.part(stem.first)) continue;
            std::vector<std::string> refs;
            for (const Part* part : parts) refs.push_back(part->ref);
            odd(OddityWhat::no_package, some_of(refs) + (refs.size() == 1 ? " looks like a section" : " look like sections") +
                                            " of one package; if so, write package=\"" + stem.first + "\"",
                parts.front()->span);
        }
    }

    const Circuit& circuit_;
    Understood out_;
};

}  // namespace

std::string_view oddity_word(OddityWhat what) {
    switch (what) {
        case OddityWhat::one_pin_net: return "one-pin-net";
        case OddityWhat::no_pin_net: return "no-pin-net";
        case OddityWhat::names_alike: return "names-alike";
        case OddityWhat::on_one_net: return "on-one-net";
        case OddityWhat::apart: return "apart";
        case OddityWhat::no_package: return "no-package";
        case OddityWhat::pins_not_drawn: return "pins-not-drawn";
    }
    return "";
}

Understood understood(const Circuit& circuit) { return Looking(circuit).look(); }

std::vector<std::string> sentences(const Understood& u, const Circuit& circuit) {
    std::vector<std::string> out;
    bool board = circuit.role == CircuitRole::board;
    out.push_back(std::string(board ? "a board" : "a drawing") +
                  (circuit.about.title.empty() ? "" : ", " + circuit.about.title) + ": " + counted(u.parts, "part") + " on " +
                  counted(u.nets, "net"));
    std::string pins = "pins: " + std::to_string(u.traced) + " of " + std::to_string(u.pins) + (board ? " traced" : " drawn to a net");
    if (u.untraced) pins += ", " + std::to_string(u.untraced) + " not traced yet";
    if (u.nowhere) pins += ", " + std::to_string(u.nowhere) + " known to go nowhere";
    out.push_back(pins);
    if (u.unnamed_nets) out.push_back(counted(u.unnamed_nets, "net") + " found by continuity without a name");
    if (u.optional || u.not_fitted)
        out.push_back(std::to_string(u.not_fitted) + " not fitted, " + std::to_string(u.optional) + " optional");
    if (u.packages) out.push_back(counted(u.packages, "package") + " written as sections");
    if (u.values_unknown) out.push_back(counted(u.values_unknown, "value") + " not known");
    if (u.found) out.push_back("markings, measurements or notes on " + counted(u.found, "part"));
    if (u.readings || u.tests) out.push_back(counted(u.readings, "reading") + ", " + counted(u.tests, "continuity test"));
    if (board && !circuit.complete) out.push_back("the trace does not cover the whole drawing yet (complete=\"no\")");
    return out;
}

}  // namespace tallyboard
