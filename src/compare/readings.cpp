#include "compare/readings.h"

#include <algorithm>
#include <map>
#include <optional>
#include <tuple>

#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

using Nets = std::pair<int, int>;
__extension__ using Wide = __int128;

// Numbers brought to one power of ten, while their products still fit; nothing where they would not.
std::optional<std::vector<Wide>> aligned(const std::vector<Decimal>& numbers) {
    int least = numbers.front().exponent();
    for (const Decimal& number : numbers) least = std::min(least, number.exponent());
    std::vector<Wide> out;
    constexpr Wide most = 1000000000;   // four factors and a sum of three stay below 2^127
    for (const Decimal& number : numbers) {
        Wide value = number.digits();
        for (int e = number.exponent(); e > least && value <= most; --e) value *= 10;
        if (value <= 0 || value > most) return std::nullopt;
        out.push_back(value);
    }
    return out;
}

// Whether the parts' values, added or by their reciprocals, come to exactly `single`.
bool comes_to_exactly(const std::vector<Decimal>& several, const Decimal& single, bool adds) {
    std::vector<Decimal> all = several;
    all.push_back(single);
    const auto values = aligned(all);
    if (!values) return false;
    const Wide whole = values->back();
    Wide product = 1, sum = 0;
    for (std::size_t i = 0; i + 1 < values->size(); ++i) product *= (*values)[i], sum += (*values)[i];
    if (adds) return sum == whole;
    Wide others = 0;   // sum of the products with one left out
    for (std::size_t i = 0; i + 1 < values->size(); ++i) others += product / (*values)[i];
    return product == whole * others;
}

std::optional<Tolerance> tolerance_of(const Circuit& circuit, const Part& part) {
    if (part.tol) return part.tol;
    const Value* value = part.nominal();
    if (value && value->tolerance) return value->tolerance;
    if (value && value->quantity == Quantity::resistance) return circuit.defaults.resistor_tol;
    if (value && value->quantity == Quantity::capacitance) return circuit.defaults.capacitor_tol;
    return std::nullopt;
}

class GroupFinder {
public:
    GroupFinder(const Problem& problem, bool on_board)
        : problem_(problem), on_board_(on_board), many_(on_board ? problem.board : problem.drawing),
          one_(on_board ? problem.drawing : problem.board) {}

    bool complete() const { return complete_; }
    std::vector<Group> find() {
        for (int q = 0; q < one_.parts(); ++q)
            if (may_take_part(one_, q)) add_single(q);
        if (singles_.empty()) return {};
        std::map<Nets, std::vector<int>> between;   // unordered nets -> the parts that stand between them
        for (int p = 0; p < many_.parts(); ++p) {
            if (!may_take_part(many_, p)) continue;
            const auto [a, b] = ends_of(p);
            if (a != b) between[{std::min(a, b), std::max(a, b)}].push_back(p);
        }
        for (const auto& [nets, parts] : between) parallel(parts);
        for (int n = 0; n < many_.nets(); ++n) series(n);
        std::sort(out_.begin(), out_.end(), [](const Group& a, const Group& b) {
            return a.parts != b.parts ? a.parts < b.parts : a.parallel < b.parallel;
        });
        out_.erase(std::unique(out_.begin(), out_.end(), [](const Group& a, const Group& b) {
            return a.parts == b.parts && a.parallel == b.parallel; }), out_.end());
        return std::move(out_);
    }

private:
    const Part& part_of(const Side& side, int p) const { return (*side.circuit)[side.members[p].front()]; }
    const std::string& kind_name(const Side& side, int p) const { return side.circuit->kind_of(part_of(side, p)).name; }
    bool polar(int p) const { return many_.circuit->kind_of(part_of(many_, p)).exchanges.empty(); }
    Nets ends_of(int p) const { return {many_.net[many_.first[p]], many_.net[many_.first[p] + 1]}; }

    void add_single(int q) {
        const Tolerance tolerance = tolerance_of(*one_.circuit, part_of(one_, q)).value_or(Tolerance{});
        auto& sets = singles_[kind_name(one_, q)];
        const auto [at, fresh] = single_sets_.try_emplace({kind_name(one_, q), one_.value[q], tolerance.minus, tolerance.plus}, sets.size());
        if (fresh) sets.emplace_back();
        sets[at->second].push_back(q);
    }

    // A two-pin part, traced on both, of a value that adds up.
    bool may_take_part(const Side& side, int p) const {
        if (side.members[p].size() != 1 || side.bound_to[p] != none) return false;
        const Part& part = part_of(side, p);
        const Value* value = part.nominal();
        if (!value || part.pins.size() != 2 || side.pin_count(p) != 2 || !part.package.empty()) return false;
        return value->number.digits() > 0 && (value->quantity == Quantity::resistance || value->quantity == Quantity::capacitance ||
                                              value->quantity == Quantity::inductance);
    }

    // Parts of equal value between the same nets are twins: whichever of them make up a group, the first ones may as well. Where a
    // second group of the same values could be made of twins, the list is not complete.
    void parallel(const std::vector<int>& parts) {
        if (parts.size() < 2) return;
        std::map<std::tuple<std::string, Nets, int>, std::vector<int>> twins;
        for (int p : parts) twins[{kind_name(many_, p), polar(p) ? ends_of(p) : Nets{none, none}, many_.value[p]}].push_back(p);
        std::vector<const std::vector<int>*> sets;
        for (const auto& entry : twins) sets.push_back(&entry.second);
        for (std::size_t i = 0; i < sets.size(); ++i)
            for (std::size_t j = i; j < sets.size(); ++j) {
                if (!alike(sets[i]->front(), sets[j]->front())) continue;
                take_twins({sets[i], sets[j]});
                for (std::size_t k = j; k < sets.size(); ++k)
                    if (alike(sets[i]->front(), sets[k]->front())) take_twins({sets[i], sets[j], sets[k]});
            }
    }
    // One part of each set, different ones where a set is named again.
    void take_twins(const std::vector<const std::vector<int>*>& sets) {
        std::map<const std::vector<int>*, std::size_t> used;
        std::vector<int> parts;
        for (const auto* set : sets) {
            if (used[set] == set->size()) return;
            parts.push_back((*set)[used[set]++]);
        }
        std::sort(parts.begin(), parts.end());
        const std::size_t before = out_.size();
        offer(parts, true, ends_of(parts.front()));
        if (out_.size() == before) return;
        bool again = true;
        for (const auto& [set, n] : used) again = again && set->size() >= 2 * n;
        complete_ = complete_ && !again;
    }
    // Same kind, and the same way round where that counts.
    bool alike(int p, int q) const {
        return kind_name(many_, p) == kind_name(many_, q) && (!polar(p) || ends_of(p) == ends_of(q));
    }

    // Chains that pass through a net with nothing else on it.
    void series(int net) {
        if (many_.degree(net) != 2) return;
        const int p = many_.part[many_.net_terminals[many_.net_first[net]]], q = many_.part[many_.net_terminals[many_.net_first[net] + 1]];
        if (p == q || !may_take_part(many_, p) || !may_take_part(many_, q)) return;
        chain({p, q});
        for (auto [last, other] : {std::pair{q, p}, std::pair{p, q}}) {
            const auto [a, b] = ends_of(last);
            const int beyond = a == net ? b : a;
            if (many_.degree(beyond) != 2) continue;
            for (int i = 0; i < 2; ++i) {
                const int third = many_.part[many_.net_terminals[many_.net_first[beyond] + i]];
                if (third != last && third != other && may_take_part(many_, third)) chain({other, last, third});
            }
        }
    }

    // Parts in the order of the chain.
    void chain(const std::vector<int>& parts) {
        for (int p : parts) if (kind_name(many_, p) != kind_name(many_, parts.front())) return;
        for (bool backwards : {false, true}) {
            std::vector<int> order = parts;
            if (backwards) std::reverse(order.begin(), order.end());
            int at = none, start = none;
            bool linked = true;
            for (std::size_t i = 0; i < order.size() && linked; ++i) {
                auto [a, b] = ends_of(order[i]);
                if (i == 0 && !polar(order[0])) {   // begin at the end that the next does not share
                    const auto [c, d] = ends_of(order[1]);
                    if (a == c || a == d) std::swap(a, b);
                } else if (i > 0 && !polar(order[i]) && b == at) {
                    std::swap(a, b);
                }
                linked = a != b && (i == 0 || (a == at && many_.degree(at) == 2));
                if (i == 0) start = a;
                at = b;
            }
            if (!linked || start == at) continue;
            std::vector<int> sorted = order;
            std::sort(sorted.begin(), sorted.end());
            offer(sorted, false, {start, at});
            return;
        }
    }

    void offer(const std::vector<int>& parts, bool parallel, Nets nets) {
        const auto at = singles_.find(kind_name(many_, parts.front()));
        if (at == singles_.end()) return;
        Group group{on_board_, parallel, parts, {}, nets};
        for (const std::vector<int>& alike_singles : at->second)
            if (comes_to(parts, alike_singles.front(), parallel))
                group.partners.insert(group.partners.end(), alike_singles.begin(), alike_singles.end());
        std::sort(group.partners.begin(), group.partners.end());
        if (!group.partners.empty()) out_.push_back(std::move(group));
    }

    bool comes_to(const std::vector<int>& parts, int single, bool parallel) const {
        const Value& whole = *part_of(one_, single).nominal();
        std::vector<Decimal> values;
        double sum = 0, reciprocals = 0, below = 0, above = 0;
        for (int p : parts) {
            const Value& value = *part_of(many_, p).nominal();
            if (value.quantity != whole.quantity) return false;
            values.push_back(value.number);
            sum += value.si();
            reciprocals += 1 / value.si();
            if (on_board_) continue;
            if (const auto tolerance = tolerance_of(*many_.circuit, part_of(many_, p)))   // the drawn are the several
                below = std::max(below, tolerance->plus), above = std::max(above, tolerance->minus);
        }
        const bool adds = (whole.quantity == Quantity::capacitance) == parallel;
        if (comes_to_exactly(values, whole.number, adds)) return true;
        if (on_board_)
            if (const auto tolerance = tolerance_of(*one_.circuit, part_of(one_, single))) below = tolerance->minus, above = tolerance->plus;
        if (below == 0 && above == 0) return false;
        const double made = adds ? sum : 1 / reciprocals;
        constexpr double rounding = 1e-12;   // a sum on the limit is within it
        return made >= whole.si() * (1 - below - rounding) && made <= whole.si() * (1 + above + rounding);
    }

    const Problem& problem_;
    const bool on_board_;
    const Side &many_, &one_;
    std::map<std::string, std::vector<std::vector<int>>> singles_;   // kind -> parts of equal value and tolerance
    std::map<std::tuple<std::string, int, double, double>, std::size_t> single_sets_;
    std::vector<Group> out_;
    bool complete_ = true;
};

// A side with groups put in the place of their first part. `renamed`: old part -> new part, none for those that are gone.
Side put_together(const Side& from, const std::vector<std::pair<int, const Group*>>& groups, std::vector<int>& renamed) {
    Side to;
    to.circuit = from.circuit;
    to.written = from.written;
    to.net_of = from.net_of;
    renamed.assign(from.parts(), none);
    std::vector<int> group_of(from.parts(), none);
    for (std::size_t g = 0; g < groups.size(); ++g)
        for (int p : groups[g].second->parts) group_of[p] = static_cast<int>(g);
    for (int p = 0; p < from.parts(); ++p) {
        const Group* group = group_of[p] == none ? nullptr : groups[group_of[p]].second;
        if (group && group->parts.front() != p) continue;
        const int now = renamed[p] = to.parts();
        to.members.push_back(from.members[p]);
        to.name.push_back(from.name[p]);
        to.shape.push_back(from.shape[p]);
        to.value.push_back(from.value[p]);
        to.model.push_back(from.model[p]);
        to.taper.push_back(from.taper[p]);
        to.bound_to.push_back(none);
        to.form_pins.push_back(from.form_pins[p]);
        to.group.push_back(group ? groups[group_of[p]].first : none);
        to.leave.push_back(group ? costs::never : from.leave[p]);
        to.across.push_back(group ? Nets{none, none} : from.across[p]);
        to.first.push_back(to.terminals());
        for (int t = from.first[p]; t < from.first[p + 1]; ++t) {
            to.net.push_back(from.net[t]);
            to.part.push_back(now);
            to.pins.push_back(from.pins[t]);
        }
        if (!group) continue;
        // The group's ends in place of the first part's pins: the pins of whichever part stands there.
        for (std::size_t i = 1; i < group->parts.size(); ++i) {
            const auto& more = from.members[group->parts[i]];
            to.members.back().insert(to.members.back().end(), more.begin(), more.end());
        }
        for (int end = 0; end < 2; ++end) {
            const int net = end == 0 ? group->nets.first : group->nets.second, t = to.first.back() + end;
            to.net[t] = net;
            for (std::size_t i = group->parts.size(); i-- > 0;)
                for (int old = from.first[group->parts[i]]; old < from.first[group->parts[i] + 1]; ++old)
                    if (from.net[old] == net) to.pins[t] = from.pins[old];
        }
    }
    to.first.push_back(to.terminals());
    index_nets(to);
    return to;
}

}  // namespace

std::vector<Group> find_groups(const Problem& problem, bool& complete) {
    GroupFinder of_drawing(problem, false), of_board(problem, true);
    std::vector<Group> out = of_drawing.find();
    for (Group& group : of_board.find()) out.push_back(std::move(group));
    complete = of_drawing.complete() && of_board.complete();
    return out;
}

std::vector<std::vector<int>> choices_of(const std::vector<Group>& groups, std::size_t most, bool& all) {
    std::vector<std::vector<int>> out;
    all = true;
    auto clash = [&](const Group& a, const Group& b) {
        if (a.on_board != b.on_board) {   // the several of one may be the only single of the other, or its several's partner
            const auto only = [](const Group& g, const Group& h) {
                return std::all_of(g.partners.begin(), g.partners.end(), [&](int s) { return std::find(h.parts.begin(), h.parts.end(), s) != h.parts.end(); });
            };
            return only(a, b) || only(b, a);
        }
        for (int p : a.parts) if (std::find(b.parts.begin(), b.parts.end(), p) != b.parts.end()) return true;
        return false;
    };
    std::vector<std::vector<int>> level{{}};
    while (!level.empty() && all) {
        std::vector<std::vector<int>> next;
        for (const auto& chosen : level)
            for (int g = chosen.empty() ? 0 : chosen.back() + 1; g < static_cast<int>(groups.size()) && all; ++g) {
                if (std::any_of(chosen.begin(), chosen.end(), [&](int c) { return clash(groups[c], groups[g]); })) continue;
                if (out.size() == most) {
                    all = false;
                    break;
                }
                next.push_back(chosen);
                next.back().push_back(g);
                out.push_back(next.back());
            }
        level = std::move(next);
    }
    return out;
}

std::unique_ptr<Problem> with_groups(const Problem& problem, const std::vector<Group>& groups) {
    auto out = std::make_unique<Problem>(problem);
    out->groups = groups;
    std::vector<std::pair<int, const Group*>> of_side[2];
    for (std::size_t g = 0; g < groups.size(); ++g) of_side[groups[g].on_board].push_back({static_cast<int>(g), &groups[g]});
    std::vector<int> drawn, found;
    out->drawing = put_together(problem.drawing, of_side[0], drawn);
    out->board = put_together(problem.board, of_side[1], found);
    for (Group& group : out->groups) {
        std::vector<int> partners;
        for (int single : group.partners)
            if (const int now = (group.on_board ? drawn : found)[single]; now != none && (group.on_board ? out->drawing : out->board).group[now] == none)
                partners.push_back(now);
        group.partners = std::move(partners);
        // Looks like what it stands for.
        const Side& one = group.on_board ? out->drawing : out->board;
        Side& many = group.on_board ? out->board : out->drawing;
        const auto at = std::find(many.group.begin(), many.group.end(), static_cast<int>(&group - out->groups.data()));
        if (!group.partners.empty()) many.value[at - many.group.begin()] = one.value[group.partners.front()];
    }
    for (int p = 0; p < problem.drawing.parts(); ++p)
        if (const int q = problem.drawing.bound_to[p]; q != none && drawn[p] != none && found[q] != none) {
            out->drawing.bound_to[drawn[p]] = found[q];
            out->board.bound_to[found[q]] = drawn[p];
        }
    return out;
}

int greatest_saving(const Group& group) { return costs::value + costs::series * (static_cast<int>(group.parts.size()) - 1); }

}  // namespace tallyboard::detail
