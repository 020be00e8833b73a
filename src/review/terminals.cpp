#include "review/terminals.h"

#include <algorithm>
#include <map>
#include <set>

#include "circuit/packages.h"
#include "compare/answering.h"

namespace tallyboard::detail {

namespace {

// Nets at the two ends of several parts in series or parallel: those that an odd number of them share, or, where all stand
// on the same two nets, these.
std::vector<NetId> ends_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::map<NetId, int> count;
    for (PartId id : parts)
        for (const Pin& pin : circuit[id].pins)
            if (pin.state == PinState::traced) ++count[pin.net];
    std::vector<NetId> once, all;
    for (const auto& [net, n] : count) {
        all.push_back(net);
        if (n == 1) once.push_back(net);
    }
    return once.size() == 2 ? once : all;
}

void add_equivalent(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding,
                    std::vector<PairedTerminal>& terminals) {
    const std::vector<NetId> drawn = ends_of(drawing, finding.drawing_parts);
    std::vector<NetId> found = ends_of(board, finding.board_parts);
    if (drawn.size() != 2 || found.size() != 2) return;
    if (answers(comparison, drawn[0], found[1]) || answers(comparison, drawn[1], found[0])) std::swap(found[0], found[1]);
    for (PartId id : finding.drawing_parts)
        for (std::uint32_t i = 0; i < drawing[id].pins.size(); ++i)
            for (std::size_t end = 0; end < 2; ++end) {
                const Pin& pin = drawing[id].pins[i];
                if (pin.state == PinState::traced && pin.net == drawn[end])
                    terminals.push_back({{id, i}, PinState::traced, found[end]});
            }
}

// The name of each pin as the whole package has it; parts that no whole holds: their own pin names.
std::map<PinId, std::string> physical_names(const Circuit& circuit, const std::vector<PartId>& parts,
                                            const std::optional<std::string>& whole) {
    std::map<PinId, std::string> names;
    for (const Package& package : packages_of(circuit)) {
        if (std::find(package.members.begin(), package.members.end(), parts.front()) == package.members.end()) continue;
        if (package.holders.empty()) break;
        KindId holder = package.holders.front();
        for (KindId id : package.holders)
            if (whole && circuit.kinds[id].name == *whole) holder = id;
        const auto pins = assemble(circuit, package.members, holder);
        if (!pins) break;
        for (std::size_t i = 0; i < pins->size(); ++i)
            for (PinId from : (*pins)[i].from) names[from] = circuit.kinds[holder].pins[i].name;
        return names;
    }
    for (PartId id : parts)
        for (std::uint32_t i = 0; i < circuit[id].pins.size(); ++i) names[{id, i}] = circuit[id].pins[i].name;
    return names;
}

}  // namespace

std::optional<std::pair<NetId, NetId>> nets_across(const Part& part) {
    std::set<NetId> nets;
    for (const Pin& pin : part.pins)
        if (pin.state == PinState::traced) nets.insert(pin.net);
    if (nets.size() != 2) return {};
    return std::pair(*nets.begin(), *nets.rbegin());
}

std::vector<PairedTerminal> paired_terminals(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    std::vector<PairedTerminal> terminals;
    for (const PartPair& pair : comparison.parts)
        for (std::uint32_t i = 0; i < pair.board_pins.size(); ++i)
            if (const auto found = pair.board_pins[i])
                terminals.push_back({{pair.drawing, i}, board[*found].state, board[*found].net});
    for (const Finding& finding : comparison.findings)
        if (finding.what == What::equivalent) add_equivalent(drawing, board, comparison, finding, terminals);
    return terminals;
}

std::vector<std::vector<PinId>> shared_pins(const Circuit& circuit) {
    std::vector<std::vector<PinId>> groups;
    for (const Package& package : packages_of(circuit)) {
        if (package.holders.empty()) continue;
        const auto pins = assemble(circuit, package.members, package.holders.front());
        if (!pins) continue;
        for (const WholePin& pin : *pins)
            if (pin.from.size() > 1) groups.push_back(pin.from);
    }
    return groups;
}

std::vector<TurnedPin> turned_pins(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& reversed) {
    std::optional<std::string> drawn_whole, found_whole;
    if (reversed.drawing_parts.size() == 1) drawn_whole = drawing.kind_of(drawing[reversed.drawing_parts.front()]).name;
    if (reversed.board_parts.size() == 1) found_whole = board.kind_of(board[reversed.board_parts.front()]).name;
    const auto drawn_names = physical_names(drawing, reversed.drawing_parts, found_whole);
    const auto found_names = physical_names(board, reversed.board_parts, drawn_whole);
    const auto called = [](const std::map<PinId, std::string>& names, const std::string& name) -> std::optional<PinId> {
        for (const auto& [pin, own] : names)
            if (own == name) return pin;
        return {};
    };
    // Counterparts that are traced stand in the pair; of the others some are known from what is unverified.
    std::map<PinId, PinId> counterpart;
    for (const Finding& finding : comparison.findings)
        if (finding.what == What::unverified && !finding.drawing_pins.empty() && !finding.board_pins.empty())
            counterpart[finding.drawing_pins.front()] = finding.board_pins.front();
    for (const PartPair& pair : comparison.parts)
        for (std::uint32_t i = 0; i < pair.board_pins.size(); ++i)
            if (pair.board_pins[i]) counterpart[{pair.drawing, i}] = *pair.board_pins[i];

    std::vector<TurnedPin> turned;
    for (PartId id : reversed.drawing_parts)
        for (std::uint32_t i = 0; i < drawing[id].pins.size(); ++i) {
            const PinId from{id, i};
            if (const auto found = counterpart.find(from); found != counterpart.end()) {
                const auto name = found_names.find(found->second);
                auto to = name == found_names.end() ? std::nullopt : called(drawn_names, name->second);
                // Other kinds' pins answer in order where their names do not agree.
                if (!to && found->second.pin < drawing[id].pins.size()) to = PinId{id, found->second.pin};
                turned.push_back({from, to});
                continue;
            }
            if (drawing[from].state != PinState::traced && drawing[from].state != PinState::nowhere) continue;
            // The pin of that name is traced on the board and answers to no drawn one: what is drawn here belongs elsewhere.
            const auto there = called(found_names, drawn_names.count(from) ? drawn_names.at(from) : drawing[from].name);
            if (there && board[*there].state == PinState::traced) turned.push_back({from, std::nullopt});
        }
    return turned;
}

}  // namespace tallyboard::detail
