// How far along the signal each net is, and how high its potential: what decides left and right, up and down.
#include <limits>
#include <queue>

#include "draw/prepare.h"

namespace tallyboard::detail {

namespace {

constexpr int unreached = std::numeric_limits<int>::max() / 4;

bool is_control(const ItemPin& pin) { return pin.role == PinRole::control; }
bool is_driven(const ItemPin& pin) { return pin.role == PinRole::output || pin.role == PinRole::common; }
bool is_supply(const ItemPin& pin) {
    return pin.role == PinRole::supply || pin.role == PinRole::supply_plus || pin.role == PinRole::supply_minus;
}

// What it costs the signal to go through the item from one pin to another, in levels; negative: no way.
int passage(const Item& item, int from, int to) {
    const ItemPin& a = item.pins[from];
    const ItemPin& b = item.pins[to];
    if (item.active && item.role != Role::transformer) {
        if (is_supply(a) || is_supply(b)) return 6 * sub;
        if (is_control(a) && is_driven(b)) return sub;
        if (is_driven(a) && is_control(b)) return 9 * sub;
        if (is_control(a) && is_control(b)) return 4 * sub;
        return 3 * sub / 2;
    }
    if (item.role == Role::contact) return 6 * sub;
    return sub;
}

// Rails carry no signal, and a contact that was cut (a bypass) leads nowhere.
bool is_closed(const Model& model, const Item& item, int pin) {
    return item.pins[pin].tied && (model.nets[item.pins[pin].net].rail || item.role == Role::contact);
}

// Which way the signal may go: through passives alone; through devices from their control; also back through them.
enum class Through { passives, devices, all };

// Levels by Dijkstra from the nets whose level is already set. The output nets of item `without` are not entered.
void spread(const Model& model, std::vector<int>& level, Through through, int without = -1) {
    std::vector<char> shut(level.size(), 0);
    if (without >= 0)
        for (const ItemPin& pin : model.items[without].pins)
            if (pin.net >= 0 && pin.role == PinRole::output) shut[pin.net] = 1;
    using Entry = std::pair<int, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (std::size_t n = 0; n < level.size(); ++n)
        if (level[n] < unreached) open.push({level[n], static_cast<int>(n)});
    while (!open.empty()) {
        const auto [at, net] = open.top();
        open.pop();
        if (at > level[net]) continue;
        for (auto [i, p] : model.nets[net].pins) {
            const Item& item = model.items[i];
            if (is_closed(model, item, p) || (item.active && through == Through::passives)) continue;
            for (int q = 0; q < static_cast<int>(item.pins.size()); ++q) {
                const ItemPin& other = item.pins[q];
                if (q == p || other.net < 0 || shut[other.net] || is_closed(model, item, q)) continue;
                if (through == Through::devices && item.active && is_driven(item.pins[p]) && is_control(other)) continue;
                const int there = at + passage(item, p, q);
                if (there < level[other.net]) {
                    level[other.net] = there;
                    open.push({there, other.net});
                }
            }
        }
    }
}

bool is_connector(const Item& item) { return item.role == Role::jack || item.role == Role::terminal; }

// The net of a connector's signal: its first wired pin.
int connector_net(const Item& item) {
    for (const ItemPin& pin : item.pins)
        if (pin.net >= 0 && !pin.tied) return pin.net;
    return -1;
}

// Nets at which a signal may enter where the setup does not say: connectors with control pins nearer than outputs.
std::vector<int> likely_sources(const Model& model) {
    std::vector<int> sources;
    for (const Item& item : model.items) {
        const int net = is_connector(item) && item.kind != "testpoint" ? connector_net(item) : -1;
        if (net < 0) continue;
        std::vector<int> near(model.nets.size(), unreached);
        near[net] = 0;
        spread(model, near, Through::passives);
        int control = unreached, driven = unreached;
        for (const Item& device : model.items)
            if (device.active)
                for (const ItemPin& pin : device.pins) {
                    if (pin.net < 0 || pin.tied) continue;
                    if (is_control(pin)) control = std::min(control, near[pin.net]);
                    if (pin.role == PinRole::output) driven = std::min(driven, near[pin.net]);
                }
        if (control < driven) sources.push_back(net);
    }
    return sources;
}

// Where a block without a source begins: mains terminals, a transformer, the supply from outside, a connector.
int entrance_of(const Model& model, const Circuit& circuit, int block) {
    int best = -1, rank = 0;
    const auto offer = [&](int net, int worth) {
        if (net >= 0 && worth > rank) best = net, rank = worth;
    };
    for (const Item& item : model.items) {
        if (item.block != block) continue;
        for (const ItemPin& pin : item.pins) {
            if (pin.net < 0 || pin.tied) continue;
            const NetId net{static_cast<std::uint32_t>(pin.net)};
            int worth = 1;
            if (item.role == Role::transformer && pin.kind_pin.substr(0, 1) == "p") worth = 5;
            else if (item.role == Role::transformer) worth = 4;
            if (is_connector(item) && item.kind != "testpoint") worth = 6;
            if (circuit.nets[pin.net].role == NetRole::mains) worth += 4;
            if (circuit.setup)
                for (const Supply& supply : circuit.setup->supplies)
                    if (supply.plus == net || supply.minus == net) worth += 3;
            offer(pin.net, worth);
        }
        // A rail that comes from outside is a tie at the first part of the ladder.
        if (circuit.setup)
            for (const ItemPin& pin : item.pins)
                if (pin.net >= 0 && pin.tied && !is_ground(model.nets[pin.net].form))
                    for (const Supply& supply : circuit.setup->supplies)
                        if (static_cast<int>(supply.plus.index) == pin.net || static_cast<int>(supply.minus.index) == pin.net)
                            for (const ItemPin& other : item.pins)
                                if (other.net >= 0 && !other.tied) offer(other.net, 7);
    }
    return best;
}

}  // namespace

namespace {

int net_of(const Item& item, PinRole role) {
    for (const ItemPin& pin : item.pins)
        if (pin.role == role && pin.net >= 0 && !pin.tied) return pin.net;
    return -1;
}

// The signal comes to the device from elsewhere than its own output: by its control pin, or, as in a pair or a cascode, from the
// device it shares a net with.
bool is_fed(const Model& model, const std::vector<int>& sources, int device) {
    std::vector<int> level = sources;
    spread(model, level, Through::devices, device);
    for (const ItemPin& pin : model.items[device].pins)
        if (pin.net >= 0 && is_control(pin) && level[pin.net] < unreached) return true;
    const int common = net_of(model.items[device], PinRole::common);
    if (common < 0 || level[common] >= unreached) return false;
    return std::any_of(model.nets[common].pins.begin(), model.nets[common].pins.end(), [&](auto at) {
        return at.first != device && model.items[at.first].active && is_driven(model.items[at.first].pins[at.second]);
    });
}

// How far it is through passives from a net to the nearest control pin of another device, and that pin's net; -1: there is none.
std::pair<int, int> next_control(const Model& model, int net, int device) {
    std::vector<int> away(model.nets.size(), unreached);
    away[net] = 0;
    spread(model, away, Through::passives);
    int nearest = -1;
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i)
        if (i != device && model.items[i].active)
            for (const ItemPin& pin : model.items[i].pins)
                if (pin.net >= 0 && !pin.tied && is_control(pin) && away[pin.net] < unreached && (nearest < 0 || away[pin.net] < away[nearest]))
                    nearest = pin.net;
    return {nearest, nearest < 0 ? 0 : away[nearest]};
}

// Devices that the signal meets only from behind (oscillators, the stages of another input, a control voltage's source) stand before
// what they drive: their outputs, or where these lead to no control their control pin, get a level from there.
void seed_side_chains(const Model& model, std::vector<int>& sources, std::vector<int>& level) {
    std::vector<char> settled(model.items.size(), 0);
    for (bool found = true; found;) {
        found = false;
        for (int i = 0; i < static_cast<int>(model.items.size()) && !found; ++i) {
            const Item& item = model.items[i];
            if (settled[i] || (item.role != Role::device && item.role != Role::opamp)) continue;
            const int out = net_of(item, PinRole::output), control = net_of(item, PinRole::control);
            if (out < 0 || control < 0 || level[out] >= unreached || is_fed(model, sources, i)) continue;
            settled[i] = 1;
            const auto [join, away] = next_control(model, out, i);
            const int net = join >= 0 && level[join] < unreached ? out : control;
            sources[net] = std::min(level[net], net == out ? level[join] - away : level[out] - sub);
            level[net] = sources[net];
            spread(model, level, Through::devices);
            found = true;
        }
    }
}

}  // namespace

void find_levels(Model& model, const Circuit& circuit) {
    std::vector<int> sources(model.nets.size(), unreached);
    const std::vector<int> likely = likely_sources(model);
    if (circuit.setup && circuit.setup->source) sources[circuit.setup->source->net.index] = 0;
    else
        for (int net : likely) sources[net] = 0;
    std::vector<int> level = sources;
    spread(model, level, Through::devices);
    for (int net : likely)
        if (level[net] >= unreached) {
            level[net] = sources[net] = 0;
            spread(model, level, Through::devices);
        }
    seed_side_chains(model, sources, level);
    spread(model, level, Through::all);
    for (int block = 0; block < model.blocks; ++block) {
        bool reached = false;
        for (const Item& item : model.items)
            if (item.block == block)
                for (const ItemPin& pin : item.pins) reached = reached || (pin.net >= 0 && !pin.tied && level[pin.net] < unreached);
        if (reached) continue;
        if (const int net = entrance_of(model, circuit, block); net >= 0) {
            level[net] = 0;
            spread(model, level, Through::all);
        }
    }
    int most = 0;
    for (int& l : level) {
        if (l >= unreached) l = 0;
        most = std::max(most, l);
    }
    const auto lift = [&](int net, int tenths) {
        if (net >= 0 && level[net] > 0) level[net] = std::max(level[net], most * tenths / 10);
    };
    if (circuit.setup && circuit.setup->load) lift(static_cast<int>(circuit.setup->load->net.index), 10);
    for (const Item& item : model.items)
        if (item.role == Role::jack && !model.power_block[item.block]) lift(connector_net(item), 5);
    // What stands before the source counts from below nothing up: all are lifted alike.
    const int least = level.empty() ? 0 : std::min(0, *std::min_element(level.begin(), level.end()));
    for (std::size_t n = 0; n < level.size(); ++n) model.nets[n].level = level[n] - least;
    for (Item& item : model.items) {
        int sum = 0, count = 0;
        for (const ItemPin& pin : item.pins)
            if (pin.net >= 0 && !pin.tied) sum += model.nets[pin.net].level, ++count;
        item.level = count ? sum / count : 0;
        if (item.role == Role::transformer && !model.power_block[item.block]) item.active = true;
    }
}

void find_potentials(Model& model, const Circuit&) {
    const std::size_t count = model.nets.size();
    std::vector<double> potential(count, 0.4);
    std::vector<bool> fixed(count, false);
    for (std::size_t n = 0; n < count; ++n) {
        const ModelNet& net = model.nets[n];
        if (!net.rail) continue;
        potential[n] = is_ground(net.form) ? 0 : net.form == TieForm::down ? -1 : 1;
        fixed[n] = true;
    }
    struct Branch { int a, b; double conductance; };
    std::vector<Branch> branches;
    const auto join = [&](int a, int b, double g) {
        if (a >= 0 && b >= 0 && a != b) branches.push_back({a, b, g});
    };
    for (const Item& item : model.items) {
        const auto net_of = [&](PinRole role) {
            for (const ItemPin& pin : item.pins)
                if (pin.role == role) return pin.net;
            return -1;
        };
        if (item.role == Role::device) {
            join(net_of(PinRole::output), net_of(PinRole::common), 0.5);
            if (item.kind == "npn" || item.kind == "pnp") join(net_of(PinRole::control), net_of(PinRole::common), 1);
        } else if (item.role == Role::potentiometer && item.pins.size() == 3) {
            join(item.pins[0].net, item.pins[1].net, 1);
            join(item.pins[1].net, item.pins[2].net, 1);
        } else if (item.role == Role::transformer) {
            for (std::size_t p = 1; p < item.pins.size(); ++p)
                if (item.pins[p].kind_pin.substr(0, 1) == item.pins[p - 1].kind_pin.substr(0, 1))
                    join(item.pins[p - 1].net, item.pins[p].net, 3);
        } else if (item.pins.size() == 2 && item.kind != "capacitor" && item.kind != "electrolytic" && item.kind != "crystal") {
            join(item.pins[0].net, item.pins[1].net, item.kind == "resistor" ? 2 : 3);
        }
    }
    // Gauss-Seidel with a fixed number of sweeps: only "which end is higher" is asked of it.
    for (int sweep = 0; sweep < 60; ++sweep) {
        std::vector<double> sum(count, 0.4 * 0.02), weight(count, 0.02);
        for (const Branch& branch : branches) {
            sum[branch.a] += branch.conductance * potential[branch.b];
            weight[branch.a] += branch.conductance;
            sum[branch.b] += branch.conductance * potential[branch.a];
            weight[branch.b] += branch.conductance;
        }
        for (std::size_t n = 0; n < count; ++n)
            if (!fixed[n]) potential[n] = sum[n] / weight[n];
    }
    for (std::size_t n = 0; n < count; ++n) {
        ModelNet& net = model.nets[n];
        net.potential = potential[n];
        net.quasi = false;
        if (net.rail || net.pins.size() > 5) continue;
        bool resistor = false, capacitor = false;
        for (auto [i, p] : net.pins) {
            const Item& item = model.items[i];
            if (item.pins.size() != 2) continue;
            const int other = item.pins[1 - p].net;
            if (other < 0 || !model.nets[other].rail) continue;
            resistor = resistor || item.kind == "resistor";
            capacitor = capacitor || ((item.kind == "capacitor" || item.kind == "electrolytic"));
        }
        // A coupling point with a leak and a shunt looks alike; only electrolytic shunts make a rail.
        bool electrolytic = false;
        for (auto [i, p] : net.pins)
            electrolytic = electrolytic || (model.items[i].kind == "electrolytic" && model.items[i].pins.size() == 2 &&
                                            model.items[i].pins[1 - p].net >= 0 && model.nets[model.items[i].pins[1 - p].net].rail);
        net.quasi = resistor && capacitor && electrolytic;
    }
}

}  // namespace tallyboard::detail
