#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard::detail {

// A parameter that a model takes from <device> elements, under its textbook symbol.
struct ParameterName {
    std::string_view kind, name, says;
};
// All of them; schema/devices.xml and docs/solving.md list the same.
std::span<const ParameterName> parameter_names();

// The parameters of one part: those of the device that answers to its type number, the rest from its kind's default.
class Parameters {
public:
    // The figure; nothing where neither the device nor the kind's default gives it. Names read from the default are remembered.
    std::optional<double> find(std::string_view name) const;
    double get(std::string_view name, double otherwise) const { return find(name).value_or(otherwise); }
    // As get, but what comes from the kind's default is not told: it is what specimens differ by, no figure of the answer.
    double quietly(std::string_view name, double otherwise) const;
    bool any() const { return !own_.empty() || !default_.empty(); }

    // What has been taken from the kind's default though a device answered, in the order asked.
    const std::vector<std::string>& from_default() const { return from_default_; }
    bool device_known = false;

private:
    friend class DeviceShelf;
    std::vector<std::pair<std::string, double>> own_, default_;
    mutable std::vector<std::string> from_default_;
};

// All devices that count for a circuit: its own before those given, later ones given before earlier ones.
class DeviceShelf {
public:
    DeviceShelf(const Circuit& circuit, const std::vector<Device>& given);
    // A type number answers to a device of its kind: the same letters and digits first, then a synonym or a shorter number to
    // which the part's only adds a suffix, the longest first.
    Parameters parameters(std::string_view kind, std::string_view model) const;
    // Parameters that no model knows, "BC109: no model takes `bf`; beta-f is meant?", for the circuit's own devices.
    std::vector<std::string> remarks() const;

private:
    const Circuit& circuit_;
    std::vector<const Device*> devices_;  // in order of precedence
};

}  // namespace tallyboard::detail
