#include "circuit/packages.h"

#include <algorithm>
#include <map>

#include "circuit/symmetry.h"

namespace tallyboard {
namespace {

// Where a member's pins go in a whole: per member pin the whole's pin, or none.
using Places = std::vector<std::vector<std::optional<std::uint32_t>>>;

bool says_something(PinState state) { return state == PinState::traced || state == PinState::nowhere; }

// How many members of each kind are put together.
std::map<std::string, int> count_kinds(const Circuit& circuit, const std::vector<PartId>& members) {
    std::map<std::string, int> out;
    for (PartId member : members) ++out[circuit.kind_of(circuit[member]).name];
    return out;
}

// The sections of `whole` that take `count` members of a kind: those for exactly so many where there are such, else those that
// are always there, if they are enough.
std::vector<const KindSection*> sections_for(const Kind& whole, const std::string& kind, int count) {
    std::vector<const KindSection*> exact, always;
    for (const KindSection& section : whole.sections) {
        if (section.kind != kind) continue;
        if (section.of == count) exact.push_back(&section);
        if (section.of == 0) always.push_back(&section);
    }
    if (!exact.empty()) return exact;
    return static_cast<int>(always.size()) >= count ? always : std::vector<const KindSection*>{};
}

bool can_hold(const Kind& whole, const std::map<std::string, int>& counts) {
    return std::all_of(counts.begin(), counts.end(),
                       [&](const auto& entry) { return !sections_for(whole, entry.first, entry.second).empty(); });
}

// A seat for each member in turn: which section, turned how, so that no pin of the whole is given two nets. Depth-first over
// the few choices there are; members take the sections in file order where that fits.
class Seating {
public:
    Seating(const Circuit& circuit, const std::vector<PartId>& members, const Kind& whole)
        : circuit_(circuit), members_(members), whole_(whole), counts_(count_kinds(circuit, members)) {}

    Result<Places> find() {
        places_.clear();
        said_.assign(whole_.pins.size(), {});
        if (seat(0)) return places_;
        return Failure{why_};
    }

private:
    bool seat(std::size_t next) {
        if (next == members_.size()) return true;
        const Part& part = circuit_[members_[next]];
        const Kind& kind = circuit_.kind_of(part);
        std::vector<std::string> names;
        for (const Pin& pin : part.pins) names.push_back(pin.name);
        auto orders = allowed_orders(circuit_.kinds, part.kind, names);
        for (const KindSection* section : sections_for(whole_, kind.name, counts_[kind.name])) {
            if (std::find(taken_.begin(), taken_.end(), section) != taken_.end()) continue;
            for (const auto& order : orders) {
                auto said = said_;
                std::vector<std::optional<std::uint32_t>> places(part.pins.size());
                if (take(members_[next], *section, order, places)) {
                    taken_.push_back(section);
                    places_.push_back(places);
                    if (seat(next + 1)) return true;
                    places_.pop_back();
                    taken_.pop_back();
                }
                said_ = std::move(said);
            }
        }
        return false;
    }

    bool take(PartId member, const KindSection& section, const std::vector<std::uint32_t>& order,
              std::vector<std::optional<std::uint32_t>>& places) {
        const Part& part = circuit_[member];
        for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
            // The member's pin order[i] stands where pin i of the section belongs.
            std::uint32_t written = order[i];
            for (const auto& [pin, place] : section.pins)
                if (pin == part.pins[i].name) places[written] = whole_.pin(place);
            if (!places[written] || !says_something(part.pins[written].state)) continue;
            std::optional<PinId>& said = said_[*places[written]];
            PinId here{member, written};
            if (!said) said = here;
            else if (!agree(*said, here)) return note_conflict(*places[written], *said, here);
        }
        return true;
    }

    bool agree(PinId a, PinId b) const {
        const Pin &x = circuit_[a], &y = circuit_[b];
        return x.state == y.state && (x.state == PinState::nowhere || x.net == y.net);
    }

    // Keeps the words of the first conflict met: the one of the file's own order.
    bool note_conflict(std::uint32_t place, PinId a, PinId b) {
        if (why_.empty())
            why_ = "pin " + whole_.pins[place].name + " of the " + whole_.name + " is " + net_words(a) + " and " +
                   net_words(b);
        return false;
    }

    std::string net_words(PinId pin) const {
        const Pin& it = circuit_[pin];
        return (it.state == PinState::nowhere ? std::string("not connected") : "on " + net_name(circuit_, it.net)) +
               " by " + pin_name(circuit_, pin);
    }

    const Circuit& circuit_;
    const std::vector<PartId>& members_;
    const Kind& whole_;
    std::map<std::string, int> counts_;
    std::vector<const KindSection*> taken_;
    std::vector<std::optional<PinId>> said_;  // per pin of the whole: who first said where it goes
    Places places_;
    std::string why_;
};

Section as_written(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    Section section{id, part.ref, part.kind, {}};
    for (std::uint32_t i = 0; i < part.pins.size(); ++i)
        section.pins.push_back({part.pins[i].name, part.pins[i].state, part.pins[i].net, PinId{id, i}});
    return section;
}

// The layouts of a whole's sections that this part uses: those always there; of those that depend on how many there are, the
// most whose pins are all said (two heaters where the middle is wired, else one where its ends are, else none).
std::vector<const KindSection*> layout_of(const Kind& whole, const Part& part) {
    std::map<std::string, int> best;
    for (const KindSection& section : whole.sections) {
        if (section.of == 0) continue;
        bool all_said = std::all_of(section.pins.begin(), section.pins.end(), [&](const auto& entry) {
            auto at = whole.pin(entry.second);
            return at && says_something(part.pins[*at].state);
        });
        if (all_said) best[section.kind] = std::max(best[section.kind], section.of);
    }
    std::vector<const KindSection*> out;
    for (const KindSection& section : whole.sections) {
        auto chosen = best.find(section.kind);
        if (section.of == 0 || (chosen != best.end() && chosen->second == section.of)) out.push_back(&section);
    }
    return out;
}

std::vector<Section> split_whole(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    const Kind& whole = circuit.kind_of(part);
    std::vector<Section> out;
    for (const KindSection* layout : layout_of(whole, part)) {
        auto kind = circuit.kinds.find(layout->kind);
        if (!kind) continue;
        Section section{id, part.ref + section_letters(out.size()), *kind, {}};
        for (const KindPin& pin : circuit.kinds[*kind].pins) {
            SectionPin here{pin.name, PinState::undrawn, {}, PinId{id, 0}};
            for (const auto& [name, place] : layout->pins)
                if (auto at = whole.pin(place); name == pin.name && at)
                    here = {pin.name, part.pins[*at].state, part.pins[*at].net, PinId{id, *at}};
            section.pins.push_back(here);
        }
        out.push_back(std::move(section));
    }
    return out;
}

// Pins that another section of the package gives.
void share_pins(const Circuit& circuit, std::vector<Section>& sections) {
    std::map<PartId, std::size_t> at;
    for (std::size_t i = 0; i < sections.size(); ++i) at.emplace(sections[i].part, i);
    for (const Package& package : packages_of(circuit)) {
        const Kind& whole = circuit.kinds[package.holders.front()];
        auto places = Seating(circuit, package.members, whole).find();
        if (!places) continue;  // the reader has refused such a file; a circuit built otherwise keeps its pins as they are
        std::map<std::uint32_t, PinId> given;
        for (std::size_t m = 0; m < package.members.size(); ++m)
            for (std::uint32_t i = 0; i < (*places)[m].size(); ++i)
                if (auto place = (*places)[m][i]; place && says_something(circuit[package.members[m]].pins[i].state))
                    given.emplace(*place, PinId{package.members[m], i});
        for (std::size_t m = 0; m < package.members.size(); ++m) {
            Section& section = sections[at.at(package.members[m])];
            for (std::uint32_t i = 0; i < section.pins.size(); ++i) {
                auto place = (*places)[m][i];
                if (says_something(section.pins[i].state) || !place || !given.count(*place)) continue;
                PinId from = given.at(*place);
                section.pins[i].state = circuit[from].state;
                section.pins[i].net = circuit[from].net;
                section.pins[i].from = from;
            }
        }
    }
}

}  // namespace

std::string section_letters(std::size_t index) {
    std::string out(1, static_cast<char>('A' + index % 26));
    return index < 26 ? out : section_letters(index / 26 - 1) + out;
}

std::vector<Section> sections_of(const Circuit& circuit) {
    std::vector<Section> sections;
    for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
        const Part& part = circuit.parts[i];
        if (part.fit == Fit::no) continue;
        if (circuit.kind_of(part).sections.empty()) {
            sections.push_back(as_written(circuit, PartId{i}));
        } else {
            for (Section& section : split_whole(circuit, PartId{i})) sections.push_back(std::move(section));
        }
    }
    share_pins(circuit, sections);
    return sections;
}

std::vector<Package> packages_of(const Circuit& circuit) {
    std::vector<Package> packages;
    std::map<std::string_view, std::size_t> known;
    for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
        const Part& part = circuit.parts[i];
        if (part.package.empty() || part.fit == Fit::no) continue;
        auto [at, added] = known.emplace(part.package, packages.size());
        if (added) packages.push_back({part.package, {}, {}});
        packages[at->second].members.push_back(PartId{i});
    }
    for (Package& package : packages) {
        auto counts = count_kinds(circuit, package.members);
        for (std::uint32_t k = 0; k < circuit.kinds.size(); ++k)
            if (!circuit.kinds[KindId{k}].sections.empty() && can_hold(circuit.kinds[KindId{k}], counts))
                package.holders.push_back(KindId{k});
        std::stable_sort(package.holders.begin(), package.holders.end(), [&](KindId a, KindId b) {
            return circuit.kinds[a].pins.size() < circuit.kinds[b].pins.size();
        });
    }
    std::erase_if(packages, [](const Package& package) { return package.holders.empty(); });
    return packages;
}

Result<std::vector<WholePin>> assemble(const Circuit& circuit, const std::vector<PartId>& members, KindId kind) {
    const Kind& whole = circuit.kinds[kind];
    if (!can_hold(whole, count_kinds(circuit, members)))
        return Failure{"a " + whole.name + " cannot hold these sections"};
    auto places = Seating(circuit, members, whole).find();
    if (!places) return Failure{places.error()};
    std::vector<WholePin> pins(whole.pins.size(), WholePin{PinState::undrawn, {}, {}});
    for (std::size_t m = 0; m < members.size(); ++m)
        for (std::uint32_t i = 0; i < (*places)[m].size(); ++i) {
            if (!(*places)[m][i]) continue;
            const Pin& written = circuit[members[m]].pins[i];
            WholePin& pin = pins[*(*places)[m][i]];
            if (written.state != PinState::undrawn) pin.from.push_back(PinId{members[m], i});
            if (says_something(pin.state) || written.state == PinState::undrawn) continue;
            pin.state = written.state;
            pin.net = written.net;
        }
    return pins;
}

}  // namespace tallyboard
