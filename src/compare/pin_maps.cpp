#include <algorithm>
#include <numeric>
#include <set>

#include "base/number_text.h"
#include "circuit/symmetry.h"
#include "compare/costs.h"
#include "compare/problem.h"

namespace tallyboard::detail {
namespace {

using Order = std::vector<int>;   // drawn pin -> found pin; none: the board's form has no such pin

struct FormPair {
    const Form* drawn = nullptr;
    const Form* found = nullptr;
    bool same_kind = false;
    int found_form = 0;
};

// The drawing's part as the other side's kind if it can be that, else as the kind it prefers.
FormPair choose_forms(const Shape& drawn, const Shape& found) {
    for (const Form& d : drawn.forms)
        for (std::size_t f = 0; f < found.forms.size(); ++f)
            if (d.kind == found.forms[f].kind) return {&d, &found.forms[f], true, static_cast<int>(f)};
    return {&drawn.forms.front(), &found.forms.front(), false, 0};
}

std::vector<Order> orders_of(const KindUse& kind, const std::vector<std::string>& pins) {
    std::vector<Order> out;
    for (const auto& order : allowed_orders(*kind.table, kind.id, pins)) out.emplace_back(order.begin(), order.end());
    if (out.empty()) {
        out.emplace_back(pins.size());
        std::iota(out.back().begin(), out.back().end(), 0);
    }
    return out;
}

int index_of(const std::vector<std::string>& pins, const std::string& name) {
    auto at = std::find(pins.begin(), pins.end(), name);
    return at == pins.end() ? none : static_cast<int>(at - pins.begin());
}

// By name where the names agree. With `rest`, what is left over goes in order.
Order by_name(const Form& drawn, const Form& found, bool rest) {
    Order order(drawn.pins.size(), none);
    std::vector<char> taken(found.pins.size(), 0);
    for (std::size_t i = 0; i < drawn.pins.size(); ++i) {
        order[i] = index_of(found.pins, drawn.pins[i]);
        if (order[i] != none) taken[order[i]] = 1;
    }
    if (!rest) return order;
    std::size_t next = 0;
    for (int& to : order) {
        if (to != none) continue;
        while (next < taken.size() && taken[next]) ++next;
        if (next == taken.size()) break;
        to = static_cast<int>(next);
        taken[next] = 1;
    }
    return order;
}

// first, then second.
Order after(const Order& first, const Order& second) {
    Order out(first.size(), none);
    for (std::size_t i = 0; i < first.size(); ++i)
        if (first[i] != none) out[i] = second[first[i]];
    return out;
}

bool names_agree_in_order(const Form& drawn, const Form& found) { return drawn.pins == found.pins; }

// Pin orders that say the same as the one drawn.
std::vector<Order> allowed_pin_orders(const Problem& problem, const FormPair& forms) {
    const Order base = by_name(*forms.drawn, *forms.found, !forms.same_kind);
    std::set<Order> seen;
    std::vector<Order> out;
    const auto found_orders = orders_of(problem.kinds[forms.found->kind], forms.found->pins);
    const bool one_group = forms.same_kind && names_agree_in_order(*forms.drawn, *forms.found);
    for (const Order& d : orders_of(problem.kinds[forms.drawn->kind], forms.drawn->pins)) {
        for (const Order& f : found_orders) {
            Order order = after(after(d, base), f);
            if (seen.insert(order).second) out.push_back(std::move(order));
            if (one_group) break;   // the board's exchanges are the drawing's
        }
    }
    return out;
}

// A package turned end for end: pin k comes where pin k + n/2 was. Only where every pin has a number.
Order turned_end_for_end(const Problem& problem, const FormPair& forms) {
    const Form& form = *forms.drawn;
    const Kind& kind = (*problem.kinds[form.kind].table)[problem.kinds[form.kind].id];
    if (kind.sections.empty() && kind.pattern != PinPattern::any) return {};
    long long last = 0;
    for (const Form* f : {forms.drawn, forms.found})
        for (const std::string& pin : f->pins) {
            auto number = read_integer(pin);
            if (!number || *number < 1 || *number > 64) return {};
            last = std::max(last, *number);
        }
    if (kind.pattern != PinPattern::any && last % 2 == 1) return {};   // a round base has no other end
    const long long half = (last + 1) / 2;
    if (half < 2) return {};
    Order order(form.pins.size(), none);
    for (std::size_t i = 0; i < form.pins.size(); ++i) {
        const long long number = *read_integer(form.pins[i]);
        order[i] = index_of(forms.found->pins, std::to_string(number > half ? number - half : number + half));
    }
    return order;
}

// Pin orders that count as `reversed`: two pins exchanged; any order of three; a package end for end.
std::vector<Order> reversed_pin_orders(const Problem& problem, const FormPair& forms, const std::vector<Order>& allowed) {
    std::vector<Order> out;
    for (const Order& order : allowed) {
        if (order.size() == 3) {
            Order any = order;
            std::sort(any.begin(), any.end());
            do out.push_back(any);
            while (std::next_permutation(any.begin(), any.end()));
            continue;
        }
        for (std::size_t i = 0; i < order.size(); ++i)
            for (std::size_t j = i + 1; j < order.size(); ++j) {
                Order turned = order;
                std::swap(turned[i], turned[j]);
                out.push_back(std::move(turned));
            }
    }
    const Order turned = turned_end_for_end(problem, forms);
    if (!turned.empty())
        for (const Order& d : orders_of(problem.kinds[forms.drawn->kind], forms.drawn->pins)) out.push_back(after(d, turned));
    return out;
}

}  // namespace

PinMaps make_pin_maps(const Problem& problem, const Shape& drawn, const Shape& found) {
    const FormPair forms = choose_forms(drawn, found);
    PinMaps maps;
    maps.terminals = drawn.terminals;
    if (!forms.same_kind && forms.drawn->pins.size() != forms.found->pins.size()) return maps;
    maps.found_form = forms.found_form;
    maps.kind_cost = forms.same_kind ? 0 : costs::kind;

    std::set<std::vector<std::int8_t>> seen;
    auto add = [&](const Order& order) {
        std::vector<std::int8_t> map(static_cast<std::size_t>(drawn.terminals), std::int8_t{none}), pins = map;
        for (std::size_t i = 0; i < order.size(); ++i) {
            const int t = forms.drawn->terminal[i];
            if (t == none || order[i] == none) continue;
            map[t] = static_cast<std::int8_t>(forms.found->terminal[order[i]]);
            pins[t] = static_cast<std::int8_t>(order[i]);
        }
        if (!seen.insert(map).second) return;
        maps.to.insert(maps.to.end(), map.begin(), map.end());
        maps.pin.insert(maps.pin.end(), pins.begin(), pins.end());
        ++maps.count;
    };
    const auto allowed = allowed_pin_orders(problem, forms);
    for (const Order& order : allowed) add(order);
    maps.allowed = maps.count;
    for (const Order& order : reversed_pin_orders(problem, forms, allowed)) add(order);
    return maps;
}

const PinMaps& Problem::maps(int drawn_shape, int found_shape) const {
    auto& slot = map_table->at[static_cast<std::size_t>(drawn_shape) * found_shapes.size() + found_shape];
    if (const PinMaps* ready = slot.load(std::memory_order_acquire)) return *ready;
    std::lock_guard lock(map_table->mutex);
    if (const PinMaps* ready = slot.load(std::memory_order_acquire)) return *ready;
    map_table->owned.push_back(
        std::make_unique<PinMaps>(make_pin_maps(*this, drawn_shapes[drawn_shape], found_shapes[found_shape])));
    slot.store(map_table->owned.back().get(), std::memory_order_release);
    return *map_table->owned.back();
}

}  // namespace tallyboard::detail
