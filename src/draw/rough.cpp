#include "draw/rough.h"

#include <limits>

namespace tallyboard::detail {

namespace {

constexpr int wrong_way_level = 26, wrong_way_upright = 13;   // leaving a pin other than its own way: 1.6 and 0.8

int wrong_way(const RoughPin& pin) { return is_level(pin.way) ? wrong_way_level : wrong_way_upright; }

Way way_between(int xa, int ya, int xb, int yb) {
    if (xa != xb) return xb > xa ? Way::right : Way::left;
    return yb > ya ? Way::down : Way::up;
}

// A polyline a - … - b with what it costs by itself.
struct Trail {
    std::array<Spot, 5> spots;
    int count = 0;
    int own = 0;
};

int own_cost(const Trail& trail, const RoughPin& a, const RoughPin& b) {
    int cost = 0;
    Way first = Way::right, last = Way::right;
    bool any = false;
    for (int i = 1; i < trail.count; ++i) {
        const Spot p = trail.spots[i - 1], q = trail.spots[i];
        if (p == q) continue;
        const Way way = way_between(p.x, p.y, q.x, q.y);
        cost += WireField::unit * (std::abs(p.x - q.x) + std::abs(p.y - q.y));
        if (!any) first = way;
        else if (way != last) cost += WireField::bend;
        last = way;
        any = true;
    }
    if (!any) return 0;
    if (first != a.way) cost += wrong_way(a);
    if (opposite(last) != b.way) cost += wrong_way(b);
    return cost;
}

}  // namespace

WireField::WireField(int width, int height)
    : width_(width), height_(height), row_(width * height), row_edge_(width * height), end_(width * height),
      wires_(width * height), column_(width * height), column_edge_(width * height) {}

void WireField::mark_end(int x, int y, int sign) {
    const int r = y * width_ + x, c = x * height_ + y;
    row_[r] += sign * clash;
    column_[c] += sign * clash;
    end_[r] += sign * clash;
    wires_[r] += sign;
}

void WireField::mark(const RoughRoute& route, const std::vector<RoughPin>& pins, int sign) {
    for (int i = 0; i < route.count; ++i) {
        const Segment& s = route.segments[i];
        if (s.y0 == s.y1) {
            int r = s.y0 * width_ + s.x0;
            for (int x = s.x0; x < s.x1; ++x, ++r) {
                row_edge_[r] += sign * overlap;
                row_[r] += sign * overlap;
                if (x == s.x0) continue;
                column_[x * height_ + s.y0] += sign * crossing;
                end_[r] += sign * clash;
                wires_[r] += sign;
            }
        } else {
            int c = s.x0 * height_ + s.y0;
            for (int y = s.y0; y < s.y1; ++y, ++c) {
                column_edge_[c] += sign * overlap;
                column_[c] += sign * overlap;
                if (y == s.y0) continue;
                const int r = y * width_ + s.x0;
                row_[r] += sign * crossing;
                end_[r] += sign * clash;
                wires_[r] += sign;
            }
        }
        mark_end(s.x0, s.y0, sign);
        mark_end(s.x1, s.y1, sign);
    }
    for (const RoughPin& pin : pins) mark_end(pin.x, pin.y, sign);
}

int WireField::conflicts(const RoughRoute& route, int limit) const {
    int cost = 0;
    for (int i = 0; i < route.count && cost < limit; ++i) {
        const Segment& s = route.segments[i];
        if (s.y0 == s.y1) {
            const int* row = &row_[s.y0 * width_];
            cost += row_edge_[s.y0 * width_ + s.x0];
            for (int x = s.x0 + 1; x < s.x1; ++x) cost += row[x];
        } else {
            const int* column = &column_[s.x0 * height_];
            cost += column_edge_[s.x0 * height_ + s.y0];
            for (int y = s.y0 + 1; y < s.y1; ++y) cost += column[y];
        }
        cost += end_[s.y0 * width_ + s.x0] + end_[s.y1 * width_ + s.x1];
    }
    return cost;
}

int WireField::pin_conflicts(const std::vector<RoughPin>& pins) const {
    int cost = 0;
    for (const RoughPin& pin : pins) cost += end_[pin.y * width_ + pin.x];
    return cost;
}

void WireField::mark_nodes(const std::vector<Spot>& nodes, Spot at, int weight, int sign) {
    for (Spot node : nodes) {
        const int x = node.x + at.x, y = node.y + at.y, r = y * width_ + x;
        row_[r] += sign * weight;
        column_[x * height_ + y] += sign * weight;
        end_[r] += sign * weight;
    }
}

int WireField::node_conflicts(const std::vector<Spot>& nodes, Spot at, int weight) const {
    int wires = 0;
    for (Spot node : nodes) wires += wires_[(node.y + at.y) * width_ + node.x + at.x];
    return wires * weight;
}

bool WireField::inside(const RoughRoute& route) const {
    for (int i = 0; i < route.count; ++i) {
        const Segment& s = route.segments[i];
        if (s.x0 < 0 || s.y0 < 0 || s.x1 >= width_ || s.y1 >= height_) return false;
    }
    return true;
}

void WireField::best_route(const std::vector<RoughPin>& pins, RoughRoute& best) const {
    best.clear();
    if (pins.size() == 2) route_two(pins[0], pins[1], best);
    else if (pins.size() > 2) route_many(pins, best);
}

void WireField::route_two(const RoughPin& a, const RoughPin& b, RoughRoute& best) const {
    std::array<Trail, 20> trails;
    int count = 0;
    const auto offer = [&](std::initializer_list<Spot> spots) {
        Trail& trail = trails[count];
        trail.count = 0;
        for (Spot spot : spots) trail.spots[trail.count++] = spot;
        trail.own = own_cost(trail, a, b);
        ++count;
    };
    const Spot p{a.x, a.y}, q{b.x, b.y};
    if (p.x == q.x || p.y == q.y) offer({p, q});
    else {
        offer({p, {q.x, p.y}, q});
        offer({p, {p.x, q.y}, q});
        const int mx = (p.x + q.x) / 2, my = (p.y + q.y) / 2, sx = q.x > p.x ? 1 : -1, sy = q.y > p.y ? 1 : -1;
        for (int x : {mx, p.x + sx, q.x - sx})
            if (x != p.x && x != q.x) offer({p, {x, p.y}, {x, q.y}, q});
        for (int y : {my, p.y + sy, q.y - sy})
            if (y != p.y && y != q.y) offer({p, {p.x, y}, {q.x, y}, q});
    }
    const int left = std::min(p.x, q.x), right = std::max(p.x, q.x), top = std::min(p.y, q.y), bottom = std::max(p.y, q.y);
    if (p.y != q.y || is_level(a.way) || is_level(b.way))
        for (int x : {left - 3, right + 3}) offer({p, {x, p.y}, {x, q.y}, q});
    if (p.x != q.x || !is_level(a.way) || !is_level(b.way))
        for (int y : {top - 3, top - 5, bottom + 3, bottom + 5}) offer({p, {p.x, y}, {q.x, y}, q});
    // The cheapest by themselves first; once one is at hand, those that cannot beat it are not looked at.
    int least = std::numeric_limits<int>::max();
    for (int done = 0; done < count; ++done) {
        int next = -1;
        for (int i = 0; i < count; ++i)
            if (trails[i].own >= 0 && (next < 0 || trails[i].own < trails[next].own)) next = i;
        if (trails[next].own >= least) return;
        RoughRoute route;
        for (int i = 1; i < trails[next].count; ++i)
            route.add(trails[next].spots[i - 1].x, trails[next].spots[i - 1].y, trails[next].spots[i].x, trails[next].spots[i].y);
        route.own = trails[next].own;
        trails[next].own = -1;
        if (!inside(route)) continue;
        const int cost = route.own + conflicts(route, least - route.own);
        if (cost < least) {
            least = cost;
            best.count = route.count;
            best.own = route.own;
            std::copy_n(route.segments.begin(), route.count, best.segments.begin());
        }
    }
}

namespace {

struct Trunk { bool level; int line, own; };

// How far the pins reach along either axis.
struct Reach { int low, high; };
Reach reach_of(const std::vector<RoughPin>& pins, bool level) {
    Reach reach{std::numeric_limits<int>::max(), std::numeric_limits<int>::min()};
    for (const RoughPin& pin : pins) {
        const int along = level ? pin.x : pin.y;
        reach.low = std::min(reach.low, along);
        reach.high = std::max(reach.high, along);
    }
    return reach;
}

// Drops from both sides that meet within the trunk make a junction of four arms.
int four_arms(const std::vector<RoughPin>& pins, bool level, int line, Reach reach) {
    int cost = 0;
    for (const RoughPin& a : pins) {
        const int along = level ? a.x : a.y;
        if ((level ? a.y : a.x) >= line || along <= reach.low || along >= reach.high) continue;
        for (const RoughPin& b : pins)
            if ((level ? b.x : b.y) == along && (level ? b.y : b.x) > line) {
                cost += WireField::arms;
                break;
            }
    }
    return cost;
}

// One trunk along `line` with a drop to it from every pin; given up once it costs more than `limit`.
int trunk_cost(const std::vector<RoughPin>& pins, bool level, int line, Reach reach, int limit) {
    int cost = WireField::unit * (reach.high - reach.low);
    for (const RoughPin& pin : pins) {
        const int along = level ? pin.x : pin.y, across = level ? pin.y : pin.x;
        if (across != line) {
            cost += WireField::bend + WireField::unit * std::abs(across - line);
            const Way way = level ? (line > across ? Way::down : Way::up) : (line > across ? Way::right : Way::left);
            if (way != pin.way) cost += wrong_way(pin);
        } else {
            const bool forward = along < reach.high && pin.way == (level ? Way::right : Way::down);
            const bool backward = along > reach.low && pin.way == (level ? Way::left : Way::up);
            if (!forward && !backward) cost += wrong_way(pin);
        }
        if (cost > limit) return cost;
    }
    return cost + four_arms(pins, level, line, reach);
}

void set_trunk(const std::vector<RoughPin>& pins, const Trunk& trunk, RoughRoute& route) {
    route.clear();
    int low = std::numeric_limits<int>::max(), high = std::numeric_limits<int>::min();
    for (const RoughPin& pin : pins) {
        const int along = trunk.level ? pin.x : pin.y;
        low = std::min(low, along);
        high = std::max(high, along);
        if (trunk.level) route.add(pin.x, pin.y, pin.x, trunk.line);
        else route.add(pin.x, pin.y, trunk.line, pin.y);
    }
    if (trunk.level) route.add(low, trunk.line, high, trunk.line);
    else route.add(trunk.line, low, trunk.line, high);
    route.own = trunk.own;
}

}  // namespace

void WireField::route_many(const std::vector<RoughPin>& pins, RoughRoute& best) const {
    constexpr int keep = 6;
    std::array<Trunk, keep> trunks;
    int count = 0;
    const Reach reaches[] = {reach_of(pins, false), reach_of(pins, true)};
    const auto offer = [&](bool level, int line) {
        if (line < 0 || line >= (level ? height_ : width_)) return;
        for (int i = 0; i < count; ++i)
            if (trunks[i].level == level && trunks[i].line == line) return;
        const int limit = count < keep ? std::numeric_limits<int>::max() : trunks[keep - 1].own;
        const Trunk trunk{level, line, trunk_cost(pins, level, line, reaches[level], limit)};
        if (count < keep) ++count;
        else if (trunk.own >= limit) return;
        int at = count - 1;
        while (at > 0 && trunks[at - 1].own > trunk.own) {
            trunks[at] = trunks[at - 1];
            --at;
        }
        trunks[at] = trunk;
    };
    for (int by : {0, 1, -1})
        for (const RoughPin& pin : pins) {
            offer(true, pin.y + by);
            offer(false, pin.x + by);
        }
    int least = std::numeric_limits<int>::max();
    RoughRoute route;
    for (int i = 0; i < count && trunks[i].own < least; ++i) {
        set_trunk(pins, trunks[i], route);
        const int cost = route.own + conflicts(route, least - route.own);
        if (cost < least) {
            least = cost;
            best.count = route.count;
            best.own = route.own;
            std::copy_n(route.segments.begin(), route.count, best.segments.begin());
        }
    }
}

}  // namespace tallyboard::detail
