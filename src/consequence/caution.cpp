#include "consequence/caution.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/text.h"

namespace tallyboard {

namespace {

// IEC 62368-1, ES1, steady state: 60 V direct; above 120 V direct IEC 61140 and ES2 end (docs/sources.md).
constexpr double hazardous = 60;
constexpr double dangerous = 120;
constexpr double much_energy = 1;        // joules, bench custom
constexpr double no_bleeder = 100e6;     // ohms: what lies above discharges nothing in a working day
constexpr int lead_and_asbestos_until = 1990;
constexpr double hot_resistor = 5;       // watts of rating: stands on a board of its own, in early units of asbestos
constexpr double power_transistor = 1;   // watts at rest: sits on a heat sink

std::string volts_text(double volts) { return engineering_text(std::fabs(volts), Quantity::voltage, 3); }

bool is_valve(std::string_view kind) { return kind == "triode" || kind == "pentode" || kind == "twin-triode"; }

// The rated voltage behind a value: "100n 400V".
std::optional<double> rated_volts(const Part& part) {
    const Value* value = part.nominal();
    if (!value || value->quantity != Quantity::capacitance) return {};
    for (const std::string& word : split_words(value->rating))
        if (const Result<Value> rating = read_value(word, Quantity::voltage); rating && rating->si() > 0) return rating->si();
    return {};
}

bool is_safety_capacitor(const Part& part) {
    const Value* value = part.nominal();
    if (!value) return false;
    for (const std::string& word : split_words(value->rating))
        if (word.size() == 2 && (word[0] == 'X' || word[0] == 'Y') && word[1] >= '1' && word[1] <= '4') return true;
    return false;
}

class Gathering {
public:
    Gathering(const Circuit& circuit, const Solver& solver, const OperatingPoint& point)
        : circuit_(circuit), solver_(solver), point_(point) {}

    std::vector<Caution> all() {
        voltages();
        unknown_voltages();
        mains();
        capacitors();
        parts();
        substances();
        std::stable_sort(out_.begin(), out_.end(), [](const Caution& a, const Caution& b) { return danger(a) < danger(b); });
        return out_;
    }

private:
    static int danger(const Caution& caution) {
        switch (caution.of) {
            case CautionOf::live_chassis: return 0;
            case CautionOf::mains: return 1;
            case CautionOf::dangerous_voltage: return 2;
            case CautionOf::unknown_voltage: return 3;
            case CautionOf::hazardous_voltage: return 4;
            case CautionOf::stored_energy: return 5;
            case CautionOf::safety_part: return 6;
            case CautionOf::loudspeaker: return 7;
            case CautionOf::battery: return 8;
            case CautionOf::substances: return 9;
        }
        return 10;
    }
    Caution& put(CautionOf of, std::string print) {
        out_.push_back({of, std::move(print), {}, {}, {}, {}, {}});
        return out_.back();
    }
    std::string net_words(std::size_t n) const { return net_name(circuit_, NetId{static_cast<std::uint32_t>(n)}); }
    const std::string& kind(const Part& part) const { return circuit_.kind_of(part).name; }
    bool on_mains(NetId net) const { return circuit_[net].role == NetRole::mains; }

    void voltages() {
        for (std::size_t n = 0; n < circuit_.nets.size(); ++n) {
            const std::optional<double> volts = n < point_.net_volts.size() ? point_.net_volts[n] : std::nullopt;
            if (!volts || std::fabs(*volts) <= hazardous) continue;
            const bool high = std::fabs(*volts) > dangerous;
            std::string print = fmt::format("Hazardous voltage: {} on net {}", volts_text(*volts), net_words(n));
            if (high) print += "; one hand, insulated probes, category-rated leads (IEC 61010-031)";
            Caution& caution = put(high ? CautionOf::dangerous_voltage : CautionOf::hazardous_voltage, std::move(print));
            caution.net = NetId{static_cast<std::uint32_t>(n)};
            caution.volts = *volts;
        }
    }

    // Unknown voltage is not low voltage, where something on the sheet is made for more.
    void unknown_voltages() {
        std::set<std::size_t> nets;
        bool reason = false;
        for (const Part& part : circuit_.parts) {
            if (part.fit == Fit::no) continue;
            const std::optional<double> rated = rated_volts(part);
            if (is_valve(kind(part)) || (rated && *rated > hazardous)) reason = true;
            for (const Pin& pin : part.pins)
                if (pin.state == PinState::traced && on_mains(pin.net)) reason = true;
        }
        if (!reason) return;
        const bool powered = circuit_.setup && !circuit_.setup->supplies.empty();
        for (std::size_t n = 0; n < circuit_.nets.size(); ++n) {
            const Net& net = circuit_.nets[n];
            if (net.role == NetRole::ground || net.role == NetRole::earth || net.role == NetRole::heater) continue;
            if (net.role != NetRole::mains && net.pins.empty()) continue;
            const bool told = powered && point_.converged && point_.net_volts[n].has_value();
            // A net that a transformer's or the mains' alternating voltage holds is not told by direct voltages.
            if (told && net.role != NetRole::mains && !on_transformer(net)) continue;
            if (net.role == NetRole::mains || !told || on_transformer(net)) nets.insert(n);
        }
        if (nets.empty()) return;
        for (std::size_t n : nets) {
            if (circuit_.nets[n].role == NetRole::mains) continue;  // said under mains
            Caution& caution = put(CautionOf::unknown_voltage,
                                   fmt::format("The voltage on net {} is not known: take it to be dangerous", net_words(n)));
            caution.net = NetId{static_cast<std::uint32_t>(n)};
        }
    }

    // On a winding of a transformer that the mains reach.
    bool on_transformer(const Net& net) const {
        for (PinId pin : net.pins) {
            const Part& part = circuit_[pin.part];
            if (kind(part) != "transformer") continue;
            for (const Pin& other : part.pins)
                if (other.state == PinState::traced && reached_by_mains().count(other.net.index)) return true;
        }
        return false;
    }

    // Nets joined to the mains by anything that conducts, not through transformers or capacitors.
    const std::set<std::uint32_t>& reached_by_mains() const {
        if (reached_known_) return reached_;
        reached_known_ = true;
        std::vector<std::uint32_t> queue;
        for (std::uint32_t n = 0; n < circuit_.nets.size(); ++n)
            if (circuit_.nets[n].role == NetRole::mains && reached_.insert(n).second) queue.push_back(n);
        for (std::size_t i = 0; i < queue.size(); ++i)
            for (PinId pin : circuit_.nets[queue[i]].pins) {
                const Part& part = circuit_[pin.part];
                if (part.fit == Fit::no || kind(part) == "capacitor" || kind(part) == "electrolytic") continue;
                if (kind(part) == "jack" || kind(part) == "terminal" || kind(part) == "ic") continue;
                const bool windings = kind(part) == "transformer";
                for (const Pin& other : part.pins) {
                    if (other.state != PinState::traced) continue;
                    // Of a transformer the same winding alone.
                    if (windings && other.name.substr(0, 1) != circuit_[pin].name.substr(0, 1)) continue;
                    if (reached_.insert(other.net.index).second) queue.push_back(other.net.index);
                }
            }
        return reached_;
    }

    void mains() {
        std::vector<std::string> joined;
        std::optional<PartId> first;
        for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p) {
            const Part& part = circuit_.parts[p];
            if (part.fit == Fit::no) continue;
            const bool on = std::any_of(part.pins.begin(), part.pins.end(), [&](const Pin& pin) {
                return pin.state == PinState::traced && reached_by_mains().count(pin.net.index);
            });
            if (!on) continue;
            joined.push_back(part.ref);
            if (!first) first = PartId{p};
        }
        if (!joined.empty()) {
            put(CautionOf::mains, fmt::format("Mains on {}: isolate, lock and prove dead; fuse only of the marked type and rating",
                                              join_words(joined))).part = first;
        }
        for (std::uint32_t n : reached_by_mains()) {
            const Net& net = circuit_.nets[n];
            const bool supply = circuit_.setup && std::any_of(circuit_.setup->supplies.begin(), circuit_.setup->supplies.end(),
                                                              [&](const Supply& s) { return s.plus.index == n || s.minus.index == n; });
            if (net.role != NetRole::ground && net.role != NetRole::signal && !supply) continue;
            put(CautionOf::live_chassis,
                fmt::format("Net {} is joined to the mains without a transformer: the chassis may be live. Isolating transformer; "
                            "never connect to earthed test gear or to other audio gear", net_words(n))).net = NetId{n};
        }
    }

    void capacitors() {
        for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p) {
            const Part& part = circuit_.parts[p];
            const Value* value = part.nominal();
            if (part.fit == Fit::no || (kind(part) != "capacitor" && kind(part) != "electrolytic") || part.pins.size() != 2) continue;
            const auto volts_at = [&](const Pin& pin) -> std::optional<double> {
                if (pin.state != PinState::traced || !point_.converged) return {};
                return point_.net_volts[pin.net.index];
            };
            const auto a = volts_at(part.pins[0]), b = volts_at(part.pins[1]);
            if (!a || !b || !value || value->quantity != Quantity::capacitance) continue;
            const double volts = std::fabs(*a - *b), joules = value->si() * volts * volts / 2;
            if (volts <= hazardous && joules <= much_energy) continue;
            stored(PartId{p}, volts, joules, value->si());
        }
    }

    void stored(PartId id, double volts, double joules, double farads) {
        const Part& part = circuit_[id];
        Reading reading;
        reading.what = ReadingWhat::resistance;
        reading.at = Place{pin_name(circuit_, {id, 0}), PinId{id, 0}, part.pins[0].net, {}};
        reading.to = Place{pin_name(circuit_, {id, 1}), PinId{id, 1}, part.pins[1].net, {}};
        const std::optional<double> ohms = solver_.reading_model(reading).expected();
        std::string print = fmt::format("{} holds {}, {}: discharge through a resistor (5 to 50 Ω per volt, rated for it), then measure; "
                                        "it may recover by absorption", part.ref, volts_text(volts), energy_words(joules));
        std::optional<double> seconds;
        if (!ohms || *ohms > no_bleeder) {
            print += "; no bleeder found: it stays charged";
        } else {
            const double tau = *ohms * farads;
            print += fmt::format("; switched off it drains through {}, τ = {}", engineering_text(*ohms, Quantity::resistance, 2), seconds_words(tau));
            if (volts > hazardous) {
                seconds = tau * std::log(volts / hazardous);
                print += fmt::format(", {} to 60 V", seconds_words(*seconds));
            }
        }
        Caution& caution = put(CautionOf::stored_energy, std::move(print));
        caution.part = id;
        caution.volts = volts;
        caution.joules = joules;
        caution.seconds = seconds;
    }

    static std::string energy_words(double joules) {
        return joules >= 0.1 ? fmt::format("{:.1f} J", joules) : fmt::format("{:.1f} mJ", joules * 1e3);
    }
    static std::string seconds_words(double seconds) {
        if (seconds >= 100) return fmt::format("{:.0f} min", std::ceil(seconds / 60));
        if (seconds >= 1) return fmt::format("{:.0f} s", std::ceil(seconds));
        return fmt::format("{:.0f} ms", std::ceil(seconds * 1e3));
    }

    void parts() {
        for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p) {
            const Part& part = circuit_.parts[p];
            if (part.fit == Fit::no) continue;
            if (is_safety_capacitor(part))
                put(CautionOf::safety_part, fmt::format("{} is a safety capacitor: fit an approved part only (IEC 60384-14)", part.ref)).part = PartId{p};
            if (kind(part) == "speaker")
                put(CautionOf::loudspeaker, fmt::format("Hearing: start low on {}; a direct voltage at the output destroys loudspeakers", part.ref)).part = PartId{p};
            if (kind(part) == "battery")
                put(CautionOf::battery, fmt::format("{}: what leaks from a battery is corrosive; a lithium cell may burn when shorted", part.ref)).part = PartId{p};
        }
    }

    // What the transistor turns into heat at rest; 0 where that is not told.
    double watts(PartId id) const {
        if (!point_.converged || id.index >= point_.pin_amperes.size()) return 0;
        double sum = 0;
        const Part& part = circuit_[id];
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            const auto amperes = point_.pin_amperes[id.index][i];
            const auto volts = part.pins[i].state == PinState::traced ? point_.net_volts[part.pins[i].net.index] : std::optional(0.0);
            if (!amperes || !volts) return 0;
            sum += *amperes * *volts;
        }
        return sum;
    }

    static double rated_watts(const Part& part) {
        const Value* value = part.nominal();
        if (!value || value->quantity != Quantity::resistance) return 0;
        double most = 0;
        for (const std::string& word : split_words(value->rating))
            if (const Result<Value> rating = read_value(word, Quantity::power)) most = std::max(most, rating->si());
        return most;
    }

    // Only where year and parts call for it, and said as a possibility.
    void substances() {
        const std::optional<Date>& made = circuit_.about.made;
        if (!made || !made->latest) return;
        const std::optional<Day> day = made->earliest ? made->earliest : made->latest;
        const int year = day->year();
        if (year >= lead_and_asbestos_until) return;
        bool wired = false, hot = false, power = false, oil = false;
        for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p) {
            const Part& part = circuit_.parts[p];
            if (part.fit == Fit::no) continue;
            const bool valve = is_valve(kind(part)) || kind(part) == "heater";
            wired = wired || valve || kind(part) == "transformer";
            hot = hot || valve || rated_watts(part) >= hot_resistor;
            power = power || ((kind(part) == "npn" || kind(part) == "pnp") && watts(PartId{p}) >= power_transistor);
            const std::optional<double> rated = rated_volts(part);
            oil = oil || (kind(part) == "capacitor" && rated && *rated >= 250 && year <= 1980);
        }
        std::vector<std::string> what;
        if (wired) what.emplace_back("lead (solder, sleeving)");
        if (hot) what.emplace_back("asbestos (board or cloth near heaters and hot resistors)");
        if (power) what.emplace_back("beryllia (power transistors and their washers)");
        if (oil) what.emplace_back("PCB oil (capacitors)");
        if (!what.empty()) put(CautionOf::substances, fmt::format("May contain {}: do not file, drill, blow or burn", join_words(what)));
    }

    const Circuit& circuit_;
    const Solver& solver_;
    const OperatingPoint& point_;
    std::vector<Caution> out_;
    mutable std::set<std::uint32_t> reached_;
    mutable bool reached_known_ = false;
};

}  // namespace

std::vector<Caution> cautions(const Circuit& circuit, const Solver& solver, const OperatingPoint& point) {
    return Gathering(circuit, solver, point).all();
}

std::vector<std::string> caution_lines(const Circuit& circuit, const std::vector<Caution>& cautions) {
    std::vector<std::string> out;
    std::vector<std::string> high, unknown, stored;
    double highest = 0, longest = 0;
    bool very = false, unbled = false;
    for (const Caution& caution : cautions) {
        const bool voltage = caution.of == CautionOf::dangerous_voltage || caution.of == CautionOf::hazardous_voltage;
        if (voltage) {
            high.push_back(net_name(circuit, *caution.net));
            highest = std::max(highest, std::fabs(*caution.volts));
            very = very || caution.of == CautionOf::dangerous_voltage;
        } else if (caution.of == CautionOf::unknown_voltage) {
            unknown.push_back(net_name(circuit, *caution.net));
        } else if (caution.of == CautionOf::stored_energy) {
            stored.push_back(circuit[*caution.part].ref);
            longest = std::max(longest, caution.seconds.value_or(0));
            unbled = unbled || caution.print.find("no bleeder") != std::string::npos;
        }
    }
    const auto gathered = [](const std::vector<std::string>& names) {
        if (names.size() <= 8) return join_words(names);
        return join(std::vector<std::string>(names.begin(), names.begin() + 7), ", ") + fmt::format(" and {} more", names.size() - 7);
    };
    bool told_high = false, told_unknown = false, told_stored = false;
    for (const Caution& caution : cautions) {
        switch (caution.of) {
            case CautionOf::dangerous_voltage:
            case CautionOf::hazardous_voltage:
                if (!told_high)
                    out.push_back(fmt::format("Hazardous voltage, up to {}, on {} {}{}", engineering_text(highest, Quantity::voltage, 3),
                                              high.size() == 1 ? "net" : "nets", gathered(high),
                                              very ? ": one hand, insulated probes, category-rated leads (IEC 61010-031)" : ""));
                told_high = true;
                break;
            case CautionOf::unknown_voltage:
                if (!told_unknown)
                    out.push_back(fmt::format("Voltage not known on {}: take it to be dangerous", gathered(unknown)));
                told_unknown = true;
                break;
            case CautionOf::stored_energy:
                if (!told_stored)
                    out.push_back(fmt::format("{} {} a dangerous charge: discharge through a resistor (5 to 50 Ω per volt, rated for it), "
                                              "then measure; it may recover by absorption{}{}",
                                              gathered(stored), stored.size() == 1 ? "holds" : "hold",
                                              longest > 0 ? fmt::format("; up to {:.0f} s to 60 V by the drawn resistors", std::ceil(longest)) : "",
                                              unbled ? "; no bleeder on some" : ""));
                told_stored = true;
                break;
            case CautionOf::mains:
            case CautionOf::live_chassis:
            case CautionOf::safety_part:
            case CautionOf::loudspeaker:
            case CautionOf::substances:
            case CautionOf::battery: out.push_back(caution.print); break;
        }
    }
    return out;
}

std::string_view caution_footer() {
    return "For competent persons. Compare with your unit. Local regulations and licensed practice apply.";
}

}  // namespace tallyboard
