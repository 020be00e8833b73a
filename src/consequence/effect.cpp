#include "consequence/effect.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "consequence/polarity.h"

namespace tallyboard::detail {

namespace {

constexpr double worth_telling = 1e-3;     // of the supply, of the drawn current
constexpr double band_below_top = 40;      // dB: what lies further down is not heard beside the rest
constexpr double half_power = 3.0103;      // dB

double largest_supply(const Circuit& circuit, const OperatingPoint& point) {
    double volts = 0;
    if (circuit.setup)
        for (const Supply& supply : circuit.setup->supplies) volts = std::max(volts, std::fabs(supply.volts));
    for (const Part& part : circuit.parts)
        if (circuit.kind_of(part).name == "battery" && part.nominal()) volts = std::max(volts, std::fabs(part.nominal()->si()));
    if (volts > 0) return volts;
    for (const auto& v : point.net_volts) volts = std::max(volts, std::fabs(v.value_or(0)));
    return volts;
}

bool holds(const std::optional<Band>& band, double value, double slack) {
    return band && value >= band->low - slack && value <= band->high + slack;
}

void put_voltages(const Circuit& circuit, const WorkedOut& drawn, const WorkedOut& found, const ProductionSpread& spread,
                  double supply, Consequence& out) {
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        const auto before = drawn.point.net_volts[n], after = found.point.net_volts[n];
        if (!before || !after || supply <= 0) continue;
        RestChange change;
        change.net = NetId{static_cast<std::uint32_t>(n)};
        change.name = net_name(circuit, *change.net);
        change.drawn = *before;
        change.found = *after;
        change.share = std::fabs(*after - *before) / supply;
        if (change.share < worth_telling) continue;
        change.grade = grade_of(Judged::direct_voltage, change.share);
        change.inside_spread = n < spread.net_volts.size() && holds(spread.net_volts[n], *after, 1e-6 * supply);
        out.rest.push_back(std::move(change));
    }
}

void put_current(const std::string& name, double before, double after, double floor, const std::optional<Band>& band,
                 Consequence& out) {
    RestChange change;
    change.name = name;
    change.is_current = true;
    change.drawn = before;
    change.found = after;
    // Against no less than a hundredth of what the circuit takes: a blocked device's leak matters to nobody.
    const double against = std::max(std::fabs(before), floor);
    if (against <= 0) return;
    change.share = std::fabs(after - before) / against;
    if (change.share < worth_telling) return;
    change.grade = grade_of(Judged::current, change.share);
    change.inside_spread = holds(band, after, 1e-6 * against);
    out.rest.push_back(std::move(change));
}

void put_currents(const Circuit& circuit, const WorkedOut& drawn, const Circuit& trial, const WorkedOut& found,
                  const ProductionSpread& spread, Consequence& out) {
    double total = 0;
    for (const SupplyCurrent& supply : drawn.point.supplies) total = std::max(total, std::fabs(supply.amperes.value_or(0)));
    for (std::size_t s = 0; s < std::min(drawn.point.supplies.size(), found.point.supplies.size()); ++s) {
        const auto before = drawn.point.supplies[s].amperes, after = found.point.supplies[s].amperes;
        if (before && after && drawn.point.supplies[s].name == found.point.supplies[s].name)
            put_current(drawn.point.supplies[s].name, *before, *after, 0.01 * total,
                        s < spread.supply_amperes.size() ? spread.supply_amperes[s] : std::nullopt, out);
    }
    // Transistors and valves, by what flows into collector, drain, anode.
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) {
        const Part& part = circuit.parts[p];
        const Kind& kind = circuit.kind_of(part);
        if (trial.parts[p].fit == Fit::no || trial.parts[p].kind != part.kind) continue;
        for (std::size_t i = 0; i < part.pins.size() && i < kind.pins.size(); ++i) {
            if (kind.pins[i].role != PinRole::output || kind.sections.size() || kind.pins[i].name == "out") continue;
            const auto before = drawn.point.pin_amperes[p][i], after = found.point.pin_amperes[p][i];
            if (before && after)
                put_current(part.ref + "." + part.pins[i].name, *before, *after, 0.01 * total,
                            spread.told ? spread.pin_amperes[p][i] : std::nullopt, out);
        }
    }
}

void put_levels(const WorkedOut& drawn, const WorkedOut& found, const ProductionSpread& spread, Consequence& out) {
    double top_drawn = -1e300, top_found = -1e300;
    for (std::size_t f = 0; f < drawn.response.size(); ++f) {
        if (drawn.response[f].db) top_drawn = std::max(top_drawn, *drawn.response[f].db);
        if (found.response[f].db) top_found = std::max(top_found, *found.response[f].db);
    }
    for (std::size_t f = 0; f < drawn.response.size(); ++f) {
        if (!drawn.response[f].db || !found.response[f].db) continue;
        LevelChange change{drawn.response[f].hz, *drawn.response[f].db, *found.response[f].db, true, false};
        change.in_band = change.drawn_db > top_drawn - band_below_top || change.found_db > top_found - band_below_top;
        change.inside_spread = f < spread.level.size() && holds(spread.level[f], change.found_db, 1e-6);
        out.levels.push_back(change);
    }
}

// "R7 dissipates 0.31 W of its 0.25 W": resistors and capacitors nearer to their rating than drawn.
struct Load { double share = 0; std::string words; };

std::optional<double> rated(const Value& value, Quantity quantity) {
    for (const std::string& word : split_words(value.rating))
        if (const Result<Value> rating = read_value(word, quantity); rating && rating->si() > 0) return rating->si();
    return {};
}

std::optional<Load> load_of(const Circuit& circuit, const OperatingPoint& point, std::size_t p) {
    const Part& part = circuit.parts[p];
    const Value* value = part.nominal();
    if (part.fit == Fit::no || !value || part.pins.size() != 2) return {};
    if (part.pins[0].state != PinState::traced || part.pins[1].state != PinState::traced) return {};
    const auto a = point.net_volts[part.pins[0].net.index], b = point.net_volts[part.pins[1].net.index];
    if (!a || !b) return {};
    const double volts = std::fabs(*a - *b);
    if (value->quantity == Quantity::resistance && value->si() > 0) {
        const auto rating = rated(*value, Quantity::power);
        if (!rating) return {};
        const double watts = volts * volts / value->si();
        return Load{watts / *rating, fmt::format("{} dissipates {} of its {}", part.ref, engineering_text(watts, Quantity::power, 2),
                                                 engineering_text(*rating, Quantity::power, 2))};
    }
    if (value->quantity != Quantity::capacitance) return {};
    const auto rating = rated(*value, Quantity::voltage);
    if (!rating) return {};
    return Load{volts / *rating, fmt::format("{} stands at {} of its {}", part.ref, engineering_text(volts, Quantity::voltage, 3),
                                             engineering_text(*rating, Quantity::voltage, 3))};
}

Grade put_ratings(const CarriedOut& change, Consequence& out) {
    const auto& [circuit, drawn, trial, found] = change;
    Grade worst = Grade::nothing;
    for (std::size_t p = 0; p < trial.parts.size(); ++p) {
        const std::optional<Load> after = load_of(trial, found.point, p);
        if (!after) continue;
        const std::optional<Load> before = p < circuit.parts.size() ? load_of(circuit, drawn.point, p) : std::nullopt;
        const Value* value = trial.parts[p].nominal();
        const Grade grade = grade_of(value->quantity == Quantity::resistance ? Judged::dissipation : Judged::capacitor_voltage, after->share);
        if (grade == Grade::nothing || (before && after->share < before->share * 1.05)) continue;
        out.ratings.push_back(after->words);
        worst = std::max(worst, grade);
    }
    return worst;
}

}  // namespace

WorkedOut work_out(const Circuit& circuit, const Solver& solver, const std::vector<double>& hz) {
    WorkedOut out;
    UnitModel model = solver.unit_model();
    UnitModel::Unit unit = model.unit({}, hz);
    out.point = std::move(unit.point);
    out.response = std::move(unit.response);
    out.why_no_response = out.point.converged ? solver.why_no_response() : out.point.says;
    if (out.why_no_response.empty()) out.corners = corners_of(circuit, solver);
    return out;
}

bool is_equaliser(const std::vector<ResponsePoint>& response) {
    double low = 1e300, high = -1e300;
    for (const ResponsePoint& point : response) {
        const bool counts = point.hz == 40 || point.hz == 100 || point.hz == 315 || point.hz == 1000 || point.hz == 3150 || point.hz == 10000;
        if (!counts || !point.db) continue;
        low = std::min(low, *point.db);
        high = std::max(high, *point.db);
    }
    return high - low > 10;
}

Corners corners_of(const Circuit&, const Solver& solver) {
    Corners out;
    UnitModel model = solver.unit_model();
    const auto level = [&](const std::vector<double>& hz) { return model.unit({}, hz).response; };
    const std::vector<double> down = log_frequencies(1000, 0.1, 41), up = log_frequencies(1000, 1e6, 31);
    const auto crossing = [&](const std::vector<double>& hz) -> std::optional<double> {
        const auto curve = level(hz);
        if (!curve[0].db) return {};
        const double wanted = *curve[0].db - half_power;
        for (std::size_t i = 1; i < curve.size(); ++i) {
            if (!curve[i].db) return {};
            if (*curve[i].db > wanted) continue;
            // Between these two: halved by eight, four times over, then straight in ln f.
            double above = curve[i - 1].hz, below = curve[i].hz;
            for (int pass = 0; pass < 4; ++pass) {
                const auto piece = level(log_frequencies(above, below, 9));
                for (std::size_t k = 1; k < piece.size(); ++k)
                    if (!piece[k].db || *piece[k].db <= wanted) {
                        above = piece[k - 1].hz;
                        below = piece[k].hz;
                        break;
                    }
            }
            return std::sqrt(above * below);
        }
        return {};
    };
    out.low = crossing(down);
    out.high = crossing(up);
    return out;
}

Consequence effect_of(const CarriedOut& change, const ProductionSpread& spread, bool equaliser) {
    const auto& [circuit, drawn, trial, found] = change;
    Consequence out;
    if (!drawn.point.converged || !found.point.converged) {
        out.why_not = !drawn.point.converged ? drawn.point.says : "with it " + found.point.says;
        return out;
    }
    out.told = true;
    const double supply = largest_supply(circuit, drawn.point);
    put_voltages(circuit, drawn, found, spread, supply, out);
    put_currents(circuit, drawn, trial, found, spread, out);
    std::stable_sort(out.rest.begin(), out.rest.end(), [](const RestChange& a, const RestChange& b) {
        return a.grade != b.grade ? a.grade > b.grade : a.share > b.share;
    });
    const bool curves = drawn.why_no_response.empty() && found.why_no_response.empty();
    if (curves) {
        put_levels(drawn, found, spread, out);
        out.response = found.response;
        out.corners = found.corners;
    } else {
        out.why_not = !drawn.why_no_response.empty() ? drawn.why_no_response : found.why_no_response;
    }
    // The signal no longer arrives, or did not: no decibels, but no small matter either.
    if (curves)
        for (std::size_t f = 0; f < drawn.response.size(); ++f) out.silenced = out.silenced || drawn.response[f].db.has_value() != found.response[f].db.has_value();

    out.grade = out.grade_alone = Grade::nothing;
    const auto count = [&](Grade grade, bool inside) {
        out.grade_alone = std::max(out.grade_alone, grade);
        if (!inside) out.grade = std::max(out.grade, grade);
    };
    for (const RestChange& rest : out.rest) count(rest.grade, rest.inside_spread);
    for (const LevelChange& level : out.levels)
        if (level.in_band) count(grade_of(equaliser ? Judged::equaliser : Judged::level, level.change()), level.inside_spread);
    count(put_ratings(change, out), false);
    count(put_polarity(change, out), false);
    if (out.silenced) count(Grade::major, false);
    out.inside_spread = out.grade_alone > Grade::nothing && out.grade == Grade::nothing;
    return out;
}

Weightiness weightiness(const Consequence& consequence, bool equaliser) {
    Weightiness out;
    if (consequence.silenced) out.level = 1e9;
    const auto step = [](Judged judged) {
        for (const Thresholds& row : thresholds())
            if (row.judged == judged) return row.audible;
        return 1.0;
    };
    for (const LevelChange& change : consequence.levels)
        if (change.in_band && !change.inside_spread)
            out.level = std::max(out.level, std::fabs(change.change()) / step(equaliser ? Judged::equaliser : Judged::level));
    for (const RestChange& change : consequence.rest)
        if (!change.inside_spread)
            out.rest = std::max(out.rest, change.share / step(change.is_current ? Judged::current : Judged::direct_voltage));
    return out;
}

}  // namespace tallyboard::detail
