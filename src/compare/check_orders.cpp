#include "compare/check_orders.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <set>

#include "base/number_text.h"
#include "circuit/packages.h"
#include "circuit/symmetry.h"

namespace tallyboard::detail {
namespace {

using Order = std::vector<int>;   // drawn kind's pin -> found kind's pin; -1: none

// One way to see a unit.
struct SeenAs {
    KindId kind;
    std::vector<std::string> names;
    std::vector<std::vector<PinId>> pins;
};

SeenAs as_written(const Circuit& circuit, PartId part) {
    SeenAs seen{circuit[part].kind, {}, {}};
    for (std::uint32_t k = 0; k < circuit[part].pins.size(); ++k) {
        seen.names.push_back(circuit[part].pins[k].name);
        seen.pins.push_back({PinId{part, k}});
    }
    return seen;
}

// As each kind that can hold the sections, the smallest first; one section by itself also as what is written.
std::vector<SeenAs> ways_to_see(const Circuit& circuit, const std::vector<PartId>& members) {
    std::vector<SeenAs> ways;
    if (!circuit[members.front()].package.empty()) {
        for (std::uint32_t k = 0; k < circuit.kinds.size(); ++k) {
            const Kind& kind = circuit.kinds[KindId{k}];
            if (kind.sections.empty()) continue;
            const auto pins = assemble(circuit, members, KindId{k});
            if (!pins) continue;
            SeenAs seen{KindId{k}, {}, {}};
            for (std::size_t i = 0; i < kind.pins.size(); ++i) {
                seen.names.push_back(kind.pins[i].name);
                seen.pins.push_back((*pins)[i].from);
            }
            ways.push_back(std::move(seen));
        }
        std::stable_sort(ways.begin(), ways.end(), [](const SeenAs& a, const SeenAs& b) { return a.names.size() < b.names.size(); });
    }
    if (members.size() == 1) ways.push_back(as_written(circuit, members.front()));
    return ways;
}

// By name where names agree; between unlike kinds what is left over goes in order.
Order base_order(const Seen& seen) {
    Order order(seen.drawn_names.size(), -1);
    std::set<int> taken;
    for (std::size_t i = 0; i < order.size(); ++i)
        for (std::size_t k = 0; k < seen.found_names.size(); ++k)
            if (seen.drawn_names[i] == seen.found_names[k]) { order[i] = static_cast<int>(k); taken.insert(order[i]); }
    if (seen.same_kind) return order;
    for (int& to : order) {
        int next = 0;
        while (taken.contains(next)) ++next;
        if (to >= 0 || next >= static_cast<int>(seen.found_names.size())) continue;
        to = next;
        taken.insert(next);
    }
    return order;
}

std::set<Order> orders_allowed(const Seen& seen) {
    std::set<Order> result;
    const Order base = base_order(seen);
    for (const auto& drawn : allowed_orders(*seen.drawn_kinds, seen.drawn, seen.drawn_names))
        for (const auto& found : allowed_orders(*seen.found_kinds, seen.found, seen.found_names)) {
            Order order(base.size(), -1);
            for (std::size_t i = 0; i < base.size(); ++i)
                if (const int middle = base[drawn[i]]; middle >= 0) order[i] = static_cast<int>(found[middle]);
            result.insert(order);
        }
    return result;
}

// Pin k where pin k + n/2 was; packages with two rows of pins only. Empty: it has no other end.
Order end_for_end(const Seen& seen) {
    const Kind& kind = (*seen.drawn_kinds)[seen.drawn];
    if (kind.sections.empty() && kind.pattern != PinPattern::any) return {};
    long long last = 0;
    for (const auto* names : {&seen.drawn_names, &seen.found_names})
        for (const std::string& name : *names) {
            const auto number = read_integer(name);
            if (!number || *number < 1 || *number > 64) return {};
            last = std::max(last, *number);
        }
    if (kind.pattern != PinPattern::any && last % 2 != 0) return {};
    const long long half = (last + 1) / 2;
    if (half < 2) return {};
    Order order(seen.drawn_names.size(), -1);
    for (std::size_t i = 0; i < order.size(); ++i) {
        const long long number = *read_integer(seen.drawn_names[i]);
        const std::string other = std::to_string(number > half ? number - half : number + half);
        for (std::size_t k = 0; k < seen.found_names.size(); ++k)
            if (seen.found_names[k] == other) order[i] = static_cast<int>(k);
    }
    return order;
}

std::set<Order> orders_reversed(const Seen& seen, const std::set<Order>& allowed) {
    std::set<Order> result;
    for (const Order& order : allowed) {
        if (order.size() == 3) {
            Order any = order;
            std::sort(any.begin(), any.end());
            do result.insert(any);
            while (std::next_permutation(any.begin(), any.end()));
            continue;
        }
        for (std::size_t i = 0; i < order.size(); ++i)
            for (std::size_t k = i + 1; k < order.size(); ++k) {
                Order turned = order;
                std::swap(turned[i], turned[k]);
                result.insert(turned);
            }
    }
    const Order turned = end_for_end(seen);
    if (turned.empty()) return result;
    for (const auto& drawn : allowed_orders(*seen.drawn_kinds, seen.drawn, seen.drawn_names)) {
        Order order(turned.size(), -1);
        for (std::size_t i = 0; i < turned.size(); ++i) order[i] = turned[drawn[i]];
        result.insert(order);
    }
    return result;
}

bool fits(const Seen& seen, const Order& order, const std::map<PinId, PinId>& to) {
    for (std::size_t i = 0; i < order.size(); ++i) {
        bool answered = false;
        for (PinId pin : seen.drawn_pins[i]) {
            const auto goes = to.find(pin);
            if (goes == to.end()) continue;
            if (order[i] < 0) return false;
            const std::vector<PinId>& there = seen.found_pins[order[i]];
            if (std::find(there.begin(), there.end(), goes->second) == there.end()) return false;
            answered = true;
        }
        // A terminal without an answer goes to a pin that says nothing.
        if (!answered && seen.drawn_stands[i] && order[i] >= 0 && seen.found_stands[order[i]]) return false;
    }
    return true;
}

double tolerance_of(const Circuit& circuit, PartId id, bool up) {
    const Part& part = circuit[id];
    const Value* value = part.nominal();
    std::optional<Tolerance> tolerance = part.tol;
    if (!tolerance && value) tolerance = value->tolerance;
    if (!tolerance && value && value->quantity == Quantity::resistance) tolerance = circuit.defaults.resistor_tol;
    if (!tolerance && value && value->quantity == Quantity::capacitance) tolerance = circuit.defaults.capacitor_tol;
    return !tolerance ? 0 : up ? tolerance->plus : tolerance->minus;
}

}  // namespace

Seen seen_as(const Circuit& drawing, const std::vector<PartId>& drawn, const Circuit& board, const std::vector<PartId>& found) {
    const std::vector<SeenAs> ours = ways_to_see(drawing, drawn), theirs = ways_to_see(board, found);
    Seen seen;
    seen.drawn_kinds = &drawing.kinds;
    seen.found_kinds = &board.kinds;
    if (ours.empty() || theirs.empty()) return seen;
    const auto stands = [](const Circuit& circuit, const std::vector<std::vector<PinId>>& pins) {
        std::vector<char> result;
        for (const std::vector<PinId>& written : pins)
            result.push_back(std::any_of(written.begin(), written.end(), [&](PinId pin) {
                return circuit[pin].state == PinState::traced || circuit[pin].state == PinState::nowhere;
            }));
        return result;
    };
    const auto take = [&](const SeenAs& a, const SeenAs& b) {
        seen.drawn_stands = stands(drawing, a.pins), seen.found_stands = stands(board, b.pins);
        seen.drawn = a.kind, seen.drawn_names = a.names, seen.drawn_pins = a.pins;
        seen.found = b.kind, seen.found_names = b.names, seen.found_pins = b.pins;
        seen.same_kind = drawing.kinds[a.kind].name == board.kinds[b.kind].name;
        seen.can_pair = seen.same_kind || a.names.size() == b.names.size();
    };
    for (const SeenAs& a : ours)
        for (const SeenAs& b : theirs)
            if (drawing.kinds[a.kind].name == board.kinds[b.kind].name) { take(a, b); return seen; }
    take(ours.front(), theirs.front());
    return seen;
}

PinOrders pin_orders(const Seen& seen) {
    const std::set<Order> allowed = orders_allowed(seen), reversed = orders_reversed(seen, allowed);
    return {{allowed.begin(), allowed.end()}, {reversed.begin(), reversed.end()}};
}

int order_cost(const Seen& seen, const std::map<PinId, PinId>& to) {
    const std::set<Order> allowed = orders_allowed(seen);
    const auto any_fits = [&](const std::set<Order>& orders) {
        return std::any_of(orders.begin(), orders.end(), [&](const Order& order) { return fits(seen, order, to); });
    };
    if (any_fits(allowed)) return 0;
    return any_fits(orders_reversed(seen, allowed)) ? 1 : -1;
}

bool comes_to(const Circuit& several_file, const std::vector<PartId>& several, bool parallel, const Circuit& single_file,
              PartId single, bool single_is_drawn) {
    const Value* whole = single_file[single].nominal();
    if (!whole) return false;
    double sum = 0, inverse = 0, low = single_is_drawn ? tolerance_of(single_file, single, false) : 0,
           high = single_is_drawn ? tolerance_of(single_file, single, true) : 0;
    for (PartId id : several) {
        const Value* value = several_file[id].nominal();
        if (!value || value->quantity != whole->quantity || value->si() <= 0) return false;
        sum += value->si();
        inverse += 1 / value->si();
        if (single_is_drawn) continue;
        low = std::max(low, tolerance_of(several_file, id, true));
        high = std::max(high, tolerance_of(several_file, id, false));
    }
    const bool adds = (whole->quantity == Quantity::capacitance) == parallel;
    const double made = adds ? sum : 1 / inverse, rounding = 1e-12;
    return made >= whole->si() * (1 - low - rounding) && made <= whole->si() * (1 + high + rounding);
}

}  // namespace tallyboard::detail
