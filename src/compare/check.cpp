// The checker: what a comparison claims, worked out again from the definition. Dull on purpose, so that it can be believed; it
// uses none of the search's tables.
#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <tuple>

#include "circuit/packages.h"
#include "compare/check_orders.h"
#include "compare/compare.h"

namespace tallyboard {
namespace {

using detail::Seen;
using detail::order_cost;

int price(What what) {
    switch (what) {
        case What::value: case What::kind: case What::reversed: return 1;
        case What::moved: return 2;
        case What::missing: case What::extra: case What::split: case What::joined: return 3;
        case What::inserted: case What::bypassed: return 4;
        case What::equivalent: case What::drift: case What::unverified: return 0;
    }
    return 0;
}

std::string word(What what) {
    static const char* const words[] = {"value", "kind", "reversed", "moved", "missing", "extra", "split", "joined", "inserted",
                                        "bypassed", "equivalent", "drift", "unverified"};
    return words[static_cast<int>(what)];
}

// Sets that are put together one by one.
class Sets {
public:
    int add() { parent_.push_back(static_cast<int>(parent_.size())); return parent_.back(); }
    int root(int a) const {
        while (parent_[a] != a) a = parent_[a];
        return a;
    }
    void unite(int a, int b) {
        a = root(a), b = root(b);
        parent_[std::max(a, b)] = std::min(a, b);
    }
    std::size_t size() const { return parent_.size(); }

private:
    std::vector<int> parent_;
};

// One file: its units (a part, or the sections of a package), which of them count, and its nets with links carried out.
struct File {
    const Circuit& circuit;
    std::vector<int> unit_of;                   // written part -> unit; -1: does not count
    std::vector<std::vector<PartId>> members;   // unit -> written parts
    std::vector<std::string> name;              // unit -> reference or package
    std::map<PinId, PinId> same_pin;            // pins of sections that are one pin of the package -> the first of them
    Sets nets;                                  // the file's nets, then one for each pin that goes nowhere
    std::map<PinId, int> nowhere;

    File(const Circuit& given, const std::string& on) : circuit(given), unit_of(given.parts.size(), -1) {
        for (std::size_t i = 0; i < circuit.nets.size(); ++i) nets.add();
        std::map<std::uint32_t, int> package_unit;
        for (const Package& package : packages_of(circuit)) {
            const int unit = add_unit(package.name);
            for (PartId member : package.members) {
                package_unit[member.index] = unit;
                if (counts(circuit[member], on)) members[unit].push_back(member);
            }
            note_shared_pins(package, unit);
        }
        for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
            const Part& part = circuit.parts[i];
            if (part.fit != Fit::no && (on.empty() || part.on == on) && circuit.kind_of(part).conductor) carry_out_link(part);
            if (!counts(part, on)) continue;
            const auto at = package_unit.find(i);
            unit_of[i] = at != package_unit.end() ? at->second : add_unit(part.ref);
            if (at == package_unit.end()) members[unit_of[i]].push_back(PartId{i});
            for (std::uint32_t k = 0; k < part.pins.size(); ++k)
                if (part.pins[k].state == PinState::nowhere) nowhere[{PartId{i}, k}] = nets.add();
        }
    }

    bool counts(const Part& part, const std::string& on) const {
        return part.fit != Fit::no && (on.empty() || part.on == on) && !circuit.kind_of(part).conductor;
    }
    int add_unit(const std::string& called) {
        members.emplace_back();
        name.push_back(called);
        return static_cast<int>(members.size()) - 1;
    }
    void carry_out_link(const Part& part) {
        for (const Pin& pin : part.pins)
            for (const Pin& other : part.pins)
                if (pin.state == PinState::traced && other.state == PinState::traced)
                    nets.unite(static_cast<int>(pin.net.index), static_cast<int>(other.net.index));
    }
    void note_shared_pins(const Package& package, int unit) {
        const auto pins = assemble(circuit, members[unit], package.holders.front());
        if (!pins) return;
        for (const WholePin& pin : *pins) {
            const auto said = std::find_if(pin.from.begin(), pin.from.end(), [&](PinId from) { return has_terminal(from); });
            for (PinId from : pin.from) same_pin[from] = said == pin.from.end() ? pin.from.front() : *said;
        }
    }
    PinId canonical(PinId pin) const {
        const auto at = same_pin.find(pin);
        return at == same_pin.end() ? pin : at->second;
    }
    bool has_terminal(PinId pin) const {
        return circuit[pin].state == PinState::traced || circuit[pin].state == PinState::nowhere;
    }
    // Root of the net of a pin that has a terminal.
    int net(PinId pin) const {
        return nets.root(circuit[pin].state == PinState::traced ? static_cast<int>(circuit[pin].net.index) : nowhere.at(pin));
    }
    // The distinct terminals of a unit; of a package's pin that several sections name, the first that says where it goes.
    std::set<PinId> terminals(int unit) const {
        std::set<PinId> result;
        for (PartId member : members[unit])
            for (std::uint32_t k = 0; k < circuit[member].pins.size(); ++k)
                if (has_terminal({member, k})) result.insert(canonical({member, k}));
        return result;
    }
    bool optional(int unit) const {
        return std::all_of(members[unit].begin(), members[unit].end(),
                           [&](PartId member) { return circuit[member].fit == Fit::optional; });
    }
};

class Checker {
public:
    Checker(const Circuit& drawing, const Circuit& board, const Comparison& comparison)
        : drawing_(drawing, board.on), board_(board, ""), said_(comparison) {}

    std::vector<std::string> run() {
        check_sums();
        pair_units();
        settle_leftovers();
        if (!wrong_.empty()) return wrong_;   // what follows leans on the pairs
        check_pairs();
        count_cells();
        check_nets();
        check_places();
        return wrong_;
    }

private:
    File drawing_, board_;
    const Comparison& said_;
    std::vector<std::string> wrong_;
    std::map<int, int> to_board_, to_drawing_;                   // units
    std::map<PinId, PinId> partner_;                             // drawn terminal or pin -> found pin, both canonical
    std::map<PinId, PinId> partner_of_found_;
    std::set<int> drawn_left_, found_left_;                      // units in findings that say they have no partner
    struct Cell { int drawn, found; friend auto operator<=>(const Cell&, const Cell&) = default; };
    std::map<Cell, int> cells_;
    std::set<PinId> moved_;

    void complain(const std::string& what) { wrong_.push_back(what); }
    void expect(bool holds, const std::string& what) { if (!holds) complain(what); }
    std::string drawn_pin(PinId pin) const { return pin_name(drawing_.circuit, pin); }

    void check_sums() {
        int sum = 0;
        std::set<std::string> ids;
        for (const Finding& finding : said_.findings) {
            sum += finding.cost;
            expect(finding.cost == price(finding.what), finding.id + " costs " + std::to_string(finding.cost));
            expect(ids.insert(finding.id).second, finding.id + " is told twice");
            expect(finding.id.starts_with(word(finding.what) + "@"), finding.id + " does not begin with what it is");
            expect(!finding.says.empty(), finding.id + " gives no reason");
        }
        expect(sum == said_.cost, "the findings cost " + std::to_string(sum) + ", the comparison says " + std::to_string(said_.cost));
        expect(said_.agree == (said_.cost == 0), "agree is not whether anything costs");
        expect(said_.bound >= 0 && said_.bound <= said_.cost, "the bound is not between 0 and the cost");
        expect(!said_.proved || said_.bound == said_.cost, "proved, but the bound is not the cost");
        const auto units = [](const File& file) {
            return static_cast<std::size_t>(std::count_if(file.members.begin(), file.members.end(),
                                                          [](const auto& members) { return !members.empty(); }));
        };
        expect(said_.drawing_parts == units(drawing_), "the drawing has " + std::to_string(units(drawing_)) + " parts");
        expect(said_.board_parts == units(board_), "the board has " + std::to_string(units(board_)) + " parts");
    }

    void pair_units() {
        for (const PartPair& pair : said_.parts) {
            const std::string& ref = drawing_.circuit[pair.drawing].ref;
            const int drawn = drawing_.unit_of[pair.drawing.index], found = board_.unit_of[pair.board.index];
            if (drawn < 0 || found < 0) { complain(ref + " is paired though one of the two does not count"); continue; }
            expect(to_board_.emplace(drawn, found).first->second == found, ref + " has two partners");
            expect(to_drawing_.emplace(found, drawn).first->second == drawn, board_.name[found] + " has two partners");
            const Part& part = drawing_.circuit[pair.drawing];
            if (pair.board_pins.size() != part.pins.size()) { complain(ref + " does not say a partner for each pin"); continue; }
            for (std::uint32_t k = 0; k < part.pins.size(); ++k)
                if (pair.board_pins[k]) pair_pins(drawing_.canonical({pair.drawing, k}), board_.canonical(*pair.board_pins[k]), found);
        }
    }

    void pair_pins(PinId drawn, PinId found, int found_unit) {
        expect(board_.unit_of[found.part.index] == found_unit, drawn_pin(drawn) + " goes to a pin of another part");
        expect(partner_.emplace(drawn, found).first->second == found, drawn_pin(drawn) + " has two partners");
        expect(partner_of_found_.emplace(found, drawn).first->second == drawn,
               pin_name(board_.circuit, found) + " has two partners");
    }

    void leave(const Finding& finding, const File& file, const std::vector<PartId>& parts, const std::map<int, int>& paired,
               std::set<int>& left) {
        std::set<int> units;
        for (PartId part : parts) units.insert(file.unit_of[part.index]);
        for (int unit : units) {
            if (unit < 0) { complain(finding.id + " tells of a part that does not count"); continue; }
            expect(!paired.contains(unit), finding.id + ": " + file.name[unit] + " has a partner");
            expect(left.insert(unit).second, finding.id + ": " + file.name[unit] + " is told of twice");
        }
    }

    void settle_leftovers() {
        for (const Finding& finding : said_.findings) {
            const bool untraced = finding.what == What::unverified && !board_.circuit.complete && finding.drawing_pins.empty() &&
                                  finding.board_parts.empty();
            const bool drawn = finding.what == What::missing || finding.what == What::bypassed || finding.what == What::equivalent;
            const bool found = finding.what == What::extra || finding.what == What::inserted || finding.what == What::equivalent;
            if (drawn || untraced) leave(finding, drawing_, finding.drawing_parts, to_board_, drawn_left_);
            if (found) leave(finding, board_, finding.board_parts, to_drawing_, found_left_);
        }
        const auto all_told = [&](const File& file, const std::map<int, int>& paired, const std::set<int>& left) {
            for (int unit = 0; unit < static_cast<int>(file.members.size()); ++unit)
                if (!file.members[unit].empty() && !file.optional(unit) && !paired.contains(unit) && !left.contains(unit))
                    complain(file.name[unit] + " is neither paired nor told of");
        };
        all_told(drawing_, to_board_, drawn_left_);
        all_told(board_, to_drawing_, found_left_);
    }

    // Findings of that kind, by the drawn unit they tell of.
    std::map<int, int> told(What what) const {
        std::map<int, int> result;
        for (const Finding& finding : said_.findings)
            if (finding.what == what && !finding.drawing_parts.empty())
                ++result[drawing_.unit_of[finding.drawing_parts.front().index]];
        return result;
    }

    void check_pairs() {
        std::map<int, int> values = told(What::value), kinds = told(What::kind), turned = told(What::reversed);
        for (const auto& [drawn, found] : to_board_) {
            const std::string& name = drawing_.name[drawn];
            const Seen seen = detail::seen_as(drawing_.circuit, drawing_.members[drawn], board_.circuit, board_.members[found]);
            if (!seen.can_pair) { complain(name + " and " + board_.name[found] + " have not the same number of pins"); continue; }
            expect(kinds[drawn] == (seen.same_kind ? 0 : 1), name + ": another kind is not told as it is");
            expect(values[drawn] == (value_differs(drawn, found) ? 1 : 0), name + ": another value is not told as it is");
            std::map<PinId, PinId> to;
            for (PinId pin : drawing_.terminals(drawn))
                if (const auto at = partner_.find(pin); at != partner_.end()) to.insert(*at);
            const int cost = order_cost(seen, to);
            if (cost < 0) complain(name + ": its pins may not go to those of " + board_.name[found] + " in that order");
            else expect(turned[drawn] == cost, name + ": reversed is not told as it is");
        }
    }

    bool value_differs(int drawn, int found) const {
        const Value *a = nullptr, *b = nullptr;
        std::string model_a, model_b, taper_a, taper_b;
        const auto gather = [](const File& file, int unit, const Value*& value, std::string& model, std::string& taper) {
            for (PartId member : file.members[unit]) {
                const Part& part = file.circuit[member];
                if (!value) value = part.nominal();
                if (model.empty()) model = part.model;
                if (taper.empty()) taper = part.taper;
            }
        };
        gather(drawing_, drawn, a, model_a, taper_a);
        gather(board_, found, b, model_b, taper_b);
        return (a && b && !(a->quantity == b->quantity && a->number == b->number)) ||
               (!model_a.empty() && !model_b.empty() && !drawing_.circuit.kinds.same_type(model_a, model_b)) ||
               (!taper_a.empty() && !taper_b.empty() && taper_a != taper_b);
    }

    // The two nets that a composite's traced pins stand on become one.
    void contract(const Finding& finding, File& file, int unit, const Sets& before) {
        std::map<int, int> stands;
        for (PinId pin : file.terminals(unit))
            if (file.circuit[pin].state == PinState::traced) ++stands[before.root(static_cast<int>(file.circuit[pin].net.index))];
        if (stands.size() > 2) std::erase_if(stands, [&](const auto& net) { return is_alone(file, net.first, before); });
        if (stands.size() != 2) { complain(finding.id + ": its pins do not stand on exactly two nets"); return; }
        file.nets.unite(stands.begin()->first, stands.rbegin()->first);
    }

    bool is_alone(const File& file, int net, const Sets& before) const {
        int pins = 0;
        for (int unit = 0; unit < static_cast<int>(file.members.size()); ++unit)
            for (PinId pin : file.terminals(unit))
                pins += file.circuit[pin].state == PinState::traced && before.root(static_cast<int>(file.circuit[pin].net.index)) == net;
        return pins < 2;
    }

    void count_cells() {
        const Sets drawn_before = drawing_.nets, found_before = board_.nets;
        for (const Finding& finding : said_.findings)   // as they stand before composites make nets one
            if (finding.what == What::equivalent) add_equivalent(finding);
        for (const Finding& finding : said_.findings) {
            if (finding.what == What::bypassed && !finding.drawing_parts.empty())
                contract(finding, drawing_, drawing_.unit_of[finding.drawing_parts.front().index], drawn_before);
            if (finding.what == What::inserted && !finding.board_parts.empty())
                contract(finding, board_, board_.unit_of[finding.board_parts.front().index], found_before);
        }
        for (const Finding& finding : said_.findings) {
            if (finding.what != What::moved) continue;
            if (finding.drawing_pins.size() != 1) { complain(finding.id + " is not of one terminal"); continue; }
            expect(moved_.insert(drawing_.canonical(finding.drawing_pins.front())).second, finding.id + " moves a terminal again");
        }
        for (const auto& [drawn, found] : partner_)
            if (drawing_.has_terminal(drawn) && board_.has_terminal(found)) ++cells_[{drawing_.net(drawn), board_.net(found)}];
        for (PinId pin : moved_) expect(partner_.contains(pin), drawn_pin(pin) + " is moved but has no partner");
    }

    // The ends of the several go where the single part's pins go.
    void add_equivalent(const Finding& finding) {
        if (finding.drawing_pins.size() != 2 || finding.board_pins.size() != 2) {
            complain(finding.id + " does not say which ends answer to which pins");
            return;
        }
        for (std::size_t i = 0; i < 2; ++i) partner_.emplace(finding.drawing_pins[i], finding.board_pins[i]);
        expect(finding.drawing_parts.size() + finding.board_parts.size() >= 3 &&
                   (finding.drawing_parts.size() == 1 || finding.board_parts.size() == 1),
               finding.id + " is not one part against several");
        const bool several_found = finding.drawing_parts.size() == 1;
        const File &many = several_found ? board_ : drawing_, &one = several_found ? drawing_ : board_;
        const std::vector<PartId>& several = several_found ? finding.board_parts : finding.drawing_parts;
        const PartId single = several_found ? finding.drawing_parts.front() : finding.board_parts.front();
        bool parallel = false;
        expect(stand_together(many, several, parallel), finding.id + ": the parts are neither in series nor in parallel");
        expect(detail::comes_to(many.circuit, several, parallel, one.circuit, single, several_found),
               finding.id + ": the values do not come to that of the single part");
    }

    // Two or three like parts on the same two nets, or one behind the other with nothing else on the nets between.
    bool stand_together(const File& file, const std::vector<PartId>& several, bool& parallel) const {
        std::map<int, int> own;
        for (PartId id : several) {
            if (file.circuit[id].pins.size() != 2 || file.circuit[id].kind != file.circuit[several.front()].kind) return false;
            for (std::uint32_t k = 0; k < 2; ++k) {
                if (!file.has_terminal({id, k})) return false;
                ++own[file.net({id, k})];
            }
        }
        const int count = static_cast<int>(several.size());
        parallel = own.size() == 2 && own.begin()->second == count;
        if (parallel) return true;
        std::map<int, int> all;
        for (int unit = 0; unit < static_cast<int>(file.members.size()); ++unit)
            for (PinId pin : file.terminals(unit)) ++all[file.net(pin)];
        int ends = 0, between = 0;
        for (const auto& [net, n] : own) {
            if (n == 1) ++ends;
            else if (n == 2 && all[net] == 2) ++between;
        }
        return ends == 2 && between == count - 1;
    }

    // A pair of nets is kept while one terminal that is not moved goes from one to the other.
    std::set<Cell> kept_cells() const {
        std::map<Cell, int> left = cells_;
        for (PinId pin : moved_)
            if (const auto at = partner_.find(pin); at != partner_.end() && board_.has_terminal(at->second))
                --left[{drawing_.net(pin), board_.net(at->second)}];
        std::set<Cell> kept;
        for (const auto& [cell, count] : left)
            if (count > 0) kept.insert(cell);
        return kept;
    }

    void check_nets() {
        std::map<int, int> pieces, nets, splits, joins;   // by drawn net, by found net
        for (const Cell& cell : kept_cells()) ++pieces[cell.drawn], ++nets[cell.found];
        for (const Finding& finding : said_.findings) {
            if (finding.what == What::split && finding.drawing_net) ++splits[drawing_.nets.root(static_cast<int>(finding.drawing_net->index))];
            if (finding.what == What::joined && finding.board_net) ++joins[board_.nets.root(static_cast<int>(finding.board_net->index))];
        }
        for (const auto& [net, count] : pieces)
            expect(splits[net] == count - 1, "a net of the drawing is " + std::to_string(count) + " on the board and told split " +
                                                 std::to_string(splits[net]) + " times: " + net_text(drawing_, net));
        for (const auto& [net, count] : nets)
            expect(joins[net] == count - 1, "a net of the board is " + std::to_string(count) + " on the drawing and told joined " +
                                                std::to_string(joins[net]) + " times: " + net_text(board_, net));
        for (const auto& [net, count] : splits) expect(count == 0 || pieces.contains(net), "a net is told split that no terminal is on");
        for (const auto& [net, count] : joins) expect(count == 0 || nets.contains(net), "nets are told joined that no terminal is on");
    }

    static std::string net_text(const File& file, int net) {
        return net < static_cast<int>(file.circuit.nets.size()) ? net_name(file.circuit, NetId{static_cast<std::uint32_t>(net)}) : "-";
    }

    // Every pin and net is paired, or a finding names it or its part.
    void check_places() {
        std::set<PinId> untraced;
        for (const Finding& finding : said_.findings)
            if (finding.what == What::unverified) untraced.insert(finding.drawing_pins.begin(), finding.drawing_pins.end());
        for (const PartPair& pair : said_.parts)
            for (std::uint32_t k = 0; k < pair.board_pins.size(); ++k) {
                const PinId pin{pair.drawing, k};
                if (!drawing_.has_terminal(pin)) continue;
                const bool answered = pair.board_pins[k] && board_.has_terminal(board_.canonical(*pair.board_pins[k]));
                const bool told = untraced.contains(pin) || untraced.contains(drawing_.canonical(pin));
                expect(answered || told, drawn_pin(pin) + " is neither answered nor told unverified");
                expect(!answered || !told, drawn_pin(pin) + " is told unverified though it is traced");
            }
        std::set<int> drawn_paired, found_paired;
        for (const NetPair& pair : said_.nets) {
            expect(!pair.drawing.empty() && !pair.board.empty(), "a pair of nets has one side only");
            for (NetId net : pair.drawing) drawn_paired.insert(static_cast<int>(net.index));
            for (NetId net : pair.board) found_paired.insert(static_cast<int>(net.index));
        }
        for (const Cell& cell : kept_cells()) {
            if (cell.drawn >= static_cast<int>(drawing_.circuit.nets.size()) || cell.found >= static_cast<int>(board_.circuit.nets.size())) continue;
            expect(drawn_paired.contains(cell.drawn), "the drawing's net " + net_text(drawing_, cell.drawn) + " is not in a pair of nets");
            expect(found_paired.contains(cell.found), "the board's net " + net_text(board_, cell.found) + " is not in a pair of nets");
        }
    }
};

}  // namespace

std::vector<std::string> check_comparison(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    return Checker(drawing, board, comparison).run();
}

}  // namespace tallyboard
