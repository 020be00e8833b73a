#include "draw/layout.h"

#include <cmath>
#include <map>

namespace tallyboard::detail {

namespace {

// The field in which a block is placed: about twice as wide and high as the drawing will be.
int field_side(std::size_t items, double share) {
    return 44 + static_cast<int>(1.8 * std::sqrt(95.0 * static_cast<double>(items) * share));
}

// What the boxes of two items cost each other where they overlap.
int pair_of_boxes(const Standpoint& one, Spot at_one, const Standpoint& two, Spot at_two) {
    const Spot by{at_two.x - at_one.x, at_two.y - at_one.y};
    const Area near = two.hull.moved(by);
    int cost = 0;
    for (const Area& a : one.boxes) {
        if (!a.overlaps(near)) continue;
        for (const Area& b : two.boxes) {
            const Area other = b.moved(by);
            if (!a.overlaps(other)) continue;
            const int w = std::min(a.x1, other.x1) - std::max(a.x0, other.x0);
            const int h = std::min(a.y1, other.y1) - std::max(a.y0, other.y0);
            cost += 10 * sub + 5 * w * h / sub;
        }
    }
    return cost;
}

int capped(int cost, int most) { return std::min(cost, most); }

// Wide and high enough for the largest item in any orientation, with the rim round it.
Spot room_for(const Model& model, const std::vector<int>& items, Spot least) {
    constexpr int rims = 16;
    Spot room = least;
    for (int i : items)
        for (const Standpoint& stand : model.items[i].standpoints) {
            room.x = std::max(room.x, stand.hull.width() / sub + rims);
            room.y = std::max(room.y, stand.hull.height() / sub + rims);
        }
    return {std::max(room.x, field_side(items.size(), 1.6)), std::max(room.y, field_side(items.size(), 1 / 1.6))};
}

}  // namespace

Layout::Layout(const Model& model, const std::vector<int>& items, Spot least)
    : model_(model), field_(room_for(model, items, least).x, room_for(model, items, least).y) {
    std::map<int, int> local;
    for (int index : items) {
        local.emplace(index, static_cast<int>(items_.size()));
        items_.push_back(&model.items[index]);
    }
    const auto count = items_.size();
    places_.resize(count);
    fixed_.resize(count, false);
    hulls_.resize(count);
    upright_ties_.resize(count);
    for (std::size_t i = 0; i < count; ++i)
        if (std::any_of(items_[i]->standpoints.begin(), items_[i]->standpoints.end(), [](const Standpoint& one) { return !one.ties.empty(); }))
            tied_items_.push_back(static_cast<int>(i));
    nets_of_.resize(count);
    for (const WireGroup& group : model.groups) {
        std::vector<std::pair<int, int>> pins;
        for (auto [i, p] : group.pins)
            if (auto at = local.find(i); at != local.end()) pins.push_back({at->second, p});
        if (pins.empty()) continue;
        for (auto [i, p] : pins)
            if (std::find(nets_of_[i].begin(), nets_of_[i].end(), static_cast<int>(nets_.size())) == nets_of_[i].end())
                nets_of_[i].push_back(static_cast<int>(nets_.size()));
        nets_.push_back(std::move(pins));
    }
    find_branches();
    pins_.resize(nets_.size());
    routes_.resize(nets_.size());
    wishes_of_.resize(count);
    for (Wish wish : model.wishes) {
        const auto a = local.find(wish.a), b = local.find(wish.b);
        if (a == local.end() || b == local.end()) continue;
        std::vector<int> ends{wish.a = a->second, wish.b = b->second};
        if (wish.kind == WishKind::motif || wish.kind == WishKind::mirror) {
            const auto c = local.find(wish.c), d = local.find(wish.d);
            if (c == local.end() || d == local.end()) continue;
            ends.push_back(wish.c = c->second);
            ends.push_back(wish.d = d->second);
        }
        for (int end : ends) wishes_of_[end].push_back(static_cast<int>(wishes_.size()));
        wishes_.push_back(wish);
    }
    int most = 0;
    for (const Item* item : items_) most = std::max(most, item->level);
    for (std::size_t i = 0; i < count; ++i) {
        if (items_[i]->role == Role::tie && items_[i]->pins[0].net >= 0) {
            const ModelNet& net = model.nets[items_[i]->pins[0].net];
            if (net.entrance || net.exit) edge_items_.push_back({static_cast<int>(i), net.entrance});
        }
        if (items_[i]->role == Role::jack || (items_[i]->role == Role::terminal && items_[i]->kind != "testpoint"))
            edge_items_.push_back({static_cast<int>(i), items_[i]->level * 2 < most || items_[i]->level == 0});
    }
    // 0.12 √N/2 of the page's measure, in sixteenths and hundredths.
    page_factor_ = static_cast<int>(100 * 0.12 * std::sqrt(static_cast<double>(count)) / 2);
    item_stamp_.resize(count, 0);
    net_stamp_.resize(nets_.size(), 0);
    wish_stamp_.resize(wishes_.size(), 0);
}

// From each pin of each net: all that is reached from its item without going back over that net.
void Layout::find_branches() {
    constexpr std::size_t most = 12;
    for (int cut = 0; cut < static_cast<int>(nets_.size()); ++cut)
        for (auto [start, pin] : nets_[cut]) {
            std::vector<int> branch{start};
            bool whole = true;
            for (std::size_t k = 0; k < branch.size() && whole; ++k)
                for (int n : nets_of_[branch[k]]) {
                    if (n == cut) continue;
                    for (auto [other, its_pin] : nets_[n])
                        if (std::find(branch.begin(), branch.end(), other) == branch.end()) branch.push_back(other);
                    whole = branch.size() <= most;
                    if (!whole) break;
                }
            if (!whole || branch.size() < 2 || branch.size() * 2 > items_.size()) continue;
            std::sort(branch.begin(), branch.end());
            if (std::find(branches_.begin(), branches_.end(), branch) == branches_.end()) branches_.push_back(std::move(branch));
        }
}

bool Layout::within(int i, const Place& place) const {
    const Standpoint& s = items_[i]->standpoints[place.standpoint];
    const Area hull = s.hull.moved({place.x, place.y});
    constexpr int rim = 6 * sub;
    return hull.x0 >= rim && hull.y0 >= rim && hull.x1 <= (field_.width() - 6) * sub && hull.y1 <= (field_.height() - 6) * sub;
}

void Layout::set_places(const std::vector<Place>& places) {
    places_ = places;
    for (int i = 0; i < size(); ++i) {
        Place& place = places_[i];
        const Area& hull = items_[i]->standpoints[place.standpoint].hull;
        const auto clamp = [](int at, int low, int high, int side) {
            const int least = 7 - (low - sub + 1) / sub, most = side - 7 - (high + sub - 1) / sub;
            return std::max(least, std::min(at, most));
        };
        place.x = clamp(place.x, hull.x0, hull.x1, field_.width());
        place.y = clamp(place.y, hull.y0, hull.y1, field_.height());
    }
    field_ = WireField(field_.width(), field_.height());
    for (int i = 0; i < size(); ++i) {
        put(i, places_[i]);
        mark_item(i, 1);
    }
    for (std::size_t n = 0; n < nets_.size(); ++n) {
        routes_[n].clear();
        gather_pins(static_cast<int>(n));
        field_.mark(routes_[n], pins_[n], 1);
    }
    cost_ = 0;
    refresh();
}

void Layout::gather_pins(int net) {
    pins_[net].clear();
    for (auto [i, p] : nets_[net]) {
        const PinSite& site = stand(i).pins[p];
        pins_[net].push_back({places_[i].x + site.at.x, places_[i].y + site.at.y, site.way});
    }
}

void Layout::refresh() {
    for (int n = 0; n < static_cast<int>(nets_.size()); ++n) {
        field_.mark(routes_[n], pins_[n], -1);
        field_.best_route(pins_[n], routes_[n]);
        field_.mark(routes_[n], pins_[n], 1);
    }
    cost_ = page_ = page_cost();
    cost_ += wires();
    for (int i = 0; i < size(); ++i) {
        cost_ += lone_cost(i);
        for (int j = 0; j < i; ++j) cost_ += pair_cost(i, j);
    }
    for (const Wish& wish : wishes_) cost_ += wish_cost(wish);
}

long long Layout::wires() {
    // Each pair is counted once: everything is taken off, one by one.
    long long cost = 0;
    for (int n = 0; n < static_cast<int>(nets_.size()); ++n) cost += unmark_net(n);
    for (int n = 0; n < static_cast<int>(nets_.size()); ++n) field_.mark(routes_[n], pins_[n], 1);
    return cost;
}

int Layout::item_wires(int i) const {
    const Spot at{places_[i].x, places_[i].y};
    return field_.node_conflicts(stand(i).hard_nodes, at, WireField::through_symbol) +
           field_.node_conflicts(stand(i).soft_nodes, at, WireField::through_label);
}

void Layout::mark_item(int i, int sign) {
    const Spot at{places_[i].x, places_[i].y};
    field_.mark_nodes(stand(i).hard_nodes, at, WireField::through_symbol, sign);
    field_.mark_nodes(stand(i).soft_nodes, at, WireField::through_label, sign);
}

// Takes the net off the field; what it cost with what is still there (items included).
int Layout::unmark_net(int net) {
    field_.mark(routes_[net], pins_[net], -1);
    return routes_[net].own + field_.conflicts(routes_[net], 1 << 28) + field_.pin_conflicts(pins_[net]);
}

int Layout::route_net(int net) {
    field_.best_route(pins_[net], routes_[net]);
    const int cost = routes_[net].own + field_.conflicts(routes_[net], 1 << 28) + field_.pin_conflicts(pins_[net]);
    field_.mark(routes_[net], pins_[net], 1);
    return cost;
}

// Ties that hang or stand near one another ought to be in one row.
int Layout::tie_rows(int a, int b) const {
    int cost = 0;
    for (const UprightTie& s : upright_ties_[a])
        for (const UprightTie& t : upright_ties_[b]) {
            if (s.hanging != t.hanging) continue;
            const int dx = std::abs(s.at.x - t.at.x), dy = std::abs(s.at.y - t.at.y);
            if (dy > 0 && dx <= (s.hanging ? 18 : 26) && dy <= (s.hanging ? 5 : 7)) cost += 7;
        }
    return cost;
}

int Layout::overlap(int a, int b) const {
    return pair_of_boxes(stand(a), {places_[a].x, places_[a].y}, stand(b), {places_[b].x, places_[b].y});
}

int Layout::pair_cost(int a, int b) const {
    const int boxes = hulls_[a].overlaps(hulls_[b]) ? overlap(a, b) * overlap_weight_ / 256 : 0;
    return boxes + tie_rows(a, b);
}

int Layout::overlaps() const {
    int cost = 0;
    for (int a = 0; a < size(); ++a)
        for (int b = 0; b < a; ++b)
            if (hulls_[a].overlaps(hulls_[b])) cost += overlap(a, b);
    return cost;
}

int Layout::lone_cost(int i) const {
    int cost = stand(i).cost;
    if (stay_ > 0 && !homes_.empty())
        cost += stay_ * (std::abs(places_[i].x - homes_[i].x) + std::abs(places_[i].y - homes_[i].y));
    return cost;
}

int Layout::wish_cost(const Wish& w) const {
    const Place &a = places_[w.a], &b = places_[w.b];
    const int dx = b.x - a.x, dy = b.y - a.y;
    switch (w.kind) {
        case WishKind::order: return std::max(0, w.gap - dx) * w.weight;
        case WishKind::step: return std::max(0, w.gap - dx) * w.weight + 5 * std::min(std::abs(dy), 40);
        case WishKind::parallel: {
            const bool lies_a = is_level(stand(w.a).pins[0].way), lies_b = is_level(stand(w.b).pins[0].way);
            if (lies_a != lies_b) return 7 * sub;
            const int off = lies_a ? std::abs(dx) : std::abs(dy);
            return off == 0 ? 0 : 3 * sub / 2 + capped(off * 10, 6 * sub);
        }
        case WishKind::twin: {
            const int turned = stand(w.a).pose.index == stand(w.b).pose.index ? 0 : 3 * sub / 2;
            const int off = std::min(std::abs(dx), std::abs(dy));
            return turned + (off == 0 ? 0 : sub + capped(off * 2, 4 * sub));
        }
        case WishKind::motif: case WishKind::mirror: {
            const Place &c = places_[w.c], &d = places_[w.d];
            const int down = w.kind == WishKind::mirror ? -(d.y - c.y) : d.y - c.y;
            const int off = std::abs(dx - (d.x - c.x)) + std::abs(dy - down);
            return off == 0 ? 0 : 13 + capped(off * 5 / 2, 51);
        }
        case WishKind::box: {
            const int out = std::max({0, w.box.x0 - dx, dx - w.box.x1}) + std::max({0, w.box.y0 - dy, dy - w.box.y1});
            return capped(out, 30) * w.weight;
        }
    }
    return 0;
}

Area Layout::extent() const {
    Area all = hulls_.empty() ? Area{} : hulls_.front();
    for (const Area& hull : hulls_) all.include(hull);
    return all;
}

int Layout::page_cost() const {
    const Area all = extent();
    const int w = all.width(), h = all.height();
    const int measure = (65 * w + 170 * h + 30 * std::max(w, 16 * h / 10)) / 100;
    int cost = page_factor_ * measure / 100;
    for (auto [i, left] : edge_items_)
        cost += (left ? hulls_[i].x0 - all.x0 : all.x1 - hulls_[i].x1) / 2;
    return cost;
}

// All that depends on the places of the items to be changed, wires and the page apart; each pair and wish once.
int Layout::around(const std::vector<Change>& changes) {
    ++stamp_;
    int cost = 0;
    for (const Change& change : changes) item_stamp_[change.item] = stamp_;
    for (const Change& change : changes) {
        const int i = change.item;
        cost += lone_cost(i);
        const auto counts = [&](int j) { return j != i && (item_stamp_[j] != stamp_ || j < i); };
        const Area hull = hulls_[i];
        for (int j = 0; j < size(); ++j)
            if (hull.overlaps(hulls_[j]) && counts(j)) cost += overlap(i, j) * overlap_weight_ / 256;
        if (!upright_ties_[i].empty())
            for (int j : tied_items_)
                if (counts(j)) cost += tie_rows(i, j);
        for (int w : wishes_of_[i])
            if (wish_stamp_[w] != stamp_) {
                wish_stamp_[w] = stamp_;
                cost += wish_cost(wishes_[w]);
            }
    }
    return cost;
}

namespace {

// No route of these pins is cheaper.
int least_wire(const std::vector<RoughPin>& pins) {
    if (pins.size() < 2) return 0;
    int x0 = pins[0].x, x1 = x0, y0 = pins[0].y, y1 = y0;
    for (const RoughPin& pin : pins) {
        x0 = std::min(x0, pin.x);
        x1 = std::max(x1, pin.x);
        y0 = std::min(y0, pin.y);
        y1 = std::max(y1, pin.y);
    }
    return (x1 - x0 + y1 - y0) * WireField::unit;
}

}  // namespace

void Layout::put(int i, const Place& place) {
    places_[i] = place;
    hulls_[i] = stand(i).hull.moved({place.x, place.y});
    upright_ties_[i].clear();
    for (const TieSite& tie : stand(i).ties)
        if (!is_level(tie.way)) upright_ties_[i].push_back({{place.x + tie.at.x, place.y + tie.at.y}, tie.way == Way::down});
}

bool Layout::move(const std::vector<Change>& changes, int limit, int& difference) {
    for (const Change& change : changes)
        if (fixed_[change.item] || !within(change.item, change.to)) return false;
    int known = -around(changes);
    touched_nets_.clear();
    for (const Change& change : changes)
        for (int n : nets_of_[change.item])
            if (net_stamp_[n] != stamp_) {
                net_stamp_[n] = stamp_;
                touched_nets_.push_back(n);
            }
    for (int n : touched_nets_) known -= unmark_net(n);
    back_.clear();
    for (const Change& change : changes) {
        known -= item_wires(change.item);
        mark_item(change.item, -1);
        back_.push_back({change.item, places_[change.item]});
    }
    for (const Change& change : changes) put(change.item, change.to);
    const int page = page_cost();
    known += around(changes) + page - page_;
    int least = known;
    for (int n : touched_nets_) {
        gather_pins(n);
        least += least_wire(pins_[n]);
    }
    if (least > limit) {
        for (const Change& change : back_) {
            put(change.item, change.to);
            mark_item(change.item, 1);
        }
        for (int n : touched_nets_) {
            gather_pins(n);
            field_.mark(routes_[n], pins_[n], 1);
        }
        return false;
    }
    for (const Change& change : changes) {
        mark_item(change.item, 1);
        known += item_wires(change.item);
    }
    saved_.resize(touched_nets_.size());
    for (std::size_t k = 0; k < touched_nets_.size(); ++k) {
        const int n = touched_nets_[k];
        saved_[k].net = n;
        saved_[k].route.count = routes_[n].count;
        saved_[k].route.own = routes_[n].own;
        std::copy_n(routes_[n].segments.begin(), routes_[n].count, saved_[k].route.segments.begin());
        known += route_net(n);
    }
    cost_before_ = cost_;
    page_before_ = page_;
    page_ = page;
    cost_ += known;
    difference = known;
    return true;
}

void Layout::take_back() {
    for (const Saved& saved : saved_) field_.mark(routes_[saved.net], pins_[saved.net], -1);
    for (const Change& change : back_) mark_item(change.item, -1);
    for (const Change& change : back_) {
        put(change.item, change.to);
        mark_item(change.item, 1);
    }
    for (const Saved& saved : saved_) {
        gather_pins(saved.net);
        RoughRoute& route = routes_[saved.net];
        route.count = saved.route.count;
        route.own = saved.route.own;
        std::copy_n(saved.route.segments.begin(), saved.route.count, route.segments.begin());
        field_.mark(route, pins_[saved.net], 1);
    }
    cost_ = cost_before_;
    page_ = page_before_;
}

}  // namespace tallyboard::detail
