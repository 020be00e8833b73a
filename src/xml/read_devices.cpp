#include <algorithm>
#include <array>
#include <cmath>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/unknown_kind.h"
#include "xml/read_kinds.h"

namespace tallyboard {
namespace {

// Which parameters a device of a kind has; docs/format.md lists what they mean.
struct KindParameters { std::string_view kind, names; };
constexpr std::array parameters{
    KindParameters{"diode", "is n"},
    KindParameters{"led", "is n"},
    KindParameters{"bridge", "is n"},
    KindParameters{"zener", "is n vz izt nz"},
    KindParameters{"neon", "vz izt nz"},
    KindParameters{"npn", "is beta-f beta-r spread-low spread-high spread-vbe"},
    KindParameters{"pnp", "is beta-f beta-r spread-low spread-high spread-vbe"},
    KindParameters{"njfet", "idss vp igs spread-low spread-high"},
    KindParameters{"pjfet", "idss vp igs spread-low spread-high"},
    KindParameters{"nmos", "k vth spread-low spread-high"},
    KindParameters{"pmos", "k vth spread-low spread-high"},
    KindParameters{"triode", "mu ex kg1 kp kvb spread-low spread-high"},
    KindParameters{"pentode", "mu ex kg1 kg2 kp kvb spread-low spread-high"},
    KindParameters{"opamp", "a0 gbw vos ib headroom-high headroom-low iout rout isupply set-supply set-gbw rset"},
    KindParameters{"lamp", "r"},
    KindParameters{"heater", "r"},
};

bool is_parameter(std::string_view attribute) {
    return attribute != "model" && attribute != "kind" && attribute != "source" && attribute != "note";
}

bool is_known_anywhere(const std::string& name) {
    return std::any_of(parameters.begin(), parameters.end(), [&](const KindParameters& row) {
        std::vector<std::string> names = split_words(row.names);
        return std::find(names.begin(), names.end(), name) != names.end();
    });
}

// "2.5e-9", or with a prefix and perhaps a unit behind it: "2.5n", "5mA", "3MHz". µ counts as u.
std::optional<double> read_parameter(std::string_view text) {
    if (auto number = read_double(text)) return number;
    std::string plain(text);
    for (std::string_view micro : {"\u00B5", "\u03BC"})
        if (auto at = plain.find(micro); at != std::string::npos) plain.replace(at, micro.size(), "u");
    for (std::string_view unit : {"ohms", "ohm", "\u03A9", "\u2126", "Hz", "V", "A"})
        if (plain.size() > unit.size() && plain.ends_with(unit)) {
            plain.resize(plain.size() - unit.size());
            break;
        }
    while (!plain.empty() && is_blank(plain.back())) plain.pop_back();
    if (plain.empty()) return std::nullopt;
    constexpr std::string_view prefixes = "fpnumkKMG";
    constexpr int powers[] = {-15, -12, -9, -6, -3, 3, 3, 6, 9};
    int power = 0;
    if (auto at = prefixes.find(plain.back()); at != std::string_view::npos) {
        power = powers[at];
        plain.pop_back();
    }
    std::string digits(trimmed(plain));
    if (!read_double(digits)) return std::nullopt;
    // Read once, with the exponent, so that 2.5n is the same double as 2.5e-9.
    return digits.find_first_of("eE") == std::string::npos ? read_double(digits + "e" + std::to_string(power)) : std::nullopt;
}

}  // namespace

std::vector<Device> read_devices(const Element& parent, const KindTable& kinds, Diagnoses& diagnoses) {
    std::vector<Device> devices;
    for (const Element& element : parent.children) {
        if (element.name != "device") continue;
        Device device;
        device.model = collapsed(element["model"].text);
        device.kind = element["kind"].text;
        device.source = collapsed(element["source"].text);
        if (element["kind"] && !kinds.find(device.kind))
            diagnoses.error(element["kind"].at(), unknown_kind(diagnoses, element["kind"].at(), device.kind, kinds));
        auto row = std::find_if(parameters.begin(), parameters.end(), [&](const auto& p) { return p.kind == device.kind; });
        std::vector<std::string> known = row == parameters.end() ? std::vector<std::string>{} : split_words(row->names);
        for (const Attribute& attribute : element.attributes) {
            if (!is_parameter(attribute.name)) continue;
            std::string name(attribute.name);
            if (!is_known_anywhere(name)) continue;  // told already: no device has such an attribute
            if (row != parameters.end() && std::find(known.begin(), known.end(), name) == known.end())
                diagnoses.error(attribute.name_span.begin, "a device of the kind " + device.kind + " has no parameter \"" + name +
                                                               "\"; it has " + join_words(known));
            auto number = read_parameter(attribute.value.text);
            if (number) device.parameters.emplace_back(name, *number);
            else diagnoses.error(attribute.value.at(), "\"" + std::string(attribute.value.text) + "\" is no figure for " + name);
        }
        devices.push_back(std::move(device));
    }
    return devices;
}

}  // namespace tallyboard
