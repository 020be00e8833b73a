#include "draw/prepare.h"

#include <map>
#include <numeric>
#include <set>

#include <fmt/format.h>

#include "base/text.h"
#include "draw/shape.h"
#include "draw/symbol.h"

namespace tallyboard::detail {

namespace {

// More wired pins than this on one net make a web that no one follows: its pins get named ties.
constexpr std::size_t most_wired_pins = 14;

Role role_of(const Kind& kind, const Symbol& symbol) {
    static const std::map<std::string_view, Role> by_name{
        {"npn", Role::device}, {"pnp", Role::device}, {"njfet", Role::device}, {"pjfet", Role::device}, {"nmos", Role::device},
        {"pmos", Role::device}, {"triode", Role::device}, {"pentode", Role::device}, {"opamp", Role::opamp},
        {"potentiometer", Role::potentiometer}, {"trimmer", Role::potentiometer}, {"jack", Role::jack},
        {"jack-stereo", Role::jack}, {"jack-break", Role::jack}, {"terminal", Role::terminal}, {"testpoint", Role::terminal},
        {"transformer", Role::transformer}, {"switch", Role::contact}, {"changeover", Role::contact}, {"selector", Role::contact}};
    if (auto found = by_name.find(kind.name); found != by_name.end()) return found->second;
    if (kind.symbols.empty()) return Role::box;
    if (symbol.pins.size() == 2 && kind.pins.size() == 2 && symbol.pins[0].y == symbol.pins[1].y) return Role::two_terminal;
    return Role::other;
}

// The pins of a section that get a connection point: each pin of the file once, those of supplies with their first section.
std::vector<std::size_t> drawn_pins(const Section& section, std::set<PinId>& drawn) {
    std::vector<std::size_t> pins;
    for (std::size_t i = 0; i < section.pins.size(); ++i) {
        const SectionPin& pin = section.pins[i];
        if (pin.state == PinState::undrawn || pin.from.part != section.part) continue;
        if (drawn.insert(pin.from).second) pins.push_back(i);
    }
    return pins;
}

std::vector<std::string> lettering_of(const Circuit& circuit, const Section& section) {
    const Part& part = circuit[section.part];
    std::vector<std::string> lines{section.ref};
    if (part.value && !part.value->text.empty()) lines.push_back(part.value->text);
    else if (!part.model.empty()) lines.push_back(part.model);
    return lines;
}

Item item_of(const Circuit& circuit, const Section& section, std::string_view habit, std::set<PinId>& drawn) {
    Item item;
    const Kind& kind = circuit.kinds[section.kind];
    item.part = section.part.index;
    item.ref = circuit[section.part].ref;
    item.kind = kind.name;
    item.label = section.ref;
    item.lines = lettering_of(circuit, section);
    for (const std::string& line : item.lines) item.widths.push_back(lettering_width(line));
    item.given = circuit[section.part].stands;

    const auto chosen = drawn_pins(section, drawn);
    std::vector<std::string> names;
    for (std::size_t i : chosen) names.push_back(section.pins[i].name);
    item.symbol = symbol_for(circuit.kinds, section.kind, names, habit);
    lead_out(item.symbol);
    item.role = role_of(kind, item.symbol);
    item.active = item.role == Role::device || item.role == Role::opamp;
    // The symbol's pins are put in the order of the section's; those that are not drawn come last, without a connection.
    std::vector<SymbolPin> ordered, rest;
    for (std::size_t i : chosen) {
        const SectionPin& pin = section.pins[i];
        const auto at = std::find_if(item.symbol.pins.begin(), item.symbol.pins.end(),
                                     [&](const SymbolPin& p) { return p.name == pin.name; });
        if (at == item.symbol.pins.end()) continue;
        ordered.push_back(*at);
        const auto index = kind.pin(pin.name);
        item.pins.push_back({pin_name(circuit, pin.from), pin.state, pin.state == PinState::traced ? static_cast<int>(pin.net.index) : -1,
                             false, index && *index < kind.pins.size() ? kind.pins[*index].role : PinRole::plain, pin.name});
    }
    item.symbol.pins = std::move(ordered);
    return item;
}

// What stands beside a struck line, heavy.
int width_beside(const std::string& found) { return lettering_width(found) * 11 / 10 + sub; }

void correct_line(Item& item, const Correction& correction) {
    const auto line = static_cast<std::size_t>(correction.line);
    while (item.lines.size() <= line) {
        item.lines.emplace_back();
        item.widths.push_back(0);
    }
    item.beside.resize(item.lines.size());
    if (item.lines[line].empty()) item.lines[line] = correction.drawn;
    item.beside[line] = correction.found;
    item.widths[line] = lettering_width(item.lines[line]) + width_beside(correction.found);
}

int find(std::vector<int>& parent, int i) {
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

}  // namespace

namespace {

// The tie of a wire group: one pin, from which the wire leaves away from the tie.
Item tie_item(const Model& model, const WireGroup& group) {
    Item item;
    item.role = Role::tie;
    item.label = item.ref = model.nets[group.net].name;
    item.kind = "tie";
    item.block = group.block;
    item.pins.push_back({item.ref, PinState::traced, group.net, false, PinRole::plain, "tie"});
    item.symbol.pins.push_back({"tie", 0, 0, 'd'});
    return item;
}

}  // namespace

void make_groups(Model& model) {
    model.groups.clear();
    model.items.resize(model.parts);
    std::map<std::pair<int, int>, WireGroup> groups;   // by block and net
    std::set<int> elsewhere;                           // nets with a tie somewhere
    std::map<int, std::set<int>> blocks_of;
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i)
        for (int p = 0; p < static_cast<int>(model.items[i].pins.size()); ++p) {
            const ItemPin& pin = model.items[i].pins[p];
            if (pin.net < 0) continue;
            blocks_of[pin.net].insert(model.items[i].block);
            if (pin.tied) elsewhere.insert(pin.net);
            else groups[{model.items[i].block, pin.net}].pins.push_back({i, p});
        }
    for (const auto& [net, blocks] : blocks_of) model.nets[net].referred = blocks.size() > 1 && !model.nets[net].rail;
    for (auto& [key, group] : groups) {
        group.block = key.first;
        group.net = key.second;
        const ModelNet& net = model.nets[group.net];
        group.needs_tie = net.rail || net.entrance || net.exit || elsewhere.count(group.net) || blocks_of[group.net].size() > 1;
        if (group.needs_tie && group.pins.size() == 1) {
            model.items[group.pins[0].first].pins[group.pins[0].second].tied = true;  // one pin with one tie
            continue;
        }
        if (group.needs_tie && net.form == TieForm::none) model.nets[group.net].form = TieForm::flag;
        if (group.needs_tie) {
            group.pins.push_back({static_cast<int>(model.items.size()), 0});
            model.items.push_back(tie_item(model, group));
        }
        model.groups.push_back(group);
    }
    for (Item& item : model.items)
        for (ItemPin& pin : item.pins)
            if (pin.net >= 0 && pin.tied && model.nets[pin.net].form == TieForm::none) model.nets[pin.net].form = TieForm::flag;
}

void find_blocks(Model& model, const Circuit& circuit) {
    const int count = model.parts;
    std::vector<int> parent(count);
    std::iota(parent.begin(), parent.end(), 0);
    const auto join_over = [&](auto&& joins) {
        for (const ModelNet& net : model.nets) {
            if (!joins(net)) continue;
            for (std::size_t k = 1; k < net.pins.size(); ++k)
                parent[find(parent, net.pins[k].first)] = find(parent, net.pins[0].first);
        }
    };
    join_over([](const ModelNet& net) { return !net.rail; });
    // A component with a device, the source or the load is signal; the others are power and grow together over their supplies.
    std::set<int> signal;
    for (int i = 0; i < count; ++i) {
        if (model.items[i].active || model.items[i].role == Role::box) signal.insert(find(parent, i));
        for (const ItemPin& pin : model.items[i].pins) {
            if (pin.net < 0 || model.nets[pin.net].rail || !circuit.setup) continue;
            const NetId net{static_cast<std::uint32_t>(pin.net)};
            if ((circuit.setup->source && circuit.setup->source->net == net) || (circuit.setup->load && circuit.setup->load->net == net))
                signal.insert(find(parent, i));
        }
    }
    std::vector<int> component(count);
    for (int i = 0; i < count; ++i) component[i] = find(parent, i);
    const auto is_signal = [&](int i) { return signal.count(component[i]) > 0; };
    std::vector<bool> lone(count, false);
    for (const ModelNet& net : model.nets) {
        if (!net.rail || is_ground(net.form)) continue;
        int first = -1;
        for (auto [i, p] : net.pins)
            if (!is_signal(i)) {
                if (first >= 0) parent[find(parent, i)] = find(parent, first);
                first = i;
            }
    }
    // Parts on rails alone with nothing beside them go together.
    std::vector<int> size(count, 0);
    for (int i = 0; i < count; ++i) ++size[find(parent, i)];
    int loner = -1;
    for (int i = 0; i < count; ++i) {
        if (is_signal(i) || size[find(parent, i)] > 1) continue;
        lone[i] = true;
        if (loner >= 0) parent[i] = find(parent, loner);
        else loner = i;
    }
    std::map<int, int> number;
    model.power_block.clear();
    for (int i = 0; i < count; ++i) {
        auto [at, fresh] = number.emplace(find(parent, i), static_cast<int>(number.size()));
        if (fresh) model.power_block.push_back(!is_signal(i));
        model.items[i].block = at->second;
    }
    model.blocks = static_cast<int>(number.size());

    for (int i = 0; i < count; ++i)
        for (ItemPin& pin : model.items[i].pins)
            if (pin.net >= 0 && model.nets[pin.net].rail)
                pin.tied = lone[i] || !model.power_block[model.items[i].block] || is_ground(model.nets[pin.net].form);
    for (std::size_t n = 0; n < model.nets.size(); ++n) {
        std::size_t wired = 0;
        for (auto [i, p] : model.nets[n].pins) wired += !model.items[i].pins[p].tied;
        if (wired > most_wired_pins) cut_net(model, static_cast<int>(n));
    }
}

void cut_net(Model& model, int net) {
    for (auto [i, p] : model.nets[net].pins) model.items[i].pins[p].tied = true;
    if (model.nets[net].form == TieForm::none) model.nets[net].form = TieForm::flag;
}

namespace {

// A contact that bridges much of the signal's way (a bypass) would pull its two ends together: the side near the input is cut.
bool cut_bypasses(Model& model) {
    bool cut = false;
    int most = 0;
    for (const ModelNet& net : model.nets) most = std::max(most, net.level);
    for (Item& item : model.items) {
        if (item.role != Role::contact || item.pins.size() < 3) continue;
        ItemPin* low = nullptr;
        int high_level = 0, low_level = 0;
        for (ItemPin& pin : item.pins) {
            if (pin.net < 0 || pin.tied || model.nets[pin.net].pins.size() < 2) continue;
            const int level = model.nets[pin.net].level;
            high_level = std::max(high_level, level);
            if (!low || level < low_level) low = &pin, low_level = level;
        }
        if (!low || high_level - low_level < std::max(6 * sub, most / 2)) continue;
        low->tied = true;
        cut = true;
    }
    return cut;
}

// No sheet is so wide that any text fits on it.
void cut_long_lines(Model& model) {
    for (Item& item : model.items) {
        bool cut = false;
        for (std::size_t l = 0; l < item.lines.size(); ++l)
            for (std::string* line : {&item.lines[l], l < item.beside.size() ? &item.beside[l] : nullptr}) {
                if (!line) continue;
                std::string fitting = fitting_line(*line);
                cut = cut || fitting != *line;
                *line = std::move(fitting);
            }
        if (!cut) continue;
        for (std::size_t l = 0; l < item.lines.size(); ++l) {
            const bool corrected = l < item.beside.size() && !item.beside[l].empty();
            item.widths[l] = lettering_width(item.lines[l]) + (corrected ? width_beside(item.beside[l]) : 0);
        }
        model.remarks.push_back(fmt::format("the lettering of {} is too wide for the sheet and is cut short", fitting_line(item.ref)));
    }
    for (const ModelNet& net : model.nets)
        if (net.printed != net.name) model.remarks.push_back(fmt::format("the net {} has a name too wide for the sheet: it is cut short", net.printed));
}

// Where the signal comes in or goes out without a connector, a tie says so by name.
void find_open_ends(Model& model, const Circuit& circuit) {
    if (!circuit.setup) return;
    const auto ends_here = [&](const ModelNet& net) {
        return std::any_of(net.pins.begin(), net.pins.end(), [&](auto at) {
            const Item& item = model.items[at.first];
            return item.role == Role::jack || (item.role == Role::terminal && item.kind != "testpoint") || item.kind == "speaker" || item.kind == "head";
        });
    };
    // A connector behind a contact shows it too.
    const auto is_open = [&](const ModelNet& net) {
        if (net.rail || ends_here(net)) return false;
        return std::none_of(net.pins.begin(), net.pins.end(), [&](auto at) {
            const Item& item = model.items[at.first];
            return item.role == Role::contact && std::any_of(item.pins.begin(), item.pins.end(), [&](const ItemPin& pin) {
                return pin.net >= 0 && !model.nets[pin.net].rail && ends_here(model.nets[pin.net]);
            });
        });
    };
    if (circuit.setup->source) {
        ModelNet& net = model.nets[circuit.setup->source->net.index];
        net.entrance = is_open(net);
    }
    if (circuit.setup->load) {
        ModelNet& net = model.nets[circuit.setup->load->net.index];
        net.exit = is_open(net);
    }
}

}  // namespace

void rebuild(Model& model, const Circuit& circuit) {
    make_groups(model);
    find_levels(model, circuit);
    find_potentials(model, circuit);
    find_standpoints(model, circuit);
    find_wishes(model, circuit);
}

Model prepare(const Circuit& circuit, std::string_view habit, const std::vector<Correction>& corrections) {
    Model model;
    std::set<PinId> drawn;
    for (const Section& section : sections_of(circuit)) model.items.push_back(item_of(circuit, section, habit, drawn));
    model.parts = static_cast<int>(model.items.size());
    for (const Correction& correction : corrections)
        for (Item& item : model.items)
            if (item.ref == correction.ref) correct_line(item, correction);
    model.nets.resize(circuit.nets.size());
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n) {
        model.nets[n].name = net_name(circuit, NetId{n});
        model.nets[n].printed = fitting_line(model.nets[n].name);
    }
    cut_long_lines(model);
    for (int i = 0; i < static_cast<int>(model.items.size()); ++i)
        for (int p = 0; p < static_cast<int>(model.items[i].pins.size()); ++p)
            if (const int net = model.items[i].pins[p].net; net >= 0) model.nets[net].pins.push_back({i, p});
    find_rails(model, circuit);
    find_open_ends(model, circuit);
    find_blocks(model, circuit);
    make_groups(model);
    find_levels(model, circuit);
    if (cut_bypasses(model)) make_groups(model);
    rebuild(model, circuit);
    return model;
}

}  // namespace tallyboard::detail
