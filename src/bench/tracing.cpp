#include "bench/tracing.h"

#include <algorithm>
#include <deque>
#include <fmt/format.h>
#include <map>

#include "base/text.h"
#include "bench/ordered_pair.h"

namespace tallyboard {

using detail::none;
using detail::ordered;

namespace {

// An answer less likely than this is asked for once more: a slip of the probe is likelier than that.
constexpr double surprising = 0.1;
constexpr int never = 1 << 20;   // of patience: what was skipped is left to do

// A supply leg that every section of a package has: "IC1 v+".
std::string shared_leg(const Circuit& circuit, const Part& part, const Pin& pin) {
    const Kind& kind = circuit.kind_of(part);
    if (part.package.empty() || pin.kind_pin >= kind.pins.size()) return {};
    const KindPin& leg = kind.pins[pin.kind_pin];
    const bool supply = leg.role == PinRole::supply_plus || leg.role == PinRole::supply_minus;
    return supply ? part.package + " " + leg.name : std::string();
}

// A pin that the file itself puts on a net: not `?`, whose net could only come from a test.
bool typed(const Circuit& circuit, const Pin& pin) {
    if (pin.state != PinState::traced || pin.span.end <= pin.span.begin) return false;
    return !circuit.source.slice(pin.span).ends_with('?');
}

}  // namespace

Tracing::Tracing(const Circuit& board, const Circuit* drawing, const TracingOptions& options)
    : board_(board), drawing_(drawing), options_(options) {
    std::map<NetId, Node> first_on;
    std::map<std::string, Node> legs;
    for (std::uint32_t p = 0; p < board.parts.size(); ++p) {
        const Part& part = board.parts[p];
        node_of_.emplace_back(part.pins.size(), none);
        if (part.fit == Fit::no) continue;
        for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
            const Pin& pin = part.pins[i];
            if (pin.state == PinState::nowhere || pin.state == PinState::undrawn) continue;
            const std::string leg = shared_leg(board, part, pin);
            const auto known = leg.empty() ? legs.end() : legs.find(leg);
            const Node n = known == legs.end() ? pins_.size() : known->second;
            node_of_[p][i] = n;
            if (known == legs.end()) {
                if (!leg.empty()) legs[leg] = n;
                pins_.push_back({PartId{p}, i});
                name_of_.push_back(-1);
            }
            if (!typed(board, pin) || name_of_[n] >= 0) continue;
            name_of_[n] = static_cast<int>(pin.net.index);
            auto [at, fresh] = first_on.try_emplace(pin.net, n);
            if (!fresh) named_.push_back({at->second, n}), at->second = n;
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
        const std::string by = c.chain.empty() ? "the file has them on one net"
                             : fmt::format("they are joined by {}{}", counted(c.chain.size(), "earlier test"), by_name ? " and by net names in the file" : "");
        c.says = fmt::format("{} do not beep, but {}", pair, a == b ? "they are one pin" : by);
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
        int one = certain_net(a), other = certain_net(b);
        if (one >= 0 && other >= 0 && (one == other) != (test.beeps == Beeps::yes)) predicted_ = false;
    }
    if (drawing_ && asked_ && asked_->from == test.from && asked_->to == test.to && !again_) {
        bool yes = test.beeps == Beeps::yes;
        if (yes ? asked_->sought || asked_->likely <= surprising : 1 - asked_->likely <= surprising) {
            again_ = asked_;
            again_->likely = 0.5;
            again_->sought = false;
            again_->again = true;
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
    ++skipped_[ordered(node(from), node(to))];
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
    out.isolation_left = isolation_pairs(never).size();
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
