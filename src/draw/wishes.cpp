// What good drawing wishes of items that belong together: order along the signal, parallel parts abreast, like parts in step.
#include <map>
#include <set>

#include "draw/prepare.h"

namespace tallyboard::detail {

namespace {

// The two-terminal items' nets, the smaller first; {-1, -1} for others.
std::pair<int, int> ends_of(const Item& item) {
    if (item.pins.size() != 2 || item.pins[0].net < 0 || item.pins[1].net < 0) return {-1, -1};
    return std::minmax(item.pins[0].net, item.pins[1].net);
}

void wish_order(Model& model) {
    std::set<std::pair<int, int>> seen;
    for (const WireGroup& group : model.groups) {
        if (group.pins.size() > 6) continue;
        for (auto [a, pa] : group.pins)
            for (auto [b, pb] : group.pins) {
                if (model.items[a].role == Role::tie || model.items[b].role == Role::tie) continue;
                if (a == b || model.items[a].level + sub / 4 >= model.items[b].level || !seen.insert({a, b}).second) continue;
                model.wishes.push_back({WishKind::order, a, b, 0, 0, 2, 13, {}});
            }
    }
}

bool starts_step(const Item& item, const ItemPin& pin) {
    if (item.role == Role::transformer) return pin.kind_pin.substr(0, 1) != "p";
    return pin.role == PinRole::output || pin.role == PinRole::common;
}
bool ends_step(const Item& item, const ItemPin& pin) {
    if (item.role == Role::transformer) return pin.kind_pin.substr(0, 1) == "p";
    return pin.role == PinRole::control || (item.role == Role::device && pin.role == PinRole::common);
}

// Devices whose inputs the outputs of `from` reach through passives only.
void steps_from(const Model& model, int from, std::vector<std::pair<int, int>>& steps) {
    std::vector<int> hops(model.nets.size(), -1), queue;
    for (const ItemPin& pin : model.items[from].pins)
        if (pin.net >= 0 && !pin.tied && starts_step(model.items[from], pin) && hops[pin.net] < 0) {
            hops[pin.net] = 0;
            queue.push_back(pin.net);
        }
    std::set<int> reached;
    for (std::size_t k = 0; k < queue.size(); ++k) {
        const int net = queue[k];
        for (auto [i, p] : model.nets[net].pins) {
            const Item& item = model.items[i];
            if (i == from || item.pins[p].tied) continue;
            if (item.active) {
                if (ends_step(item, item.pins[p])) reached.insert(i);
                continue;
            }
            if (hops[net] >= 5 || item.role == Role::contact) continue;
            for (const ItemPin& pin : item.pins)
                if (pin.net >= 0 && !pin.tied && hops[pin.net] < 0) {
                    hops[pin.net] = hops[net] + 1;
                    queue.push_back(pin.net);
                }
        }
    }
    for (int to : reached)
        if (model.items[to].level > model.items[from].level + sub / 2 || model.items[to].role == Role::transformer)
            steps.push_back({from, to});
}

void wish_steps(Model& model) {
    model.steps.clear();
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i)
        if (model.items[i].active) steps_from(model, i, model.steps);
    for (auto [a, b] : model.steps) {
        const bool to_transformer = model.items[b].role == Role::transformer;
        const int rise = to_transformer ? sub : std::min(model.items[b].level - model.items[a].level, sub);
        model.wishes.push_back({WishKind::step, a, b, 0, 0, 9, 40 * rise / sub, {}});
    }
}

void wish_parallel(Model& model) {
    for (int a = 0; a < static_cast<int>(model.items.size()); ++a)
        for (int b = a + 1; b < static_cast<int>(model.items.size()); ++b) {
            const Item &x = model.items[a], &y = model.items[b];
            if (x.block != y.block || x.role != Role::two_terminal || y.role != Role::two_terminal) continue;
            if (ends_of(x).first < 0 || ends_of(x) != ends_of(y) || ends_of(x).first == ends_of(x).second) continue;
            const bool both_tied = x.pins[0].tied && x.pins[1].tied;
            if (!both_tied) model.wishes.push_back({WishKind::parallel, a, b, 0, 0, 0, sub, {}});
        }
}

// Colour refinement, two rounds, values ignored: items of one colour are drawn alike.
std::vector<int> colours_of(const Model& model) {
    const auto number = [](std::vector<std::string>& keys) {
        std::map<std::string, int> known;
        std::vector<int> colours;
        for (const std::string& key : keys) colours.push_back(known.emplace(key, static_cast<int>(known.size())).first->second);
        return colours;
    };
    std::vector<std::string> keys;
    for (const Item& item : model.items) {
        std::string key = std::to_string(item.block) + item.kind;
        std::vector<std::string> pins;
        for (const ItemPin& pin : item.pins)
            pins.push_back((item.role == Role::two_terminal && item.kind != "electrolytic" && item.kind != "diode" ? "" : pin.kind_pin) +
                           (pin.net < 0 ? "-" : pin.tied ? model.nets[pin.net].name : std::to_string(model.nets[pin.net].pins.size())));
        if (item.role == Role::two_terminal) std::sort(pins.begin(), pins.end());
        for (const std::string& pin : pins) key += " " + pin;
        keys.push_back(key);
    }
    std::vector<int> colours = number(keys);
    for (int round = 0; round < 2; ++round) {
        for (std::size_t i = 0; i < model.items.size(); ++i) {
            std::vector<std::string> around;
            for (const ItemPin& pin : model.items[i].pins) {
                if (pin.net < 0 || pin.tied) continue;
                std::vector<int> neighbours;
                for (auto [j, q] : model.nets[pin.net].pins)
                    if (j != static_cast<int>(i)) neighbours.push_back(colours[j]);
                std::sort(neighbours.begin(), neighbours.end());
                std::string text = model.items[i].role == Role::two_terminal ? "" : pin.kind_pin;
                for (int colour : neighbours) text += "," + std::to_string(colour);
                around.push_back(text);
            }
            std::sort(around.begin(), around.end());
            keys[i] = std::to_string(colours[i]);
            for (const std::string& text : around) keys[i] += ";" + text;
        }
        colours = number(keys);
    }
    return colours;
}

void wish_twins(Model& model) {
    const std::vector<int> colours = colours_of(model);
    std::map<int, std::vector<int>> classes;
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i) classes[colours[i]].push_back(i);
    const auto twins = [&](int i) { return classes[colours[i]].size() >= 2 && classes[colours[i]].size() <= 8; };
    for (const auto& [colour, members] : classes) {
        if (members.size() < 2 || members.size() > 8) continue;
        for (std::size_t k = 0; k < members.size(); ++k)
            for (std::size_t l = k + 1; l < members.size(); ++l)
                if (members.size() <= 4 || l == k + 1)
                    model.wishes.push_back({WishKind::twin, members[k], members[l], 0, 0, 0, sub, {}});
    }
    // Pairs of twins joined alike through small nets: the offset from one to the next ought to be the same.
    std::map<std::pair<int, int>, std::vector<std::pair<int, int>>> joints;   // by colours
    for (const WireGroup& group : model.groups) {
        if (group.pins.size() > 3) continue;
        for (auto [a, pa] : group.pins)
            for (auto [b, pb] : group.pins)
                if (a != b && twins(a) && twins(b) && (colours[a] < colours[b] || (colours[a] == colours[b] && a < b)))
                    joints[{colours[a], colours[b]}].push_back({a, b});
    }
    for (auto& [key, pairs] : joints)
        for (std::size_t k = 0; k < pairs.size(); ++k)
            for (std::size_t l = k + 1; l < pairs.size(); ++l)
                if ((l == k + 1 || pairs.size() <= 4) && pairs[k].first != pairs[l].first && pairs[k].second != pairs[l].second)
                    model.wishes.push_back({WishKind::motif, pairs[k].first, pairs[k].second, pairs[l].first, pairs[l].second, 0, sub, {}});
}

// Push-pull halves stand at equal distance above and below their transformer.
void wish_mirrors(Model& model) {
    for (int t = 0; t < static_cast<int>(model.items.size()); ++t) {
        const Item& transformer = model.items[t];
        if (transformer.role != Role::transformer || model.power_block[transformer.block]) continue;
        std::vector<std::vector<int>> halves;
        for (const ItemPin& pin : transformer.pins) {
            if (pin.net < 0 || pin.tied) continue;
            std::vector<int> devices;
            for (auto [i, p] : model.nets[pin.net].pins)
                if (model.items[i].role == Role::device && model.items[i].pins[p].role == PinRole::output) devices.push_back(i);
            if (!devices.empty()) halves.push_back(devices);
        }
        if (halves.size() != 2 || halves[0].size() != halves[1].size()) continue;
        for (std::size_t k = 0; k < halves[0].size(); ++k)
            model.wishes.push_back({WishKind::mirror, halves[0][k], t, halves[1][k], t, 0, sub, {}});
    }
}

// The parts from an op-amp's output back to its inverting input lie in a row above it.
void wish_feedback(Model& model) {
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i) {
        const Item& opamp = model.items[i];
        if (opamp.role != Role::opamp) continue;
        int out = -1, minus = -1;
        for (const ItemPin& pin : opamp.pins) {
            if (pin.tied) continue;
            if (pin.kind_pin == "out") out = pin.net;
            if (pin.kind_pin == "in-") minus = pin.net;
        }
        if (out < 0 || minus < 0 || out == minus) continue;
        for (int j = 0; j < static_cast<int>(model.items.size()); ++j)
            if (model.items[j].role == Role::two_terminal && ends_of(model.items[j]) == std::pair<int, int>(std::minmax(out, minus)))
                model.wishes.push_back({WishKind::box, i, j, 0, 0, 0, 3 * sub / 2, {-2, -13, 2, -4}});
    }
}

}  // namespace

void find_wishes(Model& model, const Circuit&) {
    model.wishes.clear();
    wish_order(model);
    wish_steps(model);
    wish_parallel(model);
    wish_twins(model);
    wish_feedback(model);
    wish_mirrors(model);
}

}  // namespace tallyboard::detail
