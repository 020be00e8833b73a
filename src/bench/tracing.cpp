#include "bench/tracing.h"

#include <algorithm>
#include <deque>
#include <fmt/format.h>
#include <map>

#include "base/text.h"
#include "circuit/symmetry.h"
#include "compare/compare.h"

namespace tallyboard {
namespace {

constexpr std::size_t none = static_cast<std::size_t>(-1);
// Share of a drawing's connections that a board keeps; from the differences a board usually has (0 to 8 in 40 to 100 parts).
constexpr double drawing_holds = 0.95;
// An answer less likely than this is asked for once more: a slip of the probe is likelier than that.
constexpr double surprising = 0.1;
// A beeper sounds below some tens of ohms: such parts cannot be proven apart from a wire by it.
constexpr double beeper_ohms = 50;
// Pairing with a partial trace is a guess to ask by, not a result: a small effort does.
constexpr double pairing_effort = 0.05;

bool conducts(const Circuit& circuit, const Part& part) {
    const Kind& kind = circuit.kind_of(part);
    static const std::set<std::string> low = {"link", "fuse", "switch", "changeover", "selector", "inductor", "coil", "head",
                                              "speaker", "transformer", "lamp", "heater", "jack-break", "battery"};
    if (low.count(kind.name)) return true;
    const Value* value = part.nominal();
    return kind.quantity == Quantity::resistance && value && value->si() < beeper_ohms;
}

std::pair<std::size_t, std::size_t> ordered(std::size_t a, std::size_t b) { return a < b ? std::pair{a, b} : std::pair{b, a}; }

// A pin that the file itself puts on a net: not `?`, whose net could only come from a test.
bool typed(const Circuit& circuit, const Pin& pin) {
    if (pin.state != PinState::traced || pin.span.end <= pin.span.begin) return false;
    return !circuit.source.slice(pin.span).ends_with('?');
}

}  // namespace

Tracing::Tracing(const Circuit& board, const Circuit* drawing, const TracingOptions& options)
    : board_(board), drawing_(drawing), options_(options) {
    std::map<NetId, Node> first_on;
    for (std::uint32_t p = 0; p < board.parts.size(); ++p) {
        const Part& part = board.parts[p];
        node_of_.emplace_back(part.pins.size(), none);
        if (part.fit == Fit::no) continue;
        for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
            const Pin& pin = part.pins[i];
            if (pin.state == PinState::nowhere || pin.state == PinState::undrawn) continue;
            node_of_[p][i] = pins_.size();
            pins_.push_back({PartId{p}, i});
            bool named = typed(board, pin);
            name_of_.push_back(named ? static_cast<int>(pin.net.index) : -1);
            if (!named) continue;
            auto [at, fresh] = first_on.try_emplace(pin.net, pins_.size() - 1);
            if (!fresh) named_.push_back({at->second, pins_.size() - 1}), at->second = pins_.size() - 1;
        }
    }
    for (const ContinuityTest& test : board.continuity) {
        auto pin_of = [&](const Place& place) -> std::optional<PinId> {
            if (place.pin) return place.pin;
            if (place.net && !board[*place.net].pins.empty()) return board[*place.net].pins.front();
            return std::nullopt;
        };
        std::optional<PinId> from = pin_of(test.from), to = pin_of(test.to);
        if (from && to && node(*from) != none && node(*to) != none) tests_.push_back({*from, *to, test.beeps});
    }
    rebuild();
}

void Tracing::join(Node a, Node b) {
    std::size_t into = group_of_[a], from = group_of_[b];
    if (into == from) return;
    if (into > from) std::swap(into, from);
    for (Node n : groups_[from]) group_of_[n] = into;
    groups_[into].insert(groups_[into].end(), groups_[from].begin(), groups_[from].end());
    std::sort(groups_[into].begin(), groups_[into].end());
    groups_[from].clear();
}

void Tracing::rebuild() {
    groups_.assign(pins_.size(), {});
    group_of_.resize(pins_.size());
    apart_.clear();
    for (Node n = 0; n < pins_.size(); ++n) groups_[n] = {n}, group_of_[n] = n;
    for (const Pair& pair : named_) join(pair.first, pair.second);
    for (const TracingTest& test : tests_)
        if (test.beeps == Beeps::yes) join(node(test.from), node(test.to));
        else apart_.insert(ordered(node(test.from), node(test.to)));
    predicted_ = false;
}

bool Tracing::apart(std::size_t group, std::size_t other) const {
    for (const Pair& pair : apart_)
        if ((group_of_[pair.first] == group && group_of_[pair.second] == other) ||
            (group_of_[pair.first] == other && group_of_[pair.second] == group))
            return true;
    return false;
}

// Breadth first over the tests that beeped and the file's own names.
std::vector<std::size_t> Tracing::chain(Node a, Node b, bool& by_name) const {
    struct Step { Node from = none; std::size_t test = none; };
    std::vector<std::vector<std::pair<Node, std::size_t>>> next(pins_.size());
    for (std::size_t t = 0; t < tests_.size(); ++t) {
        if (tests_[t].beeps != Beeps::yes) continue;
        Node x = node(tests_[t].from), y = node(tests_[t].to);
        next[x].push_back({y, t}), next[y].push_back({x, t});
    }
    for (const Pair& pair : named_) next[pair.first].push_back({pair.second, none}), next[pair.second].push_back({pair.first, none});
    std::vector<Step> came(pins_.size());
    std::vector<char> seen(pins_.size());
    std::deque<Node> queue{a};
    seen[a] = 1;
    while (!queue.empty() && !seen[b]) {
        Node n = queue.front();
        queue.pop_front();
        for (auto [other, test] : next[n])
            if (!seen[other]) seen[other] = 1, came[other] = {n, test}, queue.push_back(other);
    }
    std::vector<std::size_t> path;
    for (Node n = b; seen[b] && n != a; n = came[n].from) {
        if (came[n].test != none) path.push_back(came[n].test);
        else by_name = true;
    }
    std::reverse(path.begin(), path.end());
    return path;
}

std::optional<Contradiction> Tracing::answer(const TracingTest& test) {
    Node a = node(test.from), b = node(test.to);
    std::string pair = pin_name(board_, test.from) + " and " + pin_name(board_, test.to);
    bool by_name = false;
    if (test.beeps == Beeps::no && group_of_[a] == group_of_[b]) {
        Contradiction c{test, chain(a, b, by_name), {}};
        c.says = fmt::format("{} do not beep, but {} joined by {}{}", pair, a == b ? "are one pin" : "are",
                             counted(c.chain.size(), "earlier test"), by_name ? " and the net's name in the file" : "");
        return c;
    }
    if (test.beeps == Beeps::yes && group_of_[a] != group_of_[b]) {
        for (std::size_t t = 0; t < tests_.size(); ++t) {
            if (tests_[t].beeps != Beeps::no) continue;
            Node x = node(tests_[t].from), y = node(tests_[t].to);
            if (group_of_[x] == group_of_[b] && group_of_[y] == group_of_[a]) std::swap(x, y);
            if (group_of_[x] != group_of_[a] || group_of_[y] != group_of_[b]) continue;
            Contradiction c{test, chain(a, x, by_name), {}};
            c.chain.push_back(t);
            for (std::size_t step : chain(y, b, by_name)) c.chain.push_back(step);
            c.says = fmt::format("{} beep, but {} and {} did not{}", pair, pin_name(board_, tests_[t].from), pin_name(board_, tests_[t].to),
                                 c.chain.size() > 1 ? fmt::format(", and {} link them", counted(c.chain.size() - 1, "test")) : "");
            return c;
        }
        auto name = [&](std::size_t group) {
            for (Node n : groups_[group]) if (name_of_[n] >= 0) return name_of_[n];
            return -1;
        };
        int one = name(group_of_[a]), other = name(group_of_[b]);
        if (one >= 0 && other >= 0 && one != other)
            return Contradiction{test, {}, fmt::format("{} beep, but the file names them as two nets, {} and {}", pair,
                                                       board_.nets[one].name, board_.nets[other].name)};
    }
    // An answer that the prediction did not allow asks for another pairing.
    if (predicted_) {
        auto certain = [&](Node n) {
            const auto& orders = orders_[pins_[n].part.index];
            int net = orders.empty() ? -1 : orders.front()[pins_[n].pin];
            for (const auto& order : orders) if (order[pins_[n].pin] != net) return -1;
            return net;
        };
        int one = certain(a), other = certain(b);
        if (one >= 0 && other >= 0 && (one == other) != (test.beeps == Beeps::yes)) predicted_ = false;
    }
    if (drawing_ && asked_ && asked_->from == test.from && asked_->to == test.to && !again_) {
        bool yes = test.beeps == Beeps::yes;
        if ((yes ? asked_->likely : 1 - asked_->likely) <= surprising) {
            again_ = asked_;
            again_->likely = 0.5;
            again_->why = yes ? "asked again: a beep was not to be expected here" : "asked again: a beep was to be expected here";
        }
    } else again_.reset();
    asked_.reset();
    tests_.push_back(test);
    if (test.beeps == Beeps::yes) join(a, b);
    else apart_.insert(ordered(a, b));
    return std::nullopt;
}

void Tracing::retract(std::size_t index) {
    again_.reset();
    tests_.erase(tests_.begin() + static_cast<std::ptrdiff_t>(index));
    rebuild();
}

void Tracing::skip(PinId from, PinId to) {
    again_.reset();
    skipped_.insert(ordered(node(from), node(to)));
}

// Pairs the board as far as it is traced with the drawing, and takes over on which drawn nets each part's pins may stand.
void Tracing::predict() {
    predicted_ = true;
    orders_.assign(board_.parts.size(), {});
    if (!drawing_) return;
    Circuit traced = board_;
    traced.nets.clear();
    for (const std::vector<Node>& group : groups_) {
        if (group.size() < 2) {
            for (Node n : group) traced.parts[pins_[n].part.index].pins[pins_[n].pin].state = PinState::untraced;
            continue;
        }
        NetId net{static_cast<std::uint32_t>(traced.nets.size())};
        traced.nets.emplace_back();
        for (Node n : group) {
            if (name_of_[n] >= 0) traced.nets.back().name = board_.nets[name_of_[n]].name;
            Pin& pin = traced.parts[pins_[n].part.index].pins[pins_[n].pin];
            pin.state = PinState::traced;
            pin.net = net;
            traced.nets.back().pins.push_back(pins_[n]);
        }
    }
    CompareOptions options;
    options.effort = pairing_effort;
    options.threads = 1;
    Comparison comparison = compare(*drawing_, traced, options);
    for (const PartPair& pair : comparison.parts) {
        const Part& drawn = (*drawing_)[pair.drawing];
        for (std::size_t i = 0; i < pair.board_pins.size(); ++i) {
            if (!pair.board_pins[i] || drawn.pins[i].state != PinState::traced) continue;
            PinId on_board = *pair.board_pins[i];
            auto& orders = orders_[on_board.part.index];
            if (orders.empty()) orders.emplace_back(board_[on_board.part].pins.size(), -1);
            orders.front()[on_board.pin] = static_cast<int>(drawn.pins[i].net.index);
        }
    }
    for (std::uint32_t p = 0; p < board_.parts.size(); ++p) {
        if (orders_[p].empty()) continue;
        const Part& part = board_.parts[p];
        std::vector<std::string> names;
        for (const Pin& pin : part.pins) names.push_back(pin.name);
        std::vector<int> base = orders_[p].front();
        std::set<std::vector<int>> all{base};
        for (const auto& order : allowed_orders(board_.kinds, part.kind, names)) {
            std::vector<int> turned(base.size());
            for (std::size_t i = 0; i < base.size(); ++i) turned[i] = base[order[i]];
            all.insert(turned);
        }
        orders_[p].assign(all.begin(), all.end());
    }
}

// What each pin's drawn net may be, given what is joined to what: orders that contradict a group's settled net are dropped as
// long as others are left.
void Tracing::settle_orders() {
    for (bool changed = true; changed;) {
        changed = false;
        std::map<int, std::size_t> home;   // drawn net -> group that has most pins certain of it
        std::map<std::size_t, std::map<int, int>> votes;
        for (Node n = 0; n < pins_.size(); ++n) {
            const auto& orders = orders_[pins_[n].part.index];
            if (orders.empty()) continue;
            int net = orders.front()[pins_[n].pin];
            if (net >= 0 && std::all_of(orders.begin(), orders.end(), [&](const auto& o) { return o[pins_[n].pin] == net; }))
                ++votes[group_of_[n]][net];
        }
        std::map<std::size_t, int> label;
        for (const auto& [group, nets] : votes) {
            int most = 0;
            for (const auto& [net, count] : nets)
                if (count > most) most = count, label[group] = net;
        }
        for (std::uint32_t p = 0; p < orders_.size(); ++p) {
            auto& orders = orders_[p];
            if (orders.size() < 2) continue;
            for (std::uint32_t i = 0; i < board_.parts[p].pins.size(); ++i) {
                Node n = node_of_[p][i];
                if (n == none) continue;
                auto keep = [&](auto test) {
                    std::vector<std::vector<int>> kept;
                    for (const auto& order : orders) if (test(order[i])) kept.push_back(order);
                    if (!kept.empty() && kept.size() < orders.size()) orders = std::move(kept), changed = true;
                };
                auto labelled = label.find(group_of_[n]);
                if (labelled != label.end()) keep([&](int net) { return net == labelled->second; });
                for (const auto& [group, net] : label)
                    if (group != group_of_[n] && apart(group, group_of_[n])) keep([&, other = net](int mine) { return mine != other; });
            }
        }
    }
}

Tracing::Node Tracing::convenient_pin(std::size_t group) const {
    // A device's leg is easiest to find on the board; else the first.
    for (Node n : groups_[group]) {
        const Kind& kind = board_.kind_of(board_[pins_[n].part]);
        if (kind.name == "testpoint" || kind.name == "terminal") return n;
    }
    for (Node n : groups_[group])
        if (board_[pins_[n].part].pins.size() > 2) return n;
    return groups_[group].front();
}

std::string Tracing::net_words(int drawn_net) const { return net_name(*drawing_, NetId{static_cast<std::uint32_t>(drawn_net)}); }

Question Tracing::ask(Node a, Node b, double likely, bool isolation, std::string why) const {
    return {pins_[a], pins_[b], likely, isolation, std::move(why)};
}

// The pair of groups most likely joined. What a group may be joined to: the group most of its drawn net stands on, and, as far
// as that has been refused or the drawing says nothing, any other, big ones first.
std::optional<Question> Tracing::joining_question() {
    std::size_t count = groups_.size();
    std::vector<std::map<int, double>> hopes(count);   // by group: drawn net -> pins expected on it
    for (Node n = 0; n < pins_.size(); ++n) {
        const auto& orders = orders_[pins_[n].part.index];
        for (const auto& order : orders)
            if (order[pins_[n].pin] >= 0) hopes[group_of_[n]][order[pins_[n].pin]] += 1.0 / static_cast<double>(orders.size());
    }
    std::map<int, std::size_t> home;
    for (std::size_t g = 0; g < count; ++g)
        for (const auto& [net, hope] : hopes[g]) {
            auto [at, fresh] = home.try_emplace(net, g);
            if (!fresh && hope > hopes[at->second][net] + 1e-9) at->second = g;
        }
    std::set<Pair> apart_groups;
    for (const Pair& pair : apart_) apart_groups.insert(ordered(group_of_[pair.first], group_of_[pair.second]));
    auto open = [&](std::size_t a, std::size_t b) {
        return a != b && !groups_[a].empty() && !groups_[b].empty() && !apart_groups.count(ordered(a, b)) &&
               !skipped_.count(ordered(convenient_pin(a), convenient_pin(b)));
    };
    struct Best { double likely = 0; std::size_t size = 0; std::size_t a = none, b = none; int net = -1; };
    Best best;
    auto offer = [&](double likely, std::size_t a, std::size_t b, int net) {
        std::size_t size = groups_[b].size();
        if (likely > best.likely + 1e-9 || (likely > best.likely - 1e-9 && size > best.size)) best = {likely, size, a, b, net};
    };
    for (std::size_t g = 0; g < count; ++g) {
        if (groups_[g].empty()) continue;
        double total = 0;
        for (const auto& [net, hope] : hopes[g]) total += hope;
        bool expected = false;   // some drawn net of it has a home it may still be joined to
        for (const auto& [net, hope] : hopes[g]) {
            std::size_t at = home[net];
            if (at == g) {
                // It is the home itself. It waits for others as long as there are others that hope for this net.
                for (std::size_t other = 0; other < count && !expected; ++other)
                    if (open(g, other) && hopes[other].count(net)) expected = true;
                continue;
            }
            if (!open(g, at)) continue;
            expected = true;
            double sure = std::min(1.0, hopes[at][net]);
            offer(drawing_holds * std::min(1.0, hope / std::max(total, 1.0)) * sure, g, at, net);
        }
        if (expected) continue;
        // A single pin that the drawing leaves alone too is not sought for; all others are, and pins it says nothing of.
        bool lone = groups_[g].size() == 1;
        if (!lone) continue;
        bool drawn_alone = total > 0;
        for (const auto& [net, hope] : hopes[g])
            if ((*drawing_)[NetId{static_cast<std::uint32_t>(net)}].pins.size() > 1) drawn_alone = false;
        if (drawn_alone) continue;
        double pins = 0;
        for (std::size_t other = 0; other < count; ++other)
            if (open(g, other)) pins += static_cast<double>(groups_[other].size());
        for (std::size_t other = 0; other < count; ++other)
            if (open(g, other)) offer(0.7 * static_cast<double>(groups_[other].size()) / (pins + 2), g, other, -1);
    }
    if (best.a == none) return std::nullopt;
    std::string why = best.net >= 0 ? fmt::format("the drawing has both on {}", net_words(best.net))
                    : hopes[best.a].empty() ? std::string("the drawing says nothing of this pin")
                                            : std::string("it is not where the drawing has it; the likeliest places first");
    return ask(convenient_pin(best.a), convenient_pin(best.b), best.likely, false, why);
}

std::vector<Tracing::Pair> Tracing::isolation_pairs() const {
    std::set<Pair> done;
    for (const Pair& pair : apart_) done.insert(ordered(group_of_[pair.first], group_of_[pair.second]));
    std::vector<Pair> pairs;
    auto want = [&](std::size_t a, std::size_t b) {
        if (a == b || !done.insert(ordered(a, b)).second) return;
        if (!skipped_.count(ordered(convenient_pin(a), convenient_pin(b)))) pairs.push_back(ordered(a, b));
    };
    // Rails first: which they are, the drawing or the board's own roles say.
    std::vector<std::size_t> rails;
    for (std::size_t g = 0; g < groups_.size(); ++g) {
        bool rail = false;
        for (Node n : groups_[g]) {
            auto is_rail = [](NetRole role) { return role == NetRole::ground || role == NetRole::supply || role == NetRole::earth; };
            if (name_of_[n] >= 0 && is_rail(board_.nets[name_of_[n]].role)) rail = true;
            if (orders_.empty() || orders_[pins_[n].part.index].size() != 1) continue;
            int net = orders_[pins_[n].part.index].front()[pins_[n].pin];
            if (net >= 0 && is_rail(drawing_->nets[net].role) && groups_[g].size() > 1) rail = true;
        }
        if (rail) rails.push_back(g);
    }
    for (std::size_t i = 0; i < rails.size(); ++i)
        for (std::size_t j = i + 1; j < rails.size(); ++j) want(rails[i], rails[j]);
    std::set<Pair> bridged;   // a low part lies between: the beeper proves nothing there
    for (std::uint32_t p = 0; p < board_.parts.size(); ++p) {
        const Part& part = board_.parts[p];
        bool low = conducts(board_, part);
        for (std::size_t i = 0; i < part.pins.size(); ++i)
            for (std::size_t j = i + 1; j < part.pins.size(); ++j) {
                if (node_of_[p][i] == none || node_of_[p][j] == none) continue;
                Pair pair = ordered(group_of_[node_of_[p][i]], group_of_[node_of_[p][j]]);
                if (low) bridged.insert(pair);
                // Neighbouring legs are where solder bridges are.
                else if (j == i + 1 || part.pins.size() == 3) want(pair.first, pair.second);
            }
    }
    if (options_.thorough)
        for (std::size_t a = 0; a < groups_.size(); ++a)
            for (std::size_t b = a + 1; b < groups_.size(); ++b)
                if (!groups_[a].empty() && !groups_[b].empty()) want(a, b);
    std::erase_if(pairs, [&](const Pair& pair) { return bridged.count(pair) > 0; });
    return pairs;
}

std::optional<Question> Tracing::isolation_question() const {
    std::vector<Pair> pairs = isolation_pairs();
    if (pairs.empty()) return std::nullopt;
    return ask(convenient_pin(pairs.front().first), convenient_pin(pairs.front().second), 0.03, true,
               "these two nets must be apart");
}

std::optional<Question> Tracing::next() {
    if (!predicted_) predict();
    settle_orders();
    if (again_) return asked_ = again_;
    asked_ = joining_question();
    if (!asked_) asked_ = isolation_question();
    return asked_;
}

TracingState Tracing::state() const {
    TracingState out;
    out.pins = pins_.size();
    out.tests = tests_.size();
    std::vector<char> tested(pins_.size());
    for (const TracingTest& test : tests_)
        if (test.beeps == Beeps::yes) tested[node(test.from)] = tested[node(test.to)] = 1;
    for (Node n = 0; n < pins_.size(); ++n) {
        if (tested[n]) ++out.proven;
        else if (name_of_[n] >= 0) ++out.assumed;
        else ++out.open;
    }
    for (const auto& group : groups_) out.nets += !group.empty();
    out.isolation_left = isolation_pairs().size();
    return out;
}

std::vector<std::vector<PinId>> Tracing::nets() const {
    std::vector<std::vector<PinId>> out;
    for (const std::vector<Node>& group : groups_) {
        if (group.empty()) continue;
        out.emplace_back();
        for (Node n : group) out.back().push_back(pins_[n]);
    }
    return out;
}

}  // namespace tallyboard
