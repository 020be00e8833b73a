#include "bench/tracing.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "bench/ordered_pair.h"
#include "circuit/symmetry.h"
#include "compare/compare.h"

// What to ask next: the drawing's say, and the questions that follow from it.

namespace tallyboard {

using detail::none;
using detail::ordered;

namespace {

// Share of a drawing's connections that a board keeps; from the differences a board usually has (0 to 8 in 40 to 100 parts).
constexpr double drawing_holds = 0.95;
// A beeper sounds below some tens of ohms: such parts cannot be proven apart from a wire by it.
constexpr double beeper_ohms = 50;
// Pairing with a partial trace is a guess to ask by, not a result: a small effort does.
constexpr double pairing_effort = 0.05;
// Between two nets so many tests may be skipped before they are given up.
constexpr int most_skips = 3;

bool conducts(const Circuit& circuit, const Part& part) {
    const Kind& kind = circuit.kind_of(part);
    static const std::set<std::string> low = {"link", "fuse", "switch", "changeover", "selector", "inductor", "coil", "head",
                                              "speaker", "transformer", "lamp", "heater", "jack-break", "battery"};
    if (low.count(kind.name)) return true;
    const Value* value = part.nominal();
    return kind.quantity == Quantity::resistance && value && value->si() < beeper_ohms;
}

}  // namespace

// Pairs the board as far as it is traced with the drawing, and takes over on which drawn nets each part's pins may stand.
void Tracing::predict() {
    predicted_ = true;
    predicted_at_ = tests_.size();
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
    options.prove = false;
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
    count_lost();
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

// Of each drawn net the parts' pins that nothing traced here answers to: of missing parts, and of pins that go nowhere.
void Tracing::count_lost() {
    lost_.assign(drawing_->nets.size(), 0);
    for (const Part& part : drawing_->parts)
        for (const Pin& pin : part.pins)
            if (part.fit != Fit::no && pin.state == PinState::traced) ++lost_[pin.net.index];
    for (std::uint32_t p = 0; p < board_.parts.size(); ++p)
        for (std::size_t i = 0; i < board_.parts[p].pins.size() && !orders_[p].empty(); ++i)
            if (const int net = orders_[p].front()[i]; node_of_[p][i] != none && net >= 0) --lost_[static_cast<std::size_t>(net)];
}

// What each pin's drawn net may be, given what is joined to what: orders that contradict a group's settled net are dropped as
// long as others are left.
void Tracing::settle_orders() {
    for (bool changed = true; changed;) {
        changed = false;
        std::map<std::size_t, std::map<int, int>> votes;   // by group: how many of its pins are certain of which drawn net
        for (Node n = 0; n < pins_.size(); ++n)
            if (const int net = certain_net(n); net >= 0) ++votes[group_of_[n]][net];
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

Question Tracing::ask(Node a, Node b, double likely, std::string why) const {
    return {pins_[a], pins_[b], likely, false, false, false, std::move(why)};
}

namespace {

// What the drawing lets each group of joined pins hope for, and the best test to join two of them.
struct Joining {
    struct Best { double likely = 0; std::size_t size = 0; std::size_t a = none, b = none; int net = -1; };

    std::vector<std::size_t> sizes;                 // of the groups; 0: none any more
    std::vector<std::map<int, double>> hopes;       // by group: drawn net -> pins expected on it
    std::map<int, std::size_t> home;                // by drawn net: the group that most of it stands on
    std::set<std::pair<std::size_t, std::size_t>> closed;   // pairs of groups not to be asked
    Best best;

    bool open(std::size_t a, std::size_t b) const { return a != b && sizes[a] > 0 && sizes[b] > 0 && !closed.count(ordered(a, b)); }

    void find_homes() {
        for (std::size_t g = 0; g < hopes.size(); ++g)
            for (const auto& [net, hope] : hopes[g]) {
                auto [at, fresh] = home.try_emplace(net, g);
                if (!fresh && hope > hopes[at->second].at(net) + 1e-9) at->second = g;
            }
    }
    double hoped(std::size_t g) const {
        double total = 0;
        for (const auto& [net, hope] : hopes[g]) total += hope;
        return total;
    }
    // Whether another group has pins of the nets that this one hopes for, apart from it or not.
    bool hoped_by_others(std::size_t g) const {
        for (const auto& [net, hope] : hopes[g])
            for (std::size_t other = 0; other < hopes.size(); ++other)
                if (other != g && hopes[other].count(net)) return true;
        return false;
    }
    void offer(double likely, std::size_t a, std::size_t b, int net) {
        if (likely > best.likely + 1e-9 || (likely > best.likely - 1e-9 && sizes[b] > best.size)) best = {likely, sizes[b], a, b, net};
    }
    // Offers the homes of a group's drawn nets. False: none is left that it may still be joined to, nor any that waits for it.
    bool offer_homes(std::size_t g) {
        bool expected = false;
        const double total = std::max(hoped(g), 1.0);
        for (const auto& [net, hope] : hopes[g]) {
            const std::size_t at = home.at(net);
            if (at == g) {
                for (std::size_t other = 0; other < hopes.size() && !expected; ++other) expected = open(g, other) && hopes[other].count(net);
                continue;
            }
            if (!open(g, at)) continue;
            expected = true;
            offer(drawing_holds * std::min(1.0, hope / total) * std::min(1.0, hopes[at].at(net)), g, at, net);
        }
        return expected;
    }
    // Offers every other group, big ones first.
    void offer_all(std::size_t g) {
        double pins = 0;
        for (std::size_t other = 0; other < sizes.size(); ++other) if (open(g, other)) pins += static_cast<double>(sizes[other]);
        for (std::size_t other = 0; other < sizes.size(); ++other)
            if (open(g, other)) offer(0.7 * static_cast<double>(sizes[other]) / (pins + 2), g, other, -1);
    }
};

// A piece of a net of up to so many pins is sought elsewhere where the rest of the net is not with it.
constexpr std::size_t small_piece = 3;

}  // namespace

// The pair of groups most likely joined. What a group may be joined to: the group that most of its drawn net stands on, and, as far
// as that has been refused or the drawing says nothing, any other, big ones first.
std::optional<Question> Tracing::joining_question(int patience) const {
    Joining joining;
    joining.hopes.resize(groups_.size());
    for (const auto& group : groups_) joining.sizes.push_back(group.size());
    for (Node n = 0; n < pins_.size(); ++n) {
        const auto& orders = orders_[pins_[n].part.index];
        for (const auto& order : orders)
            if (order[pins_[n].pin] >= 0) joining.hopes[group_of_[n]][order[pins_[n].pin]] += 1.0 / static_cast<double>(orders.size());
    }
    joining.find_homes();
    for (const Pair& pair : apart_) joining.closed.insert(ordered(group_of_[pair.first], group_of_[pair.second]));
    for (const auto& [pair, times] : skips()) if (times >= patience) joining.closed.insert(pair);

    // A pin that the drawing leaves alone too is not sought; nor, on a list known not to be complete, one whose neighbours are not
    // there yet; nor a net that has all the drawing gives it.
    auto is_sought = [&](std::size_t g) {
        const auto& hopes = joining.hopes[g];
        const bool others = joining.hoped_by_others(g);
        if (!hopes.empty() && !board_.complete && !others) return false;
        const bool lost = std::any_of(hopes.begin(), hopes.end(), [&](const auto& hope) { return lost_[static_cast<std::size_t>(hope.first)] > 0; });
        if (groups_[g].size() == 1) return hopes.empty() || others || lost;
        return groups_[g].size() <= small_piece && (others || lost);
    };
    for (std::size_t g = 0; g < groups_.size(); ++g)
        if (!groups_[g].empty() && !joining.offer_homes(g) && is_sought(g)) joining.offer_all(g);

    const Joining::Best& best = joining.best;
    if (best.a == none) return std::nullopt;
    const auto& hopes = joining.hopes[best.a];
    std::string why = "it is not where the drawing has it";
    const bool sure = best.net >= 0 && hopes.at(best.net) > 0.99;
    if (best.net >= 0) why = fmt::format("the drawing has {} on {}", sure ? "both" : "this pin or the part's other end", net_words(best.net));
    else if (!drawing_) why = "not joined yet";
    else if (hopes.empty()) why = "the drawing says nothing of this pin";
    else if (!joining.hoped_by_others(best.a)) why = fmt::format("no other pin of {} is on the board's list", net_words(hopes.begin()->first));
    Question question = ask_groups(best.a, best.b, best.likely, best.net >= 0 ? why : why + "; the biggest nets first");
    question.sought = best.net < 0;
    return question;
}

std::vector<Tracing::Pair> Tracing::isolation_pairs(int patience) const {
    std::set<Pair> done;
    for (const auto& [pair, times] : skips()) if (times >= patience) done.insert(pair);
    for (const Pair& pair : apart_) done.insert(ordered(group_of_[pair.first], group_of_[pair.second]));
    std::vector<Pair> pairs;
    auto want = [&](std::size_t a, std::size_t b) {
        if (a != b && done.insert(ordered(a, b)).second) pairs.push_back(ordered(a, b));
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

std::optional<Question> Tracing::isolation_question(int patience) const {
    std::vector<Pair> pairs = isolation_pairs(patience);
    if (pairs.empty()) return std::nullopt;
    Question question = ask_groups(pairs.front().first, pairs.front().second, 0.03, "these two nets must be apart");
    question.isolation = true;
    return question;
}

std::map<Tracing::Pair, int> Tracing::skips() const {
    std::map<Pair, int> out;
    for (const auto& [pair, times] : skipped_) out[ordered(group_of_[pair.first], group_of_[pair.second])] += times;
    return out;
}

// Between two nets any pin of either will do: those easiest to find, but rather others than what was skipped.
Question Tracing::ask_groups(std::size_t group, std::size_t other, double likely, std::string why) const {
    Pair pins{convenient_pin(group), convenient_pin(other)};
    auto times = [&](Node a, Node b) {
        const auto skipped = skipped_.find(ordered(a, b));
        return skipped == skipped_.end() ? 0 : skipped->second;
    };
    if (times(pins.first, pins.second) > 0)
        for (Node a : groups_[group])
            for (Node b : groups_[other])
                if (times(a, b) < times(pins.first, pins.second)) pins = {a, b};
    return ask(pins.first, pins.second, likely, std::move(why));
}

int Tracing::certain_net(Node n) const {
    if (orders_.empty()) return -1;
    const auto& orders = orders_[pins_[n].part.index];
    const int net = orders.empty() ? -1 : orders.front()[pins_[n].pin];
    const bool same = std::all_of(orders.begin(), orders.end(), [&](const auto& order) { return order[pins_[n].pin] == net; });
    return same ? net : -1;
}

std::vector<char> Tracing::parts_elsewhere() const {
    // A group stands for the drawn net that most of its pins belong to.
    std::vector<int> label(groups_.size(), -1);
    for (std::size_t g = 0; g < groups_.size(); ++g) {
        std::map<int, std::size_t> votes;
        std::size_t most = 0;
        for (Node n : groups_[g])
            if (const int net = certain_net(n); net >= 0 && ++votes[net] > most) most = votes[net], label[g] = net;
    }
    std::map<int, std::size_t> biggest;   // drawn net: the size of the biggest group that stands for it
    for (std::size_t g = 0; g < groups_.size(); ++g)
        if (label[g] >= 0) biggest[label[g]] = std::max(biggest[label[g]], groups_[g].size());
    std::vector<char> out(board_.parts.size());
    for (Node n = 0; n < pins_.size(); ++n) {
        const int net = certain_net(n);
        if (orders_[pins_[n].part.index].empty()) out[pins_[n].part.index] = 1;
        if (net >= 0 && (label[group_of_[n]] != net || groups_[group_of_[n]].size() < biggest[net])) out[pins_[n].part.index] = 1;
    }
    return out;
}

// With all traced, answers that are against the drawing are asked once more: a wrong one may have led astray without
// contradicting any other.
std::optional<Question> Tracing::doubtful_question() const {
    if (!drawing_) return std::nullopt;
    std::map<Pair, int> asked;
    for (const TracingTest& test : tests_) ++asked[ordered(node(test.from), node(test.to))];
    const std::vector<char> elsewhere = parts_elsewhere();
    for (const TracingTest& test : tests_) {
        const Node a = node(test.from), b = node(test.to);
        if (asked[ordered(a, b)] > 1 || skipped_.count(ordered(a, b))) continue;
        const int one = certain_net(a), other = certain_net(b);
        const bool against = one >= 0 && other >= 0 && (one == other) != (test.beeps == Beeps::yes);
        if (!against && !elsewhere[test.from.part.index]) continue;
        Question question = ask(a, b, 0.5, fmt::format("asked again: {} is not where the drawing has it", pin_name(board_, test.from)));
        question.again = true;
        return question;
    }
    return std::nullopt;
}

std::optional<Question> Tracing::open_question() {
    for (int patience = 1; patience <= most_skips; ++patience) {
        if (std::optional<Question> question = joining_question(patience)) return question;
        if (std::optional<Question> question = isolation_question(patience)) return question;
    }
    return std::nullopt;
}

std::optional<Question> Tracing::next() {
    if (!predicted_) predict();
    settle_orders();
    if (again_) return asked_ = again_;
    asked_ = open_question();
    if (!asked_ && drawing_ && predicted_at_ != tests_.size()) {
        // Paired once more with all that is known now, which may raise other questions.
        predict();
        settle_orders();
        asked_ = open_question();
    }
    if (!asked_) asked_ = doubtful_question();
    return asked_;
}

}  // namespace tallyboard
