// Which way up each item may stand, and what each way costs (drawing custom; a table of small numbers).
#include <cmath>

#include "draw/prepare.h"
#include "draw/shape.h"

namespace tallyboard::detail {

namespace {

constexpr int forbidden = 1 << 20;

struct View {
    const Model& model;
    const Item& item;
    Pose pose;

    Way way(int pin) const {
        Way leaves = Way::left;
        switch (item.symbol.pins[pin].leaves) {
            case 'r': leaves = Way::right; break;
            case 'u': leaves = Way::up; break;
            case 'd': leaves = Way::down; break;
            default: break;
        }
        return pose.apply(leaves);
    }
    Spot at(int pin) const {
        Spot spot{static_cast<int>(std::lround(item.symbol.pins[pin].x)), static_cast<int>(std::lround(item.symbol.pins[pin].y))};
        pose.apply(spot.x, spot.y);
        return spot;
    }
    const ModelNet* net(int pin) const { return item.pins[pin].net < 0 ? nullptr : &model.nets[item.pins[pin].net]; }
    int pin(PinRole role) const {
        for (int i = 0; i < static_cast<int>(item.pins.size()); ++i)
            if (item.pins[i].role == role) return i;
        return -1;
    }
    int pin(std::string_view name) const {
        for (int i = 0; i < static_cast<int>(item.pins.size()); ++i)
            if (item.pins[i].kind_pin == name) return i;
        return -1;
    }
    bool is_wired(int p) const { return item.pins[p].net >= 0 && !item.pins[p].tied; }
};

bool has_ground_tie(const View& v) {
    for (int p = 0; p < static_cast<int>(v.item.pins.size()); ++p)
        if (v.item.pins[p].tied && v.net(p) && is_ground(v.net(p)->form)) return true;
    return false;
}

// Ground may not point up, nor an up rail down.
int tie_cost(const View& v) {
    int cost = 0;
    for (int p = 0; p < static_cast<int>(v.item.pins.size()); ++p) {
        if (!v.item.pins[p].tied || v.item.pins[p].net < 0) continue;
        const TieForm form = v.net(p)->form;
        const Way way = v.way(p);
        if (is_ground(form) && way == Way::up) cost += forbidden;
        // A part from a down rail to ground stands on its ground.
        if (form == TieForm::down && way == Way::up) cost += has_ground_tie(v) ? 4 * sub : forbidden;
        if (form == TieForm::up && way == Way::down) cost += forbidden;
        if (form == TieForm::flag && !is_level(way)) cost += 8 * sub;
    }
    return cost;
}

int two_terminal_cost(const View& v) {
    const bool lies = is_level(v.way(0));
    const ModelNet *a = v.net(0), *b = v.net(1);
    if (!a || !b) return lies ? 0 : sub;
    const bool rail_end = (a->rail && v.item.pins[0].tied) || (b->rail && v.item.pins[1].tied);
    const bool wired_rail_end = (a->rail && !v.item.pins[0].tied) != (b->rail && !v.item.pins[1].tied);
    const bool between_rails = a->rail && b->rail && !v.item.pins[0].tied && !v.item.pins[1].tied;
    const double rise = a->potential - b->potential;                 // above 0: a ought to be above
    const Way first = v.way(0);
    const bool upside_down = (first == Way::down && rise > 0.02) || (first == Way::up && rise < -0.02);
    const bool against = (first == Way::right && a->level < b->level) || (first == Way::left && a->level > b->level);
    if (rail_end && has_ground_tie(v) && (a->form == TieForm::down || b->form == TieForm::down)) return lies ? 14 * sub : 0;
    if (rail_end) return (lies ? 14 * sub : 0) + (upside_down ? 12 * sub : 0);
    if (a->quasi || b->quasi) return (lies ? 7 * sub : 0) + (lies && against ? 2 * sub : 0) + (upside_down ? 12 * sub : 0);
    if (between_rails) return (lies ? 0 : 8 * sub) + (against ? 6 * sub : 0);
    if (wired_rail_end && v.model.power_block[v.item.block])
        return (lies ? 3 * sub : 0) + (lies && against ? 4 * sub : 0) + (upside_down ? 12 * sub : 0);
    return (lies ? 0 : 8 * sub) + (against ? 6 * sub : 0) + (upside_down ? (std::abs(rise) > 0.15 ? 8 : 2) * sub : 0);
}

// Shares its emitter, cathode or source with another device: one half of a pair.
bool is_paired(const View& v) {
    const int common = v.pin(PinRole::common);
    if (common < 0 || !v.net(common) || v.net(common)->rail) return false;
    for (auto [i, p] : v.net(common)->pins)
        if (v.model.items[i].role == Role::device && &v.model.items[i] != &v.item && v.model.items[i].pins[p].role == PinRole::common)
            return true;
    return false;
}

int device_cost(const View& v) {
    const int control = v.pin(PinRole::control), output = v.pin(PinRole::output), common = v.pin(PinRole::common);
    int cost = 0;
    if (control >= 0 && v.way(control) == Way::right) cost += is_paired(v) ? 2 * sub : 28 * sub;
    if (control >= 0 && !is_level(v.way(control))) cost += 200 * sub;   // never on its side
    if (output < 0 || common < 0) return cost;
    const bool p_type = v.item.kind == "pnp" || v.item.kind == "pjfet" || v.item.kind == "pmos";
    const bool common_above = v.at(common).y < v.at(output).y;
    bool wanted = p_type;
    if (v.net(common) && v.net(output) && !p_type && v.net(common)->potential > v.net(output)->potential + 0.3) wanted = false;
    if (common_above != wanted) cost += 90 * sub;
    return cost;
}

int opamp_cost(const View& v) {
    const int minus = v.pin("in-"), plus = v.pin("in+"), out = v.pin("out");
    int cost = 0;
    if (out >= 0 && v.way(out) != Way::right) cost += is_level(v.way(out)) ? 28 * sub : 80 * sub;
    if (minus >= 0 && plus >= 0 && v.at(plus).y < v.at(minus).y)
        cost += v.net(plus) && is_ground(v.net(plus)->form) ? 30 * sub : 3 * sub;
    return cost;
}

int potentiometer_cost(const View& v) {
    const int cw = v.pin("cw"), ccw = v.pin("ccw"), wiper = v.pin("wiper");
    if (cw < 0 || ccw < 0 || wiper < 0) return 0;
    int cost = 0;
    if (v.at(cw).y > v.at(ccw).y) cost += 5 * sub;
    if (is_level(v.way(cw))) {
        cost += 4 * sub;
        if (v.way(wiper) == Way::up) cost += sub;
        if (v.net(cw) && v.net(ccw) && v.net(cw)->level > v.net(ccw)->level && v.way(cw) == Way::left) cost += 3 * sub;
        if (v.net(cw) && v.net(ccw) && v.net(cw)->level < v.net(ccw)->level && v.way(cw) == Way::right) cost += 3 * sub;
        const bool ground_end = (v.net(cw) && is_ground(v.net(cw)->form)) || (v.net(ccw) && is_ground(v.net(ccw)->form));
        if (ground_end) cost += 6 * sub;
    } else if (v.net(wiper) && v.net(cw) && v.net(ccw)) {
        const int ends = std::max(v.net(cw)->rail ? 0 : v.net(cw)->level, v.net(ccw)->rail ? 0 : v.net(ccw)->level);
        if (v.way(wiper) == Way::left && v.net(wiper)->level >= ends) cost += 3 * sub;
        if (v.way(wiper) == Way::right && v.net(wiper)->level < ends) cost += 3 * sub;
    }
    return cost;
}

int connector_cost(const View& v, int most_level) {
    if (v.item.pins.empty()) return 0;
    const bool source_side = v.item.level * 2 < most_level || v.item.level == 0;
    const Way way = v.way(0), wanted = source_side ? Way::right : Way::left;
    int cost = way == wanted ? 0 : is_level(way) ? 25 * sub : 8 * sub;
    if (v.item.kind == "testpoint") cost = way == Way::up ? 2 * sub : is_level(way) ? 0 : sub;
    return cost;
}

int transformer_cost(const View& v) {
    int cost = 0, left = 0, right = 0, left_count = 0, right_count = 0;
    for (int p = 0; p < static_cast<int>(v.item.pins.size()); ++p) {
        if (!is_level(v.way(p))) cost += 40 * sub;
        if (!v.is_wired(p)) continue;
        (v.way(p) == Way::left ? left : right) += v.net(p)->level;
        ++(v.way(p) == Way::left ? left_count : right_count);
    }
    if (left_count && right_count && left * right_count > right * left_count) cost += 40 * sub;
    double tilt = 0;
    for (int p = 0; p < static_cast<int>(v.item.pins.size()); ++p)
        if (v.net(p)) tilt += v.net(p)->potential * v.at(p).y;
    if (tilt > 0.5) cost += 3 * sub;
    return cost;
}

int contact_cost(const View& v) {
    if (v.item.pins.size() == 2) return two_terminal_cost(v) / 2;
    int cost = 0;
    const int common = std::max(v.pin("common"), 0);
    if (!is_level(v.way(common))) cost += 12 * sub;
    int others = 0, count = 0;
    for (int p = 0; p < static_cast<int>(v.item.pins.size()); ++p)
        if (p != common && v.net(p)) others += v.net(p)->level, ++count;
    if (count && v.net(common)) {
        const bool common_first = v.net(common)->level * count < others;
        if ((v.way(common) == Way::right) == common_first) cost += 10 * sub;
    }
    return cost;
}

int role_cost(const View& v, int most_level) {
    switch (v.item.role) {
        case Role::two_terminal: return v.item.pins.size() == 2 ? two_terminal_cost(v) : 0;
        case Role::device: return device_cost(v);
        case Role::opamp: return opamp_cost(v);
        case Role::potentiometer: return potentiometer_cost(v);
        case Role::jack: case Role::terminal: return connector_cost(v, most_level);
        case Role::transformer: return transformer_cost(v);
        case Role::contact: return contact_cost(v);
        case Role::box: return v.pose.index == 0 ? 0 : v.pose.index == 4 ? 25 * sub : 90 * sub;
        case Role::tie: return v.pose.index % 2 == 1 ? 0 : 3 * sub;
        case Role::other: return v.pose.index == 0 ? 0 : v.pose.index == 4 ? 6 * sub : v.pose.index == 6 ? 8 * sub : 20 * sub;
    }
    return 0;
}

// A tie of its own: bars stand up or hang down as their rail does; a flag points any way.
std::vector<int> tie_poses(TieForm form) {
    if (form == TieForm::up) return {0};
    if (form == TieForm::flag) return {3, 1, 0, 2};
    return {2};
}

// Poses that differ: a symbol alike about its axis needs no flipped ones.
std::vector<int> poses_of(const Item& item) {
    if (item.role == Role::two_terminal && item.pins.size() == 2) return {0, 1, 2, 3};
    if (item.role == Role::terminal) return {0, 1, 2, 3};
    if (item.role == Role::jack) return {0, 4, 6, 2};
    return {0, 1, 2, 3, 4, 5, 6, 7};
}

}  // namespace

void find_standpoints(Model& model, const Circuit&) {
    int most_level = 0;
    for (const ModelNet& net : model.nets) most_level = std::max(most_level, net.level);
    for (Item& item : model.items) {
        std::vector<std::pair<int, int>> costs;      // (cost, pose)
        std::vector<int> poses = item.role == Role::tie ? tie_poses(model.nets[item.pins[0].net].form) : poses_of(item);
        if (item.given) poses = {((item.given->quarter % 4) + 4) % 4 + (item.given->flipped ? 4 : 0)};
        for (int pose : poses) {
            const View view{model, item, Pose{pose}};
            costs.push_back({(item.role == Role::tie ? 0 : tie_cost(view)) + role_cost(view, most_level), pose});
        }
        int least = costs.front().first;
        for (auto [cost, pose] : costs) least = std::min(least, cost);
        item.standpoints.clear();
        for (auto [cost, pose] : costs)
            if (cost - least < 64 * sub) item.standpoints.push_back(standpoint_of(item, Pose{pose}, cost - least, model.nets));
    }
}

}  // namespace tallyboard::detail
