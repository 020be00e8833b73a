#include "consequence/trial.h"

#include <algorithm>

#include "base/number_text.h"
#include "consequence/part_between.h"
#include "review/terminals.h"

namespace tallyboard::detail {

namespace {

// Nets are cut apart and parts put between before terminals are moved onto them, joins and removals come last.
int turn_of(What what) {
    switch (what) {
        case What::split: return 0;
        case What::inserted: return 1;
        case What::extra: return 2;
        case What::moved: return 3;
        case What::reversed: return 4;
        case What::kind: return 5;
        case What::value: return 6;
        case What::drift: return 7;
        case What::equivalent: return 8;
        case What::unverified: return 9;
        case What::bypassed: return 10;
        case What::joined: return 11;
        case What::missing: return 12;
    }
    return 13;
}

}  // namespace

Trial::Trial(const Circuit& drawing, const Circuit& board, const Comparison& comparison)
    : board_(board), comparison_(comparison), circuit_(drawing) {
    for (const PartPair& pair : comparison.parts) {
        part_of_board_.emplace(pair.board, pair.drawing);
        for (std::uint32_t i = 0; i < pair.board_pins.size(); ++i)
            if (pair.board_pins[i]) pin_of_board_.emplace(*pair.board_pins[i], PinId{pair.drawing, i});
    }
    for (const NetPair& pair : comparison.nets)
        if (!pair.drawing.empty())
            for (NetId net : pair.board) net_of_board_.emplace(net, pair.drawing.front());
    // Readings are the board's; types the board's file describes may come over with its parts.
    circuit_.bench = board.bench;
    circuit_.devices.insert(circuit_.devices.begin(), board.devices.begin(), board.devices.end());
    if (circuit_.setup || !board.setup) return;
    Setup setup = *board.setup;
    for (Supply& supply : setup.supplies) {
        supply.plus = net_for(supply.plus);
        supply.minus = net_for(supply.minus);
    }
    if (setup.source) setup.source->net = net_for(setup.source->net), setup.source->back = net_for(setup.source->back);
    if (setup.load) setup.load->net = net_for(setup.load->net), setup.load->back = net_for(setup.load->back);
    std::vector<Control> controls;
    for (Control control : setup.controls)
        if (const std::optional<PartId> part = part_for(control.part)) {
            control.part = *part;
            controls.push_back(control);
        }
    setup.controls = std::move(controls);
    circuit_.setup = std::move(setup);
    const std::optional<NetId> ground = board.ground();
    if (!drawing.ground() && ground) circuit_.nets[net_for(*ground).index].role = NetRole::ground;
}

std::optional<NetId> Trial::paired_net(NetId board_net) const {
    const auto known = net_of_board_.find(board_net);
    return known == net_of_board_.end() ? std::nullopt : std::optional(known->second);
}

NetId Trial::new_net(const std::string& name) {
    Net net;
    net.name = circuit_.net(name) ? name + "'" : name;
    circuit_.nets.push_back(net);
    return NetId{static_cast<std::uint32_t>(circuit_.nets.size() - 1)};
}

NetId Trial::net_for(NetId board_net) {
    if (const std::optional<NetId> known = paired_net(board_net)) return *known;
    const NetId made = new_net(net_name(board_, board_net));
    net_of_board_[board_net] = made;
    return made;
}

std::optional<PartId> Trial::part_for(PartId board_part) const {
    const auto known = part_of_board_.find(board_part);
    return known == part_of_board_.end() ? std::nullopt : std::optional(known->second);
}

void Trial::set_net(PinId id, std::optional<NetId> net) {
    Pin& pin = circuit_.parts[id.part.index].pins[id.pin];
    pin.state = net ? PinState::traced : PinState::nowhere;
    if (net) pin.net = *net;
}

void Trial::take_value(PartId drawn, PartId found) {
    Part& part = circuit_.parts[drawn.index];
    const Part& from = board_[found];
    part.value = from.nominal() ? std::optional(*from.nominal()) : std::nullopt;
    part.found.clear();
    part.model = from.model;
    if (!from.taper.empty()) part.taper = from.taper, part.half = from.half;
    if (from.tol) part.tol = from.tol;
}

// The board's kind in the copy's table; added where the drawing does not know it.
static KindId kind_for(Circuit& circuit, const Kind& kind) {
    if (const std::optional<KindId> known = circuit.kinds.find(kind.name)) return *known;
    circuit.kinds.set(kind);
    return *circuit.kinds.find(kind.name);
}

void Trial::take_kind(PartId drawn, PartId found) {
    Part& part = circuit_.parts[drawn.index];
    const Part& from = board_[found];
    // Each drawn pin takes the name of the found one it is paired with.
    for (const PartPair& pair : comparison_.parts) {
        if (pair.drawing != drawn || pair.board != found) continue;
        for (std::size_t i = 0; i < part.pins.size() && i < pair.board_pins.size(); ++i) {
            if (!pair.board_pins[i]) continue;
            const Pin& pin = board_[*pair.board_pins[i]];
            part.pins[i].name = pin.name;
            part.pins[i].kind_pin = pin.kind_pin;
        }
    }
    part.kind = kind_for(circuit_, board_.kind_of(from));
    const std::string model = part.model;
    take_value(drawn, found);
    if (part.model.empty()) part.model = model;
}

PartId Trial::add_part(PartId found) {
    Part part = board_[found];
    part.kind = kind_for(circuit_, board_.kind_of(part));
    part.done.clear();
    part.package.clear();
    part.fit = Fit::yes;
    if (circuit_.part(part.ref)) part.ref += "'";
    for (Pin& pin : part.pins)
        if (pin.state == PinState::traced) pin.net = net_for(pin.net);
    circuit_.parts.push_back(std::move(part));
    const PartId added{static_cast<std::uint32_t>(circuit_.parts.size() - 1)};
    part_of_board_[found] = added;
    for (std::uint32_t i = 0; i < circuit_[added].pins.size(); ++i) pin_of_board_[PinId{found, i}] = PinId{added, i};
    return added;
}

void Trial::add_link(NetId a, NetId b) {
    const std::optional<KindId> kind = circuit_.kinds.find("link");
    if (!kind || a == b) return;
    circuit_.parts.push_back(part_between(*kind, "LK'" + std::to_string(circuit_.parts.size()), {{"a", a}, {"b", b}}));
}

// Of a net of the drawing that is two on the board, which piece the drawing's net goes on standing for: supplies, source and
// load hang on it. The one of the same name, else of the same role, else the one with the connector.
static int claim(const Circuit& circuit, const Circuit& board, NetId drawn, NetId piece) {
    const Net& net = board[piece];
    if (!net.name.empty() && net.name == circuit[drawn].name) return 4;
    if (net.role != NetRole::unsaid && net.role == circuit[drawn].role) return 3;
    return std::any_of(net.pins.begin(), net.pins.end(), [&](PinId pin) {
        const std::string& kind = board.kind_of(board[pin.part]).name;
        return kind == "terminal" || kind == "battery" || kind.substr(0, 4) == "jack";
    });
}

NetId Trial::part_net(NetId drawn, const std::vector<PinId>& leave, NetId piece, std::optional<NetId> rest) {
    const NetId made = new_net(net_name(board_, piece));
    const bool piece_keeps = rest && claim(circuit_, board_, drawn, piece) > claim(circuit_, board_, drawn, *rest);
    for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p)
        for (std::uint32_t i = 0; i < circuit_.parts[p].pins.size(); ++i) {
            const PinId pin{PartId{p}, i};
            const bool here = circuit_[pin].state == PinState::traced && circuit_[pin].net == drawn;
            const bool leaves = std::find(leave.begin(), leave.end(), pin) != leave.end();
            if (here && leaves != piece_keeps) set_net(pin, made);
            if (!here && leaves) set_net(pin, piece_keeps ? drawn : made);
        }
    net_of_board_[piece] = piece_keeps ? drawn : made;
    if (rest) net_of_board_[*rest] = piece_keeps ? made : drawn;
    return net_of_board_[piece];
}

bool Trial::insert(const Finding& finding) {
    if (finding.board_parts.empty() || finding.drawing_pins.empty() || finding.board_pins.empty()) return false;
    const PartId found = finding.board_parts.front();
    const Pin far = board_[finding.board_pins.front()];
    const Pin near = circuit_[finding.drawing_pins.front()];
    if (far.state != PinState::traced || near.state != PinState::traced) return false;
    std::optional<NetId> rest;
    for (const Pin& pin : board_[found].pins)
        if (pin.state == PinState::traced && pin.net != far.net) rest = pin.net;
    part_net(near.net, finding.drawing_pins, far.net, rest);
    add_part(found);
    return true;
}

bool Trial::bypass(const Finding& finding) {
    if (finding.drawing_parts.empty()) return false;
    std::vector<NetId> nets;
    for (PartId id : finding.drawing_parts) {
        for (const Pin& pin : circuit_[id].pins)
            if (pin.state == PinState::traced) nets.push_back(pin.net);
        circuit_.parts[id.index].fit = Fit::no;
    }
    for (std::size_t i = 1; i < nets.size(); ++i) add_link(nets[i - 1], nets[i]);
    return nets.size() > 1;
}

bool Trial::join(const Finding& finding) {
    if (!finding.drawing_net) return false;
    for (const NetPair& pair : comparison_.nets) {
        if (std::find(pair.drawing.begin(), pair.drawing.end(), *finding.drawing_net) == pair.drawing.end()) continue;
        for (NetId other : pair.drawing)
            if (other != *finding.drawing_net) {
                add_link(*finding.drawing_net, other);
                return true;
            }
    }
    // Not paired together: by where its terminals stand on the board.
    if (finding.board_net)
        if (const std::optional<NetId> other = paired_net(*finding.board_net); other && *other != *finding.drawing_net) {
            add_link(*finding.drawing_net, *other);
            return true;
        }
    return false;
}

bool Trial::split(const Finding& finding) {
    if (finding.drawing_pins.empty() || !finding.board_net || circuit_[finding.drawing_pins.front()].state != PinState::traced)
        return false;
    const NetId drawn = circuit_[finding.drawing_pins.front()].net;
    std::optional<NetId> rest;
    for (const NetPair& pair : comparison_.nets)
        if (std::find(pair.drawing.begin(), pair.drawing.end(), drawn) != pair.drawing.end() && pair.board.size() == 2)
            for (NetId net : pair.board)
                if (net != *finding.board_net) rest = net;
    part_net(drawn, finding.drawing_pins, *finding.board_net, rest);
    return true;
}

bool Trial::move(const Finding& finding) {
    if (finding.drawing_pins.empty()) return false;
    for (PinId pin : finding.drawing_pins)
        set_net(pin, finding.board_net ? std::optional(net_for(*finding.board_net)) : std::nullopt);
    return true;
}

bool Trial::turn(const Finding& finding) {
    const std::vector<TurnedPin> turned = turned_pins(circuit_, board_, comparison_, finding);
    std::vector<Pin> before;
    for (const TurnedPin& pin : turned) before.push_back(circuit_[pin.from]);
    bool any = false;
    for (std::size_t i = 0; i < turned.size(); ++i) {
        if (!turned[i].to || *turned[i].to == turned[i].from || before[i].state != PinState::traced) continue;
        set_net(*turned[i].to, before[i].net);
        any = true;
    }
    return any;
}

bool Trial::carry_out(const Finding& finding) {
    why_.clear();
    const auto both = [&] { return !finding.drawing_parts.empty() && !finding.board_parts.empty(); };
    bool done = false;
    switch (finding.what) {
        case What::value:
            for (std::size_t i = 0; i < finding.drawing_parts.size() && both(); ++i, done = true) {
                const PartId drawn = finding.drawing_parts[i], found = finding.board_parts[std::min(i, finding.board_parts.size() - 1)];
                // A value of another quantity means nothing without its kind: henries on what is drawn as a capacitor.
                if (board_.kind_of(board_[found]).quantity == circuit_.kind_of(circuit_[drawn]).quantity) take_value(drawn, found);
                else take_kind(drawn, found);
            }
            break;
        case What::kind:
            if ((done = both())) take_kind(finding.drawing_parts.front(), finding.board_parts.front());
            break;
        case What::drift:
            // The specimen, not the drawing: what the drifted part itself does.
            if (both())
                for (const Found& found : board_[finding.board_parts.front()].found)
                    if (found.measured && *found.measured > 0) {
                        Part& part = circuit_.parts[finding.drawing_parts.front().index];
                        if (!part.value) part.value.emplace();
                        part.value->quantity = circuit_.kind_of(part).quantity;
                        part.value->number = Decimal::read(rounded_text(*found.measured, 9)).value_or(part.value->number);
                        done = true;
                    }
            break;
        case What::reversed: done = both() && turn(finding); break;
        case What::moved: done = move(finding); break;
        case What::missing:
            for (PartId part : finding.drawing_parts) circuit_.parts[part.index].fit = Fit::no, done = true;
            break;
        case What::extra:
            for (PartId part : finding.board_parts) add_part(part), done = true;
            break;
        case What::split: done = split(finding); break;
        case What::joined: done = join(finding); break;
        case What::inserted: done = insert(finding); break;
        case What::bypassed: done = bypass(finding); break;
        case What::equivalent: why_ = "the same value made up of other parts"; break;
        case What::unverified: why_ = "not traced on the board yet"; break;
    }
    if (!done && why_.empty()) why_ = "its places are not known well enough to be worked with";
    return done;
}

bool Trial::carry_out_all() {
    std::vector<const Finding*> all;
    for (const Finding& finding : comparison_.findings)
        if (finding.cost > 0) all.push_back(&finding);
    std::stable_sort(all.begin(), all.end(), [](const Finding* a, const Finding* b) { return turn_of(a->what) < turn_of(b->what); });
    bool any = false;
    for (const Finding* finding : all) any = carry_out(*finding) || any;
    return any;
}

Circuit board_set_up(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    Circuit out = board;
    if (out.setup || !drawing.setup) return out;
    std::map<NetId, NetId> net_of_drawing;
    for (const NetPair& pair : comparison.nets)
        for (NetId net : pair.drawing) {
            if (pair.board.empty()) continue;
            const NetId best = *std::max_element(pair.board.begin(), pair.board.end(), [&](NetId a, NetId b) {
                return claim(drawing, board, net, a) < claim(drawing, board, net, b);
            });
            net_of_drawing.emplace(net, best);
        }
    bool whole = true;
    const auto across = [&](NetId& net) {
        const auto known = net_of_drawing.find(net);
        if (known == net_of_drawing.end()) whole = false;
        else net = known->second;
    };
    Setup setup = *drawing.setup;
    for (Supply& supply : setup.supplies) across(supply.plus), across(supply.minus);
    if (setup.source) across(setup.source->net), across(setup.source->back);
    if (setup.load) across(setup.load->net), across(setup.load->back);
    std::vector<Control> controls;
    for (Control control : setup.controls)
        for (const PartPair& pair : comparison.parts)
            if (pair.drawing == control.part) {
                control.part = pair.board;
                controls.push_back(control);
            }
    setup.controls = std::move(controls);
    if (whole) out.setup = std::move(setup);
    return out;
}

std::optional<Reading> Trial::reading_for(const Reading& reading) const {
    Reading out = reading;
    for (std::optional<Place>* place : {&out.at, &out.to}) {
        if (!*place) continue;
        if (!(*place)->net) return {};
        const std::optional<NetId> net = paired_net(*(*place)->net);
        if (!net) return {};
        (*place)->net = net;
        if ((*place)->pin) {
            const auto pin = pin_of_board_.find(*(*place)->pin);
            (*place)->pin = pin == pin_of_board_.end() ? std::nullopt : std::optional(pin->second);
        }
    }
    out.without.clear();
    for (PartId part : reading.without)
        if (const std::optional<PartId> drawn = part_for(part)) out.without.push_back(*drawn);
    if (reading.through_pin) {
        const auto pin = pin_of_board_.find(*reading.through_pin);
        if (pin == pin_of_board_.end()) return {};
        out.through_pin = pin->second;
    } else if (reading.what == ReadingWhat::current) {
        if (const std::optional<PartId> battery = board_.part(reading.through)) {
            const std::optional<PartId> drawn = part_for(*battery);
            if (!drawn) return {};
            out.through = circuit_[*drawn].ref;
        } else if (board_.setup && circuit_.setup) {
            // The drawing may call the supply otherwise: the one between the same nets.
            for (const Supply& supply : board_.setup->supplies)
                if (supply.name == reading.through)
                    for (const Supply& drawn : circuit_.setup->supplies)
                        if (paired_net(supply.plus) == drawn.plus && paired_net(supply.minus) == drawn.minus) out.through = drawn.name;
        }
    }
    return out;
}

}  // namespace tallyboard::detail
