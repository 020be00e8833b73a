#include "review/wiring.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include "base/classes.h"
#include "review/net_names.h"
#include "review/terminals.h"

namespace tallyboard::detail {

namespace {

// Where a pin goes: a node (a drawn net, or a new one behind these), nowhere, or as it is.
constexpr std::size_t nowhere = static_cast<std::size_t>(-1);
constexpr std::size_t as_is = static_cast<std::size_t>(-2);

// Terminals that go from one drawn class of nets to one found class and are kept together.
struct Cell {
    std::vector<std::size_t> terminals;
    bool split = false, split_accepted = false;    // a further piece of the drawn net
    bool joined = false, joined_accepted = false;  // a further net of the found one
};

void join_conductors(const Circuit& circuit, Classes& nets) {
    for (const Part& part : circuit.parts) {
        if (!circuit.kind_of(part).conductor || part.fit == Fit::no) continue;
        if (const auto across = nets_across(part)) nets.join(across->first.index, across->second.index);
    }
}

void join_across(const Circuit& circuit, const std::vector<PartId>& parts, Classes& nets) {
    for (PartId id : parts)
        if (const auto across = nets_across(circuit[id])) nets.join(across->first.index, across->second.index);
}

bool adds_parts(const Finding& finding) {
    return finding.what == What::extra || finding.what == What::inserted || finding.what == What::equivalent;
}

class WiringPlan {
public:
    WiringPlan(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Accepts& accepts)
        : drawing_(drawing), board_(board), comparison_(comparison), accepts_(accepts),
          terminals_(paired_terminals(drawing, board, comparison)), drawn_(drawing.nets.size()),
          found_(board.nets.size()), pieces_(board.nets.size()), nodes_(drawing.nets.size()),
          names_(drawing) {
        make_classes();
        make_cells();
        choose_main_pieces();
        unite();
        mark_reached();
        place_pins();
        turn();
        tie_shared_pins();
    }

    Wiring wiring();

private:
    using CellKey = std::pair<std::size_t, std::size_t>;

    // Nets as the comparison counts them: links are one net; so are the two nets of what is inserted or bypassed. `pieces_`
    // holds only those insertions as one that are not carried out.
    void make_classes() {
        join_conductors(drawing_, drawn_);
        join_conductors(board_, found_);
        join_conductors(board_, pieces_);
        for (const Finding& finding : comparison_.findings) {
            if (finding.what == What::bypassed) join_across(drawing_, finding.drawing_parts, drawn_);
            if (finding.what != What::inserted) continue;
            join_across(board_, finding.board_parts, found_);
            if (!accepts_(finding)) join_across(board_, finding.board_parts, pieces_);
            else listed_.insert(finding.drawing_pins.begin(), finding.drawing_pins.end());
        }
    }

    std::optional<CellKey> cell_of(const PairedTerminal& terminal) const {
        const Pin& pin = drawing_[terminal.drawn];
        if (pin.state != PinState::traced || terminal.state != PinState::traced) return {};
        return CellKey{drawn_.of(pin.net.index), found_.of(terminal.found.index)};
    }

    void make_cells() {
        for (const Finding& finding : comparison_.findings)
            if (finding.what == What::moved)
                for (PinId pin : finding.drawing_pins) moved_[pin] = accepts_(finding);
        for (std::size_t i = 0; i < terminals_.size(); ++i)
            if (const auto key = cell_of(terminals_[i]); key && !moved_.count(terminals_[i].drawn)) cells_[*key].terminals.push_back(i);
        for (const Finding& finding : comparison_.findings) {
            if (finding.what != What::split && finding.what != What::joined) continue;
            for (PinId pin : finding.drawing_pins)
                for (std::size_t i = 0; i < terminals_.size(); ++i) {
                    const auto key = terminals_[i].drawn == pin ? cell_of(terminals_[i]) : std::nullopt;
                    const auto cell = key ? cells_.find(*key) : cells_.end();
                    if (cell == cells_.end()) continue;
                    const bool split = finding.what == What::split;
                    (split ? cell->second.split : cell->second.joined) = true;
                    (split ? cell->second.split_accepted : cell->second.joined_accepted) |= accepts_(finding);
                }
        }
    }

    // Of a found net cut up by accepted insertions, the piece that stays on the drawn net: the one with most terminals; of
    // equal ones the one of the drawn net's name, then the one that the findings do not say changes.
    void choose_main_pieces() {
        struct Weight {
            std::size_t unnamed = 0, all = 0, namesakes = 0;
        };
        std::map<std::size_t, Weight> weights;
        for (const auto& [key, cell] : cells_)
            for (std::size_t i : cell.terminals) {
                Weight& weight = weights[pieces_.of(terminals_[i].found.index)];
                if (!listed_.count(terminals_[i].drawn)) ++weight.unnamed;
                ++weight.all;
                if (drawing_[drawing_[terminals_[i].drawn].net].name == board_[terminals_[i].found].name) ++weight.namesakes;
            }
        const auto rank = [&](std::size_t piece) {
            const Weight& weight = weights[piece];
            return std::tuple(weight.all, weight.namesakes, weight.unnamed);
        };
        for (std::size_t net = 0; net < board_.nets.size(); ++net) {
            const std::size_t piece = pieces_.of(net), whole = found_.of(net);
            const auto known = main_piece_.find(whole);
            if (known == main_piece_.end() || rank(piece) > rank(known->second)) main_piece_[whole] = piece;
        }
    }

    // The drawn net of a class that most of a cell's terminals stand on.
    std::size_t busiest_net(const Cell& cell) const {
        std::map<std::size_t, int> count;
        for (std::size_t i : cell.terminals) ++count[drawing_[terminals_[i].drawn].net.index];
        std::size_t best = count.begin()->first;
        for (const auto& [net, n] : count)
            if (n > count[best]) best = net;
        return best;
    }

    std::size_t new_node(std::size_t found_piece) {
        const auto [at, added] = new_nodes_.try_emplace(found_piece, 0);
        if (added) {
            at->second = nodes_.add();
            made_for_.push_back(found_piece);
        }
        return at->second;
    }

    // The node of a class of found nets: the drawn net it is kept with, or a new one.
    std::size_t node_of_class(std::size_t found_class) {
        if (const auto known = node_of_class_.find(found_class); known != node_of_class_.end()) return known->second;
        const Cell* home = nullptr;
        for (const auto& [key, cell] : cells_)
            if (key.second == found_class && !cell.joined && !home) home = &cell;
        std::size_t node = 0;
        if (home && !(home->split && home->split_accepted)) node = busiest_net(*home);
        else if (const auto paired = home ? std::nullopt : paired_net(found_class)) node = *paired;
        else node = new_node(main_piece_.at(found_class));
        node_of_class_[found_class] = node;
        return node;
    }

    // A found net without a terminal of a paired part may still be paired with a drawn one.
    std::optional<std::size_t> paired_net(std::size_t found_class) const {
        for (const NetPair& pair : comparison_.nets)
            for (NetId net : pair.board)
                if (found_.of(net.index) == found_class && !pair.drawing.empty()) return pair.drawing.front().index;
        return {};
    }

    std::size_t node_of(NetId found) {
        const std::size_t whole = found_.of(found.index), piece = pieces_.of(found.index);
        return main_piece_.at(whole) == piece ? node_of_class(whole) : new_node(piece);
    }

    // Nets that become one: what an accepted bypass stood between, and accepted joins.
    void unite() {
        for (const Finding& finding : comparison_.findings)
            if (finding.what == What::bypassed && accepts_(finding)) join_across(drawing_, finding.drawing_parts, nodes_);
        for (const auto& [key, cell] : cells_) {
            if (!cell.joined_accepted || (cell.split && cell.split_accepted)) continue;
            std::set<std::size_t> nets;
            for (std::size_t i : cell.terminals) nets.insert(drawing_[terminals_[i].drawn].net.index);
            const std::size_t node = node_of_class(key.second);
            for (std::size_t net : nets) nodes_.join(net, node);
        }
        with_links_ = nodes_;
        for (std::size_t net = 0; net < drawn_.size(); ++net) with_links_.join(net, drawn_.of(net));
    }

    // Whether a node is the net a pin stands on anyway, links counted, and what a bypass that is not carried out stands between.
    bool is_own(std::size_t node, NetId own) const {
        return node < with_links_.size() && with_links_.of(node) == with_links_.of(own.index);
    }

    std::size_t place_of(const PairedTerminal& terminal) {
        const Pin& pin = drawing_[terminal.drawn];
        if (const auto moved = moved_.find(terminal.drawn); moved != moved_.end()) {
            if (!moved->second) return as_is;
            return terminal.state == PinState::traced ? node_of(terminal.found) : nowhere;
        }
        // A pin drawn as going nowhere, where the correction brings something to its counterpart's net.
        if (pin.state == PinState::nowhere && terminal.state == PinState::traced && reached_.count(found_.of(terminal.found.index)))
            return node_of(terminal.found);
        const auto key = cell_of(terminal);
        if (!key) return as_is;
        const Cell& cell = cells_.at(*key);
        if (cell.split && !cell.split_accepted) return as_is;
        if (cell.joined && !cell.joined_accepted) {
            if (!cell.split) return as_is;
            // Cut off, but not joined to the other: a net of its own.
            const auto [at, added] = own_nodes_.try_emplace(*key, 0);
            if (added) {
                at->second = nodes_.add();
                made_for_.push_back(pieces_.of(terminal.found.index));
            }
            return at->second;
        }
        const std::size_t node = node_of(terminal.found);
        return is_own(node, pin.net) ? as_is : node;
    }

    // Found nets that a part added or a pin moved comes to.
    void mark_reached() {
        for (const Finding& finding : comparison_.findings) {
            if (!accepts_(finding)) continue;
            if (adds_parts(finding))
                for (PartId id : finding.board_parts)
                    for (const Pin& pin : board_[id].pins)
                        if (pin.state == PinState::traced) reached_.insert(found_.of(pin.net.index));
            if (finding.what == What::moved && finding.board_net) reached_.insert(found_.of(finding.board_net->index));
        }
    }

    void place_pins() {
        places_.resize(drawing_.parts.size());
        for (std::size_t i = 0; i < places_.size(); ++i) places_[i].assign(drawing_.parts[i].pins.size(), as_is);
        for (const PairedTerminal& terminal : terminals_) place(terminal.drawn) = place_of(terminal);
    }

    // What is drawn at a pin, its place counted: for moving it to another pin.
    struct Standing { PinState state; std::size_t node; };
    Standing standing(PinId id) {
        const Pin& pin = drawing_[id];
        if (place(id) == nowhere) return {PinState::nowhere, 0};
        if (place(id) != as_is) return {PinState::traced, place(id)};
        return {pin.state, pin.net.index};
    }

    void turn() {
        for (const Finding& finding : comparison_.findings) {
            if (finding.what != What::reversed || !accepts_(finding) || kind_changes(finding)) continue;
            std::vector<std::pair<PinId, Standing>> turned;
            std::set<PinId> left;
            for (const TurnedPin& pin : turned_pins(drawing_, board_, comparison_, finding)) {
                if (pin.to) turned.emplace_back(*pin.to, standing(pin.from));
                left.insert(pin.from);
            }
            for (const auto& [to, what] : turned) {
                left.erase(to);
                if (what.state == PinState::traced) place(to) = what.node;
                else if (what.state == PinState::nowhere) place(to) = nowhere;
                else unknown_.insert(to);
            }
            unknown_.insert(left.begin(), left.end());
        }
    }

    // A part that becomes another kind takes its pins' names from the board, which turns it in the same stroke.
    bool kind_changes(const Finding& reversed) const {
        return std::any_of(comparison_.findings.begin(), comparison_.findings.end(), [&](const Finding& finding) {
            return finding.what == What::kind && accepts_(finding) && finding.drawing_parts == reversed.drawing_parts;
        });
    }

    void tie_shared_pins() {
        for (const std::vector<PinId>& group : shared_pins(drawing_)) {
            std::size_t common = as_is;
            for (PinId id : group)
                if (place(id) != as_is && common == as_is) common = place(id);
            for (PinId id : group)
                if (common != as_is && drawing_[id].state == PinState::traced) place(id) = common;
        }
    }

    std::size_t& place(PinId id) { return places_[id.part.index][id.pin]; }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const Accepts& accepts_;
    const std::vector<PairedTerminal> terminals_;
    Classes drawn_, found_, pieces_;
    Classes nodes_;                                    // drawn nets, then new ones
    Classes with_links_;                               // the same, links and bypasses counted
    NetNames names_;
    std::map<PinId, bool> moved_;                      // drawn pin → accepted
    std::set<PinId> listed_, unknown_;
    std::set<std::size_t> reached_;
    std::map<CellKey, Cell> cells_;
    std::map<std::size_t, std::size_t> main_piece_, node_of_class_, new_nodes_;
    std::map<CellKey, std::size_t> own_nodes_;
    std::vector<std::size_t> made_for_;                // new node, counted from the drawn nets → the found piece it was made for
    std::vector<std::vector<std::size_t>> places_;

    std::string found_name(std::size_t piece) const {
        for (std::size_t net = 0; net < board_.nets.size(); ++net)
            if (pieces_.of(net) == piece && !board_.nets[net].name.empty()) return board_.nets[net].name;
        return "";
    }
    NetRole found_role(std::size_t piece) const {
        for (std::size_t net = 0; net < board_.nets.size(); ++net)
            if (pieces_.of(net) == piece && board_.nets[net].role != NetRole::unsaid) return board_.nets[net].role;
        return NetRole::unsaid;
    }
    // Of nets that become one, the name that stays: one with a role, one declared, the one with most pins, the first.
    std::string drawn_name(std::size_t root) const {
        const Net* best = nullptr;
        const auto rank = [](const Net& net) { return std::tuple(net.role != NetRole::unsaid, net.declared, net.pins.size()); };
        for (std::size_t net = 0; net < drawing_.nets.size(); ++net)
            if (nodes_.of(net) == root && !drawing_.nets[net].name.empty() && (!best || rank(drawing_.nets[net]) > rank(*best)))
                best = &drawing_.nets[net];
        return best ? best->name : "";
    }
};

Wiring WiringPlan::wiring() {
    Wiring wiring;
    std::map<std::size_t, std::string> names;  // root → name
    const auto name_of = [&](std::size_t node) -> const std::string& {
        const std::size_t root = nodes_.of(node);
        const auto [at, added] = names.try_emplace(root);
        if (!added) return at->second;
        at->second = drawn_name(root);
        if (at->second.empty()) {
            std::size_t piece = nowhere;
            for (std::size_t made = 0; made < made_for_.size() && piece == nowhere; ++made)
                if (nodes_.of(drawing_.nets.size() + made) == root) piece = made_for_[made];
            at->second = names_.take(piece == nowhere ? "" : found_name(piece));
            wiring.new_nets.push_back({at->second, piece == nowhere ? NetRole::unsaid : found_role(piece)});
        }
        return at->second;
    };

    // Nets that no one has named take a name only when something else comes to them.
    std::set<std::size_t> visited;
    for (std::size_t part = 0; part < places_.size(); ++part)
        for (std::size_t pin = 0; pin < places_[part].size(); ++pin)
            if (places_[part][pin] != as_is && places_[part][pin] != nowhere) visited.insert(nodes_.of(places_[part][pin]));
    for (const Finding& finding : comparison_.findings) {
        if (!adds_parts(finding) || !accepts_(finding)) continue;
        for (PartId id : finding.board_parts)
            for (const Pin& pin : board_[id].pins)
                if (pin.state == PinState::traced) visited.insert(nodes_.of(node_of(pin.net)));
    }

    wiring.net_names.resize(drawing_.nets.size());
    for (std::size_t net = 0; net < drawing_.nets.size(); ++net) {
        const std::size_t root = nodes_.of(net);
        const std::string kept = drawn_name(root);
        wiring.net_names[net] = kept.empty() && visited.count(root) ? name_of(net) : kept;
    }
    wiring.pins.resize(places_.size());
    for (std::size_t part = 0; part < places_.size(); ++part)
        for (std::size_t i = 0; i < places_[part].size(); ++i) {
            const Pin& pin = drawing_.parts[part].pins[i];
            const std::size_t place = places_[part][i];
            PinAfter after{pin.state, "", false};
            if (place == nowhere) after.state = PinState::nowhere;
            else if (place != as_is) after.state = PinState::traced;
            if (unknown_.count({PartId{static_cast<std::uint32_t>(part)}, static_cast<std::uint32_t>(i)})) after.state = PinState::untraced;
            if (after.state == PinState::traced) after.net = place == as_is ? wiring.net_names[pin.net.index] : name_of(place);
            const std::string now = pin.state == PinState::traced ? drawing_[pin.net].name : "";
            after.changed = after.state != pin.state || after.net != now;
            wiring.pins[part].push_back(after);
        }
    wiring.names_of_found.resize(board_.nets.size());
    for (const Finding& finding : comparison_.findings) {
        if (!adds_parts(finding) || !accepts_(finding)) continue;
        for (PartId id : finding.board_parts)
            for (const Pin& pin : board_[id].pins)
                if (pin.state == PinState::traced) wiring.names_of_found[pin.net.index] = name_of(node_of(pin.net));
    }
    return wiring;
}

}  // namespace

Wiring corrected_wiring(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Accepts& accepts) {
    return WiringPlan(drawing, board, comparison, accepts).wiring();
}

}  // namespace tallyboard::detail
