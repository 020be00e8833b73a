#include "consequence/polarity.h"

#include <fmt/format.h>

#include <cmath>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

std::string volts_text(double volts) { return engineering_text(std::fabs(volts), Quantity::voltage, 2); }

Grade grade_of_reverse(const std::optional<double>& volts) {
    return volts && *volts > 0 ? grade_of(Judged::reverse_voltage, *volts) : Grade::nothing;
}

}  // namespace

std::optional<double> reverse_volts(const Circuit& circuit, const OperatingPoint& point, const Part& part) {
    if (circuit.kind_of(part).name != "electrolytic" || part.fit == Fit::no) return {};
    std::optional<double> plus, minus;
    for (const Pin& pin : part.pins) {
        if (pin.state != PinState::traced || pin.net.index >= point.net_volts.size()) continue;
        (pin.name == "plus" ? plus : minus) = point.net_volts[pin.net.index];
    }
    if (!plus || !minus) return {};
    return *minus - *plus;
}

Grade put_polarity(const CarriedOut& change, Consequence& out) {
    const auto& [circuit, drawn, trial, found] = change;
    Grade worst = Grade::nothing;
    for (std::size_t p = 0; p < trial.parts.size(); ++p) {
        const std::optional<double> after = reverse_volts(trial, found.point, trial.parts[p]);
        const std::optional<double> before = p < circuit.parts.size() ? reverse_volts(circuit, drawn.point, circuit.parts[p]) : std::nullopt;
        const Grade now = grade_of_reverse(after), then = grade_of_reverse(before);
        if (now > Grade::nothing && now > then) {
            out.ratings.push_back(fmt::format("{} stands at {} the wrong way round", trial.parts[p].ref, volts_text(*after)));
            worst = std::max(worst, now);
        } else if (then > Grade::nothing && after && now == Grade::nothing) {
            out.ratings.push_back(fmt::format("{} stands right; as drawn it would stand at {} the wrong way round", trial.parts[p].ref, volts_text(*before)));
            worst = std::max(worst, then);
        }
    }
    return worst;
}

}  // namespace tallyboard::detail
