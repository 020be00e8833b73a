#include "consequence/spread.h"

#include <algorithm>
#include <cmath>

#include "base/threads.h"

namespace tallyboard {

namespace {

// Units worked out by one model one after the other. Fixed, so that how many threads share the work changes no last digit.
constexpr int units_a_batch = 25;
// Of a hundred units this many at either end are left out: a band that the odd one does not decide.
constexpr double left_out = 0.01;

// Random numbers that are the same with every library: splitmix64 (G. Steele, D. Lea, C. Flood, OOPSLA 2014).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    double share() {  // [0, 1)
        std::uint64_t z = state_ += 0x9e3779b97f4a7c15u;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return static_cast<double>((z ^ (z >> 31)) >> 11) * 0x1p-53;
    }

private:
    std::uint64_t state_;
};

std::vector<double> unit_values(const std::vector<Spread>& spreads, std::uint64_t seed, int number) {
    Random random(seed * 1000003u + static_cast<std::uint64_t>(number));
    std::vector<double> out;
    for (const Spread& spread : spreads) {
        const double share = -spread.tolerance.minus + random.share() * (spread.tolerance.minus + spread.tolerance.plus);
        out.push_back(spread.nominal * std::max(1 + share, 1e-6));
    }
    return out;
}

// A specimen for each device, evenly within what its type spreads by.
std::vector<Specimen> unit_specimens(const std::vector<DeviceSpread>& spreads, std::uint64_t seed, int number) {
    // Another stream than that of the values, so that a device more does not change what the other parts are.
    Random random((seed * 1000003u + static_cast<std::uint64_t>(number)) ^ 0x5eed0fde71ce5u);
    std::vector<Specimen> out;
    for (const DeviceSpread& spread : spreads) {
        const double share = spread.low + random.share() * (spread.high - spread.low);
        out.push_back({share, (2 * random.share() - 1) * spread.vbe});
    }
    return out;
}

// The middle of all values given; nothing where a unit does not tell it.
std::optional<Band> middle(std::vector<double>& values, std::size_t units) {
    if (values.empty() || values.size() < units) return {};
    std::sort(values.begin(), values.end());
    const auto cut = static_cast<std::size_t>(left_out * static_cast<double>(values.size()));
    return Band{values[cut], values[values.size() - 1 - cut]};
}

template <class Get>
std::optional<Band> band_of(const std::vector<UnitModel::Unit>& units, Get get) {
    std::vector<double> values;
    std::size_t count = 0;
    for (const UnitModel::Unit& unit : units) {
        if (!unit.point.converged) continue;
        ++count;
        if (const std::optional<double> value = get(unit)) values.push_back(*value);
    }
    return middle(values, count);
}

// Per frequency: each part at the end that lowers, that raises the level there.
std::vector<std::optional<Band>> extremes(const Solver& solver, const std::vector<double>& hz, int threads) {
    const std::vector<Spread>& spreads = solver.spreads();
    const std::size_t parts = spreads.size();
    std::vector<double> nominal;
    for (const Spread& spread : spreads) nominal.push_back(spread.nominal);
    const std::vector<ResponsePoint> middle_curve = solver.unit_model().unit(nominal, hz).response;

    std::vector<std::vector<double>> slope(hz.size(), std::vector<double>(parts, 0));
    constexpr double step = 1e-3;
    const std::size_t batches = (parts + units_a_batch - 1) / units_a_batch;
    for_each_number(batches, threads, [&](std::size_t batch) {
        UnitModel model = solver.unit_model();
        std::vector<double> values = nominal;
        for (std::size_t p = batch * units_a_batch; p < std::min(parts, (batch + 1) * units_a_batch); ++p) {
            if (spreads[p].tolerance == Tolerance{}) continue;
            values[p] = nominal[p] * (1 + step);
            const auto moved = model.unit(values, hz).response;
            values[p] = nominal[p];
            for (std::size_t f = 0; f < hz.size(); ++f)
                if (moved[f].db && middle_curve[f].db) slope[f][p] = *moved[f].db - *middle_curve[f].db;
        }
    });
    std::vector<std::optional<Band>> out(hz.size());
    for_each_number(hz.size(), threads, [&](std::size_t f) {
        if (!middle_curve[f].db) return;
        UnitModel model = solver.unit_model();
        std::optional<double> ends[2];
        for (int end = 0; end < 2; ++end) {
            std::vector<double> values = nominal;
            for (std::size_t p = 0; p < parts; ++p) {
                const double sign = end == 0 ? -slope[f][p] : slope[f][p];
                if (sign > 0) values[p] *= 1 + spreads[p].tolerance.plus;
                if (sign < 0) values[p] *= std::max(1 - spreads[p].tolerance.minus, 1e-6);
            }
            ends[end] = model.unit(values, std::vector<double>{hz[f]}).response[0].db;
        }
        if (ends[0] && ends[1]) out[f] = Band{std::min(*ends[0], *ends[1]), std::max(*ends[0], *ends[1])};
    });
    return out;
}

}  // namespace

ProductionSpread production_spread(const Circuit& circuit, const Solver& solver, const std::vector<double>& hz,
                                   const SpreadOptions& options) {
    ProductionSpread out;
    out.hz = hz;
    out.level.resize(hz.size());
    out.extreme_level.resize(hz.size());
    out.net_volts.resize(circuit.nets.size());
    out.pin_amperes.resize(circuit.parts.size());
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) out.pin_amperes[p].resize(circuit.parts[p].pins.size());
    const OperatingPoint nominal = solver.operating_point();
    if (!nominal.converged) {
        out.why_not = nominal.says;
        return out;
    }
    const int samples = std::max(options.samples, 1);
    std::vector<UnitModel::Unit> units(samples);
    const std::size_t batches = (static_cast<std::size_t>(samples) + units_a_batch - 1) / units_a_batch;
    for_each_number(batches, options.threads, [&](std::size_t batch) {
        UnitModel model = solver.unit_model();
        const int first = static_cast<int>(batch) * units_a_batch;
        for (int u = first; u < std::min(samples, first + units_a_batch); ++u)
            units[u] = model.unit(unit_values(solver.spreads(), options.seed, u), hz, unit_specimens(solver.device_spreads(), options.seed, u));
    });
    for (const UnitModel::Unit& unit : units) out.samples += unit.point.converged ? 1 : 0;
    out.told = out.samples > 0;
    if (!out.told) out.why_not = "no unit within the tolerances comes to rest";
    for (std::size_t f = 0; f < hz.size(); ++f)
        out.level[f] = band_of(units, [&](const UnitModel::Unit& unit) { return unit.response[f].db; });
    for (std::size_t n = 0; n < circuit.nets.size(); ++n)
        out.net_volts[n] = band_of(units, [&](const UnitModel::Unit& unit) { return unit.point.net_volts[n]; });
    for (std::size_t s = 0; s < nominal.supplies.size(); ++s)
        out.supply_amperes.push_back(band_of(units, [&](const UnitModel::Unit& unit) { return unit.point.supplies[s].amperes; }));
    for (std::size_t p = 0; p < circuit.parts.size(); ++p)
        for (std::size_t i = 0; i < circuit.parts[p].pins.size(); ++i)
            out.pin_amperes[p][i] = band_of(units, [&](const UnitModel::Unit& unit) { return unit.point.pin_amperes[p][i]; });
    out.extreme_level = extremes(solver, hz, options.threads);
    return out;
}

}  // namespace tallyboard
