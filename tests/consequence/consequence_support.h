#pragma once

#include "consequence/consequence.h"
#include "support/text_circuit.h"

namespace tallyboard::test {

// A comparison made by hand, so that these tests stand on the format's words and not on the search: parts and nets of equal
// name are pairs, pin by pin in order; the findings are given.
inline Comparison by_names(const Circuit& drawing, const Circuit& board, std::vector<Finding> findings) {
    Comparison out;
    for (std::uint32_t p = 0; p < drawing.parts.size(); ++p) {
        const auto found = board.part(drawing.parts[p].ref);
        if (!found) continue;
        PartPair pair;
        pair.drawing = PartId{p};
        pair.board = *found;
        for (std::uint32_t i = 0; i < drawing.parts[p].pins.size(); ++i) pair.board_pins.push_back(PinId{*found, i});
        out.parts.push_back(pair);
    }
    for (std::uint32_t n = 0; n < drawing.nets.size(); ++n)
        if (const auto found = board.net(drawing.nets[n].name)) out.nets.push_back({{NetId{n}}, {*found}});
    out.findings = std::move(findings);
    for (Finding& finding : out.findings) out.cost += finding.cost;
    return out;
}

inline Finding finding(What what, int cost, const std::string& id) {
    Finding out;
    out.what = what;
    out.cost = cost;
    out.id = id;
    return out;
}
inline Finding value_finding(const Circuit& drawing, const Circuit& board, const std::string& ref) {
    Finding out = finding(What::value, 1, "value@" + ref);
    out.drawing_parts = {*drawing.part(ref)};
    out.board_parts = {*board.part(ref)};
    return out;
}
inline PinId pin(const Circuit& circuit, const std::string& ref, const std::string& name) {
    const PartId part = *circuit.part(ref);
    for (std::uint32_t i = 0; i < circuit[part].pins.size(); ++i)
        if (circuit[part].pins[i].name == name) return {part, i};
    throw std::runtime_error("no pin " + name);
}

inline ConsequenceOptions quick() {
    ConsequenceOptions options;
    options.solve.devices = built_in_devices();
    options.spread.samples = 200;
    return options;
}

}  // namespace tallyboard::test
