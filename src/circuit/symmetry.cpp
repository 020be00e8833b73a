#include "circuit/symmetry.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include "base/text.h"

namespace tallyboard {
namespace {

using Order = std::vector<std::uint32_t>;

Order identity(std::size_t n) {
    Order order(n);
    std::iota(order.begin(), order.end(), 0u);
    return order;
}

// The whole's pin indices of a section, by the section kind's pin names.
std::map<std::string, std::uint32_t> places_of(const Kind& whole, const KindSection& section) {
    std::map<std::string, std::uint32_t> out;
    for (const auto& [pin, place] : section.pins)
        if (auto at = whole.pin(place)) out[pin] = *at;
    return out;
}

// Two sections of one kind and layout change places, the pins they share staying where they are; nothing where a pin of one
// is another pin of the other (two heaters in series share the middle: turned end for end they still change places).
std::optional<Order> sections_changed(const Kind& whole, const Kind& section_kind, const KindSection& a,
                                      const KindSection& b) {
    auto in_a = places_of(whole, a), in_b = places_of(whole, b);
    std::vector<Order> turns{identity(section_kind.pins.size())};
    turns.insert(turns.end(), section_kind.exchanges.begin(), section_kind.exchanges.end());
    for (const Order& turn : turns) {
        Order order = identity(whole.pins.size());
        bool possible = true;
        for (std::uint32_t i = 0; i < section_kind.pins.size(); ++i) {
            auto from = in_a.find(section_kind.pins[i].name), to = in_b.find(section_kind.pins[turn[i]].name);
            if (from == in_a.end() || to == in_b.end()) continue;
            for (auto [x, y] : {std::pair{from->second, to->second}, std::pair{to->second, from->second}}) {
                if (order[x] != x && order[x] != y) possible = false;
                order[x] = y;
            }
        }
        std::set<std::uint32_t> images(order.begin(), order.end());
        if (possible && images.size() == order.size()) return order;
    }
    return std::nullopt;
}

// A section's own exchange, carried over to the whole; only where the section does not share those pins with others of its
// layout (one heater on 4 and 5 may be turned, one of two may not by itself).
void add_turned_sections(const KindTable& kinds, const Kind& whole, std::vector<Order>& generators) {
    for (const KindSection& section : whole.sections) {
        auto id = kinds.find(section.kind);
        if (!id || section.of > 1) continue;
        auto places = places_of(whole, section);
        for (const Order& exchange : kinds[*id].exchanges) {
            Order order = identity(whole.pins.size());
            for (std::uint32_t i = 0; i < exchange.size(); ++i) {
                auto to = places.find(kinds[*id].pins[i].name), from = places.find(kinds[*id].pins[exchange[i]].name);
                if (to != places.end() && from != places.end()) order[to->second] = from->second;
            }
            generators.push_back(order);
        }
    }
}

std::vector<Order> generators_of(const KindTable& kinds, const Kind& kind) {
    std::vector<Order> generators = kind.exchanges;
    for (std::size_t i = 0; i < kind.sections.size(); ++i)
        for (std::size_t j = i + 1; j < kind.sections.size(); ++j) {
            const KindSection &a = kind.sections[i], &b = kind.sections[j];
            auto id = kinds.find(a.kind);
            if (!id || a.kind != b.kind || a.of != b.of) continue;
            if (auto order = sections_changed(kind, kinds[*id], a, b)) generators.push_back(*order);
        }
    add_turned_sections(kinds, kind, generators);
    return generators;
}

// Every winding's taps in the reverse order.
Order windings_turned(const std::vector<std::string>& pin_names) {
    std::map<std::string, std::vector<std::uint32_t>> windings;
    for (std::uint32_t i = 0; i < pin_names.size(); ++i) windings[pin_names[i].substr(0, 1)].push_back(i);
    Order order = identity(pin_names.size());
    for (auto& [name, taps] : windings) {
        std::sort(taps.begin(), taps.end(),
                  [&](std::uint32_t a, std::uint32_t b) { return natural_less(pin_names[a], pin_names[b]); });
        for (std::size_t i = 0; i < taps.size(); ++i) order[taps[i]] = taps[taps.size() - 1 - i];
    }
    return order;
}

// All products of the generators, breadth first from the identity, so that the result's order is fixed.
std::vector<Order> generated(std::size_t n, const std::vector<Order>& generators) {
    std::vector<Order> orders{identity(n)};
    std::set<Order> known(orders.begin(), orders.end());
    for (std::size_t next = 0; next < orders.size() && orders.size() < most_pin_orders; ++next)
        for (const Order& generator : generators) {
            Order product(n);
            for (std::size_t i = 0; i < n; ++i) product[i] = orders[next][generator[i]];
            if (known.insert(product).second) orders.push_back(product);
        }
    return orders;
}

}  // namespace

std::vector<Order> allowed_orders(const KindTable& kinds, KindId id, const std::vector<std::string>& pin_names) {
    const Kind& kind = kinds[id];
    std::vector<Order> generators;
    if (kind.pattern == PinPattern::windings) generators.push_back(windings_turned(pin_names));
    if (kind.pattern == PinPattern::fixed) generators = generators_of(kinds, kind);
    std::erase_if(generators, [&](const Order& order) { return order.size() != pin_names.size(); });
    return generated(pin_names.size(), generators);
}

}  // namespace tallyboard
