#include "compare/oracle.h"

#include <algorithm>
#include <map>
#include <set>

#include "circuit/packages.h"
#include "compare/check_orders.h"

namespace tallyboard::test {
namespace {

struct Unit {
    std::string name;
    std::vector<PartId> members;
    std::map<PinId, int> net;        // the terminals and the nets they are on
    int leave = 3;
};

// A side as the format counts it: links carried out, packages put together.
struct Side {
    const Circuit& circuit;
    std::vector<Unit> units;
    int nets = 0;

    Side(const Circuit& given, const std::string& on) : circuit(given) {
        std::vector<int> net(circuit.nets.size());
        for (std::size_t i = 0; i < net.size(); ++i) net[i] = static_cast<int>(i);
        nets = static_cast<int>(net.size());
        const auto used = [&](const Part& part) { return part.fit != Fit::no && (on.empty() || part.on == on); };
        for (const Part& part : circuit.parts)
            if (used(part) && circuit.kind_of(part).conductor && part.pins[0].state == PinState::traced && part.pins[1].state == PinState::traced) {
                const int from = net[part.pins[0].net.index], to = net[part.pins[1].net.index];
                for (int& each : net)
                    if (each == from) each = to;
            }
        std::set<std::uint32_t> packaged;
        const auto add = [&](const std::string& name, const std::vector<PartId>& members) {
            if (members.empty()) return;
            Unit unit{name, members, {}, 0};
            for (PartId id : members) {
                if (circuit[id].fit != Fit::optional) unit.leave = 3;
                for (std::uint32_t k = 0; k < circuit[id].pins.size(); ++k) {
                    const Pin& pin = circuit[id].pins[k];
                    if (pin.state == PinState::traced) unit.net[{id, k}] = net[pin.net.index];
                    if (pin.state == PinState::nowhere) unit.net[{id, k}] = nets++;
                }
            }
            units.push_back(unit);
        };
        for (const Package& package : packages_of(circuit)) {
            std::vector<PartId> members;
            for (PartId id : package.members) {
                packaged.insert(id.index);
                if (used(circuit[id])) members.push_back(id);
            }
            add(package.name, members);
        }
        for (std::uint32_t i = 0; i < circuit.parts.size(); ++i)
            if (used(circuit.parts[i]) && !circuit.kind_of(circuit.parts[i]).conductor && !packaged.contains(i))
                add(circuit.parts[i].ref, {PartId{i}});
    }
};

using NetPairs = std::vector<std::pair<int, int>>;   // drawn net, found net: one for each pair of terminals
struct Way { int cost = 0; NetPairs nets; };         // one order of pins

bool differ(const Circuit& drawing, const Unit& drawn, const Circuit& board, const Unit& found) {
    const auto first = [](const Circuit& circuit, const Unit& unit, auto get) {
        for (PartId id : unit.members)
            if (auto text = get(circuit[id]); !text.empty()) return text;
        return std::string();
    };
    const auto value = [](const Part& part) {
        const Value* nominal = part.nominal();
        return !nominal ? std::string() : std::string(quantity_name(nominal->quantity)) + " " + nominal->number.to_text();
    };
    const auto model = [](const Part& part) { return part.model; };
    const auto taper = [](const Part& part) { return part.taper; };
    const auto unlike = [&](auto get, auto agree) {
        const std::string a = first(drawing, drawn, get), b = first(board, found, get);
        return !a.empty() && !b.empty() && !agree(a, b);
    };
    const auto same = [](const std::string& a, const std::string& b) { return a == b; };
    const auto same_type = [&](const std::string& a, const std::string& b) { return drawing.kinds.same_type(a, b); };
    return unlike(value, same) || unlike(model, same_type) || unlike(taper, same);
}

// Every way to pair two units, the cheapest for each outcome on the nets; empty where they cannot be paired.
std::vector<Way> ways_to_pair(const Circuit& drawing, const Unit& drawn, const Circuit& board, const Unit& found) {
    const detail::Seen seen = detail::seen_as(drawing, drawn.members, board, found.members);
    if (!seen.can_pair) return {};
    const int cost = (seen.same_kind ? 0 : 1) + (differ(drawing, drawn, board, found) ? 1 : 0);
    const auto net_at = [](const Unit& unit, const std::vector<PinId>& pins) {
        for (PinId pin : pins)
            if (const auto at = unit.net.find(pin); at != unit.net.end()) return at->second;
        return -1;
    };
    std::map<NetPairs, int> best;
    const auto take = [&](const std::vector<std::vector<int>>& orders, int turned) {
        for (const auto& order : orders) {
            NetPairs pairs;
            for (std::size_t i = 0; i < order.size(); ++i) {
                const int a = net_at(drawn, seen.drawn_pins[i]), x = order[i] < 0 ? -1 : net_at(found, seen.found_pins[order[i]]);
                if (a >= 0 && x >= 0) pairs.emplace_back(a, x);
            }
            std::sort(pairs.begin(), pairs.end());
            const auto [at, fresh] = best.emplace(pairs, cost + turned);
            if (!fresh) at->second = std::min(at->second, cost + turned);
        }
    };
    const detail::PinOrders orders = detail::pin_orders(seen);
    take(orders.allowed, 0);
    take(orders.reversed, 1);
    std::vector<Way> ways;
    for (const auto& [pairs, price] : best) ways.push_back({price, pairs});
    std::stable_sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.cost < b.cost; });
    return ways;
}

// A reading of two or three parts of one side as one part of the other.
struct Group { bool on_board = false; std::vector<int> several; int single = 0; std::vector<Way> ways; };

// What a set of cells asks: 2 for each terminal not kept, 3 for each kept pair of nets beyond the first of a net.
class NetCost {
public:
    void add(int a, int x) { ++cells_[{a, x}]; }
    void remove(int a, int x) {
        const auto at = cells_.find({a, x});
        if (--at->second == 0) cells_.erase(at);
    }
    int least() const {
        std::vector<Cell> rest;
        for (const auto& [nets, count] : cells_) rest.push_back({nets.first, nets.second, count});
        int total = 0;
        while (!rest.empty()) total += least_of(take_component(rest));
        return total;
    }

private:
    struct Cell { int a, x, count; };
    std::map<std::pair<int, int>, int> cells_;

    static std::vector<Cell> take_component(std::vector<Cell>& rest) {
        std::vector<Cell> component{rest.back()};
        rest.pop_back();
        for (std::size_t i = 0; i < component.size(); ++i)
            for (std::size_t k = rest.size(); k-- > 0;)
                if (rest[k].a == component[i].a || rest[k].x == component[i].x) {
                    component.push_back(rest[k]);
                    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(k));
                }
        return component;
    }
    static int least_of(const std::vector<Cell>& cells) {
        if (cells.size() == 1) return 0;
        int best = 1 << 20;
        for (unsigned kept = 0; kept < 1u << cells.size(); ++kept) {
            std::set<int> as, xs;
            int cost = 0, count = 0;
            for (std::size_t i = 0; i < cells.size(); ++i) {
                if (kept >> i & 1) as.insert(cells[i].a), xs.insert(cells[i].x), ++count;
                else cost += 2 * cells[i].count;
            }
            best = std::min(best, cost + 3 * (2 * count - static_cast<int>(as.size()) - static_cast<int>(xs.size())));
        }
        return best;
    }
};

class Oracle {
public:
    Oracle(const Circuit& drawing, const Circuit& board, int at_most, const std::vector<std::pair<std::string, std::string>>& pairs)
        : drawn_(drawing, board.on), found_(board, ""), best_(at_most + 1) {
        ways_.resize(drawn_.units.size());
        for (std::size_t i = 0; i < drawn_.units.size(); ++i)
            for (const Unit& unit : found_.units) ways_[i].push_back(ways_to_pair(drawing, drawn_.units[i], board, unit));
        bind(pairs);
        find_groups(false);
        find_groups(true);
        drawn_taken_.assign(drawn_.units.size(), false);
        found_taken_.assign(found_.units.size(), false);
    }

    std::optional<int> run(int at_most) {
        choose_groups(0);
        return best_ > at_most ? std::optional<int>() : best_;
    }

private:
    Side drawn_, found_;
    int best_;
    std::vector<std::vector<std::vector<Way>>> ways_;    // drawn unit, found unit
    std::vector<Group> groups_, chosen_;
    std::vector<bool> drawn_taken_, found_taken_;        // in a group, or a composite
    std::map<int, int> drawn_net_, found_net_;           // nets made one by composites
    NetCost nets_;

    void bind(const std::vector<std::pair<std::string, std::string>>& pairs) {
        for (const auto& [d, b] : pairs)
            for (std::size_t i = 0; i < drawn_.units.size(); ++i)
                for (std::size_t k = 0; k < found_.units.size(); ++k)
                    if ((drawn_.units[i].name == d) != (found_.units[k].name == b)) ways_[i][k].clear();
        for (const auto& [d, b] : pairs) {
            for (Unit& unit : drawn_.units) if (unit.name == d) unit.leave = 1 << 16;
            for (Unit& unit : found_.units) if (unit.name == b) unit.leave = 1 << 16;
        }
    }

    // The ends of two or three like two-pin parts in series (or in parallel); first the end at plus.
    std::optional<std::pair<int, int>> ends(const Side& side, const std::vector<int>& several, bool parallel) const {
        const Kind& kind = side.circuit.kind_of(side.circuit[side.units[several[0]].members[0]]);
        std::vector<std::pair<int, int>> stands;
        for (int unit : several) {
            const Unit& it = side.units[unit];
            if (it.members.size() != 1 || it.net.size() != 2 || side.circuit[it.members[0]].pins.size() != 2 ||
                side.circuit.kind_of(side.circuit[it.members[0]]).name != kind.name || !side.circuit[it.members[0]].package.empty())
                return {};
            stands.emplace_back(it.net.begin()->second, it.net.rbegin()->second);
        }
        const bool polar = kind.exchanges.empty();
        const auto turned = [](const std::pair<int, int>& nets) { return std::pair{nets.second, nets.first}; };
        if (parallel) {
            for (const auto& nets : stands)
                if (nets.first == nets.second || (nets != stands[0] && (polar || turned(nets) != stands[0]))) return {};
            return stands[0];
        }
        std::map<int, int> degree;
        for (const Unit& unit : side.units)
            for (const auto& [pin, net] : unit.net) ++degree[net];
        std::vector<std::size_t> order(several.size());
        for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
        do {
            for (unsigned turns = 0; turns < 1u << order.size(); ++turns) {
                if (polar && turns != 0) break;
                std::vector<std::pair<int, int>> chain;
                for (std::size_t i : order) chain.push_back(turns >> i & 1 ? turned(stands[i]) : stands[i]);
                bool linked = chain.front().first != chain.back().second;
                for (std::size_t i = 0; i + 1 < chain.size(); ++i)
                    linked = linked && chain[i].second == chain[i + 1].first && degree[chain[i].second] == 2;
                for (const auto& nets : chain) linked = linked && nets.first != nets.second;
                if (linked) return std::pair{chain.front().first, chain.back().second};
            }
        } while (std::next_permutation(order.begin(), order.end()));
        return {};
    }

    void find_groups(bool on_board) {
        const Side &many = on_board ? found_ : drawn_, &one = on_board ? drawn_ : found_;
        const int n = static_cast<int>(many.units.size());
        for (unsigned set = 0; set < 1u << n; ++set) {
            std::vector<int> several;
            for (int i = 0; i < n; ++i)
                if (set >> i & 1) several.push_back(i);
            if (several.size() < 2 || several.size() > 3) continue;
            for (bool parallel : {false, true}) {
                const auto at = ends(many, several, parallel);
                if (!at) continue;
                for (int single = 0; single < static_cast<int>(one.units.size()); ++single)
                    if (auto group = make_group(on_board, several, single, parallel, *at)) groups_.push_back(*group);
            }
        }
    }

    std::optional<Group> make_group(bool on_board, const std::vector<int>& several, int single, bool parallel, std::pair<int, int> at) const {
        const Side &many = on_board ? found_ : drawn_, &one = on_board ? drawn_ : found_;
        const Unit& unit = one.units[single];
        const Kind &kind = one.circuit.kind_of(one.circuit[unit.members[0]]), &like = many.circuit.kind_of(many.circuit[many.units[several[0]].members[0]]);
        if (unit.members.size() != 1 || kind.name != like.name) return {};
        std::vector<PartId> parts;
        for (int i : several) parts.push_back(many.units[i].members[0]);
        if (!detail::comes_to(many.circuit, parts, parallel, one.circuit, unit.members[0], on_board)) return {};
        if (unit.leave > 3) return {};   // bound by hand
        for (int i : several) if (many.units[i].leave > 3) return {};
        Group group{on_board, several, single, {}};
        for (bool turned : {false, true}) {
            Way way{turned && kind.exchanges.empty() ? 1 : 0, {}};
            const std::pair<int, int> ours = turned ? std::pair{at.second, at.first} : at;
            for (const auto& [pin, net] : unit.net) {
                const int other = pin.pin == 0 ? ours.first : ours.second;
                way.nets.emplace_back(on_board ? net : other, on_board ? other : net);
            }
            group.ways.push_back(way);
        }
        return group;
    }

    void choose_groups(std::size_t next) {
        if (next == groups_.size()) {
            choose_composites(false, 0, 0);
            return;
        }
        choose_groups(next + 1);
        const Group& group = groups_[next];
        std::vector<bool>&many = group.on_board ? found_taken_ : drawn_taken_, &one = group.on_board ? drawn_taken_ : found_taken_;
        if (one[group.single] || std::any_of(group.several.begin(), group.several.end(), [&](int i) { return many[i]; })) return;
        one[group.single] = true;
        for (int i : group.several) many[i] = true;
        chosen_.push_back(group);
        choose_groups(next + 1);
        chosen_.pop_back();
        one[group.single] = false;
        for (int i : group.several) many[i] = false;
    }

    static int root(const std::map<int, int>& one, int net) {
        for (auto at = one.find(net); at != one.end(); at = one.find(net)) net = at->second;
        return net;
    }

    // The two nets that a unit's terminals stand on, nets of its own alone not counted.
    static std::optional<std::pair<int, int>> across(const Side& side, const Unit& unit) {
        std::map<int, int> degree;
        for (const Unit& each : side.units) {
            std::set<std::pair<int, PinId>> seen;
            for (const auto& [pin, net] : each.net) ++degree[net];
        }
        std::set<int> nets;
        for (const auto& [pin, net] : unit.net)
            if (degree[net] > 1) nets.insert(net);
        if (nets.size() != 2) return {};
        return std::pair{*nets.begin(), *nets.rbegin()};
    }

    void choose_composites(bool on_board, std::size_t next, int cost) {
        Side& side = on_board ? found_ : drawn_;
        if (cost >= best_) return;
        if (next == side.units.size()) {
            if (!on_board) choose_composites(true, 0, cost);
            else pair_next(0, cost);
            return;
        }
        choose_composites(on_board, next + 1, cost);
        std::vector<bool>& taken = on_board ? found_taken_ : drawn_taken_;
        const auto nets = across(side, side.units[next]);
        if (taken[next] || !nets || side.units[next].leave > 3) return;
        std::map<int, int>& one = on_board ? found_net_ : drawn_net_;
        const int a = root(one, nets->first), b = root(one, nets->second);
        if (a == b) return;
        taken[next] = true;
        one[a] = b;
        choose_composites(on_board, next + 1, cost + 4);
        one.erase(a);
        taken[next] = false;
    }

    void carry_out(const Way& way, bool undo) {
        for (const auto& [a, x] : way.nets) {
            if (undo) nets_.remove(root(drawn_net_, a), root(found_net_, x));
            else nets_.add(root(drawn_net_, a), root(found_net_, x));
        }
    }

    // What the units not yet settled cost at least: those that one side has more of than the other are left over.
    int surplus(std::size_t from) const {
        std::vector<int> drawn, found;
        for (std::size_t i = from; i < drawn_.units.size(); ++i)
            if (!drawn_taken_[i]) drawn.push_back(drawn_.units[i].leave);
        for (std::size_t k = 0; k < found_.units.size(); ++k)
            if (!found_taken_[k]) found.push_back(found_.units[k].leave);
        std::vector<int>& more = drawn.size() > found.size() ? drawn : found;
        const std::size_t count = more.size() - std::min(drawn.size(), found.size());
        std::sort(more.begin(), more.end());
        int sum = 0;
        for (std::size_t i = 0; i < count; ++i) sum += more[i];
        return sum;
    }

    // Groups first, then the drawing's units one by one. More pairs never make the nets cheaper, so what they cost so far bounds.
    void pair_next(std::size_t next, int cost) {
        if (cost + surplus(next < chosen_.size() ? 0 : next - chosen_.size()) + nets_.least() >= best_) return;
        if (next < chosen_.size()) {
            for (const Way& way : chosen_[next].ways) {
                carry_out(way, false);
                pair_next(next + 1, cost + way.cost);
                carry_out(way, true);
            }
            return;
        }
        const std::size_t i = next - chosen_.size();
        if (i == drawn_.units.size()) {
            finish(cost);
            return;
        }
        if (drawn_taken_[i]) {
            pair_next(next + 1, cost);
            return;
        }
        for (std::size_t k = 0; k < found_.units.size(); ++k) {
            if (found_taken_[k]) continue;
            found_taken_[k] = true;
            for (const Way& way : ways_[i][k]) {
                if (cost + way.cost >= best_) break;
                carry_out(way, false);
                pair_next(next + 1, cost + way.cost);
                carry_out(way, true);
            }
            found_taken_[k] = false;
        }
        pair_next(next + 1, cost + drawn_.units[i].leave);
    }

    void finish(int cost) {
        for (std::size_t k = 0; k < found_.units.size(); ++k)
            if (!found_taken_[k]) cost += found_.units[k].leave;
        best_ = std::min(best_, cost + nets_.least());
    }
};

}  // namespace

std::optional<int> least_cost(const Circuit& drawing, const Circuit& board, int at_most,
                              const std::vector<std::pair<std::string, std::string>>& pairs) {
    return Oracle(drawing, board, at_most, pairs).run(at_most);
}

}  // namespace tallyboard::test
