#include "circuit/circuit.h"

#include <algorithm>

namespace tallyboard {

const Value* Part::nominal() const {
    if (value) return &*value;
    for (const Found& f : found)
        if (f.marked) return &*f.marked;
    return nullptr;
}

std::optional<PartId> Circuit::part(std::string_view ref) const {
    for (std::uint32_t i = 0; i < parts.size(); ++i)
        if (parts[i].ref == ref) return PartId{i};
    return std::nullopt;
}

std::optional<NetId> Circuit::net(std::string_view name) const {
    if (name.empty()) return std::nullopt;
    for (std::uint32_t i = 0; i < nets.size(); ++i)
        if (nets[i].name == name) return NetId{i};
    return std::nullopt;
}

std::optional<NetId> Circuit::ground() const {
    for (std::uint32_t i = 0; i < nets.size(); ++i)
        if (nets[i].role == NetRole::ground) return NetId{i};
    if (setup && !setup->supplies.empty()) return setup->supplies.front().minus;
    return std::nullopt;
}

std::string net_name(const Circuit& circuit, NetId net) {
    const Net& it = circuit[net];
    if (!it.name.empty() || it.pins.empty()) return it.name;
    return pin_name(circuit, it.pins.front());
}

std::string pin_name(const Circuit& circuit, PinId pin) { return circuit[pin.part].ref + "." + circuit[pin].name; }

std::string_view role_word(NetRole role) {
    switch (role) {
        case NetRole::unsaid: return "";
        case NetRole::ground: return "ground";
        case NetRole::earth: return "earth";
        case NetRole::supply: return "supply";
        case NetRole::mains: return "mains";
        case NetRole::heater: return "heater";
        case NetRole::signal: return "signal";
        case NetRole::other: return "other";
    }
    return "";
}

std::string_view status_word(FoundStatus status) {
    switch (status) {
        case FoundStatus::unsaid: return "";
        case FoundStatus::original: return "original";
        case FoundStatus::replaced: return "replaced";
        case FoundStatus::added: return "added";
        case FoundStatus::unknown: return "unknown";
    }
    return "";
}

std::string_view where_word(FoundWhere where) {
    switch (where) {
        case FoundWhere::unsaid: return "";
        case FoundWhere::out: return "out";
        case FoundWhere::lifted: return "lifted";
        case FoundWhere::in: return "in";
    }
    return "";
}

bool is_powered(const Circuit& circuit) {
    if (circuit.setup && !circuit.setup->supplies.empty()) return true;
    return std::any_of(circuit.parts.begin(), circuit.parts.end(), [&](const Part& part) { return circuit.kind_of(part).name == "battery"; });
}

std::string_view measured_how(FoundWhere where) {
    switch (where) {
        case FoundWhere::out: return "out of circuit";
        case FoundWhere::lifted: return "with a leg lifted";
        case FoundWhere::unsaid:
        case FoundWhere::in: break;
    }
    return "in circuit";
}

std::string_view done_word(DoneWhat what) {
    switch (what) {
        case DoneWhat::replaced: return "replaced";
        case DoneWhat::removed: return "removed";
        case DoneWhat::added: return "added";
        case DoneWhat::adjusted: return "adjusted";
        case DoneWhat::cleaned: return "cleaned";
    }
    return "";
}

}  // namespace tallyboard
