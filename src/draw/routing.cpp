#include "draw/routing.h"

#include <array>
#include <limits>
#include <map>
#include <queue>
#include <set>

namespace tallyboard::detail {

namespace {

// Prices in tenths of a unit of wire.
constexpr int step_price = 10, bend_price = 35, crossing_price = 90, beside_wire_price = 6, four_arms_price = 80,
              own_pin_price = 20, beside_body_price = 4, lettering_price = 50, wrong_way_price = 16;
constexpr int never = std::numeric_limits<int>::max() / 2;
constexpr int none = -1;

class Maze {
public:
    Maze(const std::vector<RouteNet>& nets, const Obstacles& obstacles) : nets_(nets) {
        for (const RouteNet& net : nets)
            for (const PinSite& pin : net.pins) include(pin.at);
        for (Spot spot : obstacles.hard) include(spot);
        origin_ = {low_.x - rim, low_.y - rim};
        width_ = high_.x - low_.x + 1 + 2 * rim;
        height_ = high_.y - low_.y + 1 + 2 * rim;
        const int size = width_ * height_;
        hard_.assign(size, 0);
        price_.assign(size, 0);
        pin_of_.assign(size, none);
        right_.assign(size, none);
        down_.assign(size, none);
        cost_.assign(size * 4, never);
        from_.assign(size * 4, 0);
        seen_.assign(size * 4, 0);
        goal_.assign(size, 0);
        for (Spot spot : obstacles.beside) add_price(spot, beside_body_price);
        for (Spot spot : obstacles.lettering) add_price(spot, lettering_price);
        for (Spot spot : obstacles.hard) hard_[node(spot)] = 1;
        for (const auto& [spot, net] : obstacles.pins) pin_of_[node(spot)] = net;
        for (int n = 0; n < static_cast<int>(nets.size()); ++n)
            for (const PinSite& pin : nets[n].pins) pin_of_[node(pin.at)] = n;
        wires_.resize(nets.size());
    }

    // Routes net `n` against what is there; false: no way.
    bool connect(int n);
    void rip(int n) {
        for (auto [at, down] : wires_[n]) (down ? down_ : right_)[at] = none;
        wires_[n].clear();
    }
    bool is_routed(int n) const { return !wires_[n].empty() || nets_[n].pins.size() < 2 || one_spot(n); }
    std::vector<Edge> edges(int n) const {
        std::vector<Edge> list;
        for (auto [at, down] : wires_[n]) list.push_back({{at % width_ + origin_.x, at / width_ + origin_.y}, down});
        std::sort(list.begin(), list.end());
        return list;
    }
    // Nets with wires within `reach` of the pins of net `n`.
    std::vector<int> neighbours(int n, int reach) const;

private:
    static constexpr int rim = 8;

    void include(Spot spot) {
        low_ = {std::min(low_.x, spot.x), std::min(low_.y, spot.y)};
        high_ = {std::max(high_.x, spot.x), std::max(high_.y, spot.y)};
    }
    int node(Spot spot) const { return (spot.y - origin_.y) * width_ + spot.x - origin_.x; }
    bool has(Spot spot) const {
        return spot.x >= origin_.x && spot.y >= origin_.y && spot.x < origin_.x + width_ && spot.y < origin_.y + height_;
    }
    void add_price(Spot spot, int price) { if (has(spot)) price_[node(spot)] += price; }
    bool one_spot(int n) const {
        for (const PinSite& pin : nets_[n].pins)
            if (!(pin.at == nets_[n].pins[0].at)) return false;
        return true;
    }

    // Owner of the arm of `at` towards `way`.
    int& arm(int at, Way way) {
        switch (way) {
            case Way::right: return right_[at];
            case Way::left: return right_[at - 1];
            case Way::down: return down_[at];
            case Way::up: return down_[at - width_];
        }
        return right_[at];
    }
    int beside(int at, Way way) const {
        switch (way) {
            case Way::right: return at + 1;
            case Way::left: return at - 1;
            case Way::down: return at + width_;
            case Way::up: return at - width_;
        }
        return at;
    }
    bool on_rim(int at) const {
        const int x = at % width_, y = at / width_;
        return x == 0 || y == 0 || x == width_ - 1 || y == height_ - 1;
    }
    // A wire of another net runs straight across the way `way` through the node: only straight on is possible there.
    // 0 free, 1 to be crossed, 2 closed.
    int state(int at, Way way, int n) {
        if (hard_[at] || on_rim(at)) return 2;
        if (pin_of_[at] != none && pin_of_[at] != n) return 2;
        const Way side = static_cast<Way>((static_cast<int>(way) + 1) % 4);
        const int left = arm(at, side), right = arm(at, opposite(side));
        const int ahead = arm(at, way), behind = arm(at, opposite(way));
        const auto foreign = [&](int owner) { return owner != none && owner != n; };
        if (foreign(ahead) || foreign(behind)) return 2;
        if (!foreign(left) && !foreign(right)) return 0;
        return left == right && ahead == none && behind == none && pin_of_[at] == none ? 1 : 2;
    }
    bool has_foreign(int at, int n) {
        for (int w = 0; w < 4; ++w)
            if (const int owner = arm(at, static_cast<Way>(w)); owner != none && owner != n) return true;
        return false;
    }
    int own_arms(int at, int n) {
        int count = 0;
        for (int w = 0; w < 4; ++w) count += arm(at, static_cast<Way>(w)) == n;
        return count;
    }
    int search(int n, const std::vector<int>& tree, std::vector<int>& path);
    int estimate(int at) const;
    bool grow(int n, int first, std::vector<std::pair<int, bool>>& edges, int& total);

    const std::vector<RouteNet>& nets_;
    Spot low_{never, never}, high_{-never, -never}, origin_;
    int width_ = 0, height_ = 0;
    std::vector<char> hard_;
    std::vector<int> price_, pin_of_, right_, down_;
    std::vector<std::vector<std::pair<int, bool>>> wires_;
    // Search state, by node and way; `seen_` tells which entries belong to this search.
    std::vector<int> cost_, from_, seen_, goal_;
    std::vector<Spot> goals_;
    int search_ = 0;
};

int Maze::estimate(int at) const {
    int least = never;
    const Spot spot{at % width_ + origin_.x, at / width_ + origin_.y};
    for (Spot goal : goals_) least = std::min(least, std::abs(goal.x - spot.x) + std::abs(goal.y - spot.y));
    return least * step_price;
}

// From any node of the tree to the nearest goal. Returns its price and the path from tree to goal; `never`: no way.
int Maze::search(int n, const std::vector<int>& tree, std::vector<int>& path) {
    ++search_;
    using Entry = std::array<int, 3>;   // estimate, order, state: equal estimates in the order they came
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    int order = 0;
    const auto offer = [&](int at, Way way, int cost, int from) {
        const int key = at * 4 + static_cast<int>(way);
        if (seen_[key] == search_ && cost_[key] <= cost) return;
        seen_[key] = search_;
        cost_[key] = cost;
        from_[key] = from;
        open.push({cost + estimate(at), order++, key});
    };
    std::map<int, Way> own_ways;
    for (const PinSite& pin : nets_[n].pins) own_ways.emplace(node(pin.at), pin.way);
    const auto wrong_way = [&](int at, Way leaves) {
        const auto found = own_ways.find(at);
        return found != own_ways.end() && found->second != leaves ? wrong_way_price : 0;
    };
    const auto advance = [&](int at, Way way, int cost, int from) {
        if (const int owner = arm(at, way); owner != none) return;   // own wire there already, or another's
        const int next = beside(at, way);
        const int kind = state(next, way, n);
        if (kind == 2 || own_arms(next, n) > 0) return;             // back onto the tree would close a loop
        int price = cost + step_price + price_[next];
        if (kind == 1) price += crossing_price;
        const Way side = static_cast<Way>((static_cast<int>(way) + 1) % 4);
        for (Way w : {side, opposite(side)}) {
            const int near = beside(at, w);
            if (on_rim(near)) continue;
            const int owner = arm(near, way);
            if (owner != none) price += beside_wire_price;
        }
        if (goal_[next] == search_) price += wrong_way(next, opposite(way));
        else if (pin_of_[next] == n) price += own_pin_price;
        offer(next, way, price, from);
    };
    for (Spot goal : goals_) goal_[node(goal)] = search_;
    for (int at : tree) {
        if (has_foreign(at, n)) continue;
        const int arms = own_arms(at, n);
        for (int w = 0; w < 4; ++w) {
            const Way way = static_cast<Way>(w);
            int price = wrong_way(at, way);
            if (arms >= 3 || (arms == 2 && pin_of_[at] == n)) price += four_arms_price;
            advance(at, way, price, -1 - at);
        }
    }
    while (!open.empty()) {
        const auto [estimated, sequence, key] = open.top();
        open.pop();
        const int at = key / 4;
        const Way way = static_cast<Way>(key % 4);
        if (seen_[key] != search_ || estimated > cost_[key] + estimate(at)) continue;
        if (goal_[at] == search_) {
            path.clear();
            int k = key;
            while (k >= 0) {
                path.push_back(k / 4);
                k = from_[k];
            }
            path.push_back(-1 - k);
            std::reverse(path.begin(), path.end());
            return cost_[key];
        }
        const bool crossing = state(at, way, n) == 1;
        for (int w = 0; w < 4; ++w) {
            const Way next = static_cast<Way>(w);
            if (next == opposite(way) || (crossing && next != way)) continue;
            advance(at, next, cost_[key] + (next == way ? 0 : bend_price), key);
        }
    }
    return never;
}

// Grows the net from pin `first`, always to the nearest pin not yet joined.
bool Maze::grow(int n, int first, std::vector<std::pair<int, bool>>& edges, int& total) {
    std::vector<int> tree{node(nets_[n].pins[first].at)};
    std::set<int> in_tree(tree.begin(), tree.end());
    total = 0;
    edges.clear();
    for (;;) {
        goals_.clear();
        for (const PinSite& pin : nets_[n].pins)
            if (!in_tree.count(node(pin.at))) goals_.push_back(pin.at);
        if (goals_.empty()) return true;
        std::vector<int> path;
        const int price = search(n, tree, path);
        if (price >= never) return false;
        total += price;
        for (std::size_t k = 1; k < path.size(); ++k) {
            const int a = std::min(path[k - 1], path[k]);
            const bool down = path[k - 1] % width_ == path[k] % width_;
            (down ? down_ : right_)[a] = n;
            edges.push_back({a, down});
        }
        for (int at : path)
            if (in_tree.insert(at).second) tree.push_back(at);
    }
}

bool Maze::connect(int n) {
    rip(n);
    if (nets_[n].pins.size() < 2 || one_spot(n)) return true;
    std::vector<std::pair<int, bool>> best, edges;
    int least = never;
    const int starts = std::min<int>(6, static_cast<int>(nets_[n].pins.size()) - (nets_[n].pins.size() == 2 ? 1 : 0));
    for (int first = 0; first < starts; ++first) {
        int total = 0;
        const bool done = grow(n, first, edges, total);
        for (auto [at, down] : edges) (down ? down_ : right_)[at] = none;
        if (done && total < least) {
            least = total;
            best = edges;
        }
    }
    for (auto [at, down] : best) (down ? down_ : right_)[at] = n;
    wires_[n] = best;
    return least < never;
}

std::vector<int> Maze::neighbours(int n, int reach) const {
    std::set<int> found;
    for (const PinSite& pin : nets_[n].pins)
        for (int dy = -reach; dy <= reach; ++dy)
            for (int dx = -reach; dx <= reach; ++dx) {
                const Spot spot{pin.at.x + dx, pin.at.y + dy};
                if (!has(spot)) continue;
                for (int owner : {right_[node(spot)], down_[node(spot)]})
                    if (owner != none && owner != n) found.insert(owner);
            }
    return {found.begin(), found.end()};
}

int span_of(const RouteNet& net) {
    int x0 = never, x1 = -never, y0 = never, y1 = -never;
    for (const PinSite& pin : net.pins) {
        x0 = std::min(x0, pin.at.x);
        x1 = std::max(x1, pin.at.x);
        y0 = std::min(y0, pin.at.y);
        y1 = std::max(y1, pin.at.y);
    }
    return net.pins.empty() ? 0 : x1 - x0 + y1 - y0;
}

}  // namespace

Routed route(const std::vector<RouteNet>& nets, const Obstacles& obstacles) {
    Maze maze(nets, obstacles);
    std::vector<int> order(nets.size());
    for (std::size_t n = 0; n < nets.size(); ++n) order[n] = static_cast<int>(n);
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return span_of(nets[a]) < span_of(nets[b]); });
    const auto mend = [&](int n) {
        // What stands round its pins makes way, this net goes first, the others follow.
        for (int reach : {4, 8, 16}) {
            const auto others = maze.neighbours(n, reach);
            for (int other : others) maze.rip(other);
            const bool done = maze.connect(n);
            for (int other : others) maze.connect(other);
            if (done) return;
        }
    };
    for (int n : order) maze.connect(n);
    for (int pass = 0; pass < 4; ++pass) {
        for (int n : order)
            if (!maze.is_routed(n)) mend(n);
        for (int n : order) maze.connect(n);
    }
    Routed routed;
    for (int n = 0; n < static_cast<int>(nets.size()); ++n) {
        routed.wires.push_back(maze.edges(n));
        if (!maze.is_routed(n)) routed.failed.push_back(n);
    }
    return routed;
}

Drawn polylines(const std::vector<Edge>& edges, const std::vector<Spot>& pins) {
    struct Node { std::vector<Spot> beside; int pins = 0; };
    const auto less = [](Spot a, Spot b) { return a.y != b.y ? a.y < b.y : a.x < b.x; };
    std::map<Spot, Node, decltype(less)> nodes(less);
    for (const Edge& edge : edges) {
        const Spot other{edge.at.x + (edge.down ? 0 : 1), edge.at.y + (edge.down ? 1 : 0)};
        nodes[edge.at].beside.push_back(other);
        nodes[other].beside.push_back(edge.at);
    }
    for (Spot pin : pins) ++nodes[pin].pins;
    const auto ends_here = [](const Node& node) { return node.pins > 0 || node.beside.size() != 2; };
    Drawn drawn;
    std::set<std::pair<std::pair<int, int>, std::pair<int, int>>> walked;
    for (const auto& [spot, node] : nodes) {
        if (static_cast<int>(node.beside.size()) + node.pins >= 3) drawn.junctions.push_back(spot);
        if (!ends_here(node)) continue;
        for (Spot next : node.beside) {
            if (walked.count({{spot.x, spot.y}, {next.x, next.y}})) continue;
            std::vector<Spot> line{spot};
            Spot before = spot, at = next;
            for (;;) {
                walked.insert({{before.x, before.y}, {at.x, at.y}});
                walked.insert({{at.x, at.y}, {before.x, before.y}});
                const Node& here = nodes[at];
                const bool end = ends_here(here);
                const Spot after = end ? at : (here.beside[0] == before ? here.beside[1] : here.beside[0]);
                const bool bends = end || (before.x == at.x) != (at.x == after.x);
                if (bends) line.push_back(at);
                if (end) break;
                before = at;
                at = after;
            }
            drawn.lines.push_back(line);
        }
    }
    return drawn;
}

}  // namespace tallyboard::detail
