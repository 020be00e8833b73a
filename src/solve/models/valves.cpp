#include "solve/models/valves.h"

#include <algorithm>
#include <cmath>

namespace tallyboard::detail {

namespace {

// ln(1 + e^u) and its slope, for any u.
struct SoftRamp { double value, slope; };
SoftRamp soft_ramp(double u) {
    const double e = std::exp(-std::fabs(u));
    return {std::max(u, 0.0) + std::log1p(e), u >= 0 ? 1 / (1 + e) : e / (1 + e)};
}

// base^exponent and its slope; 0 below 0.
struct Power { double value = 0, slope = 0; };
Power power(double base, double exponent) {
    if (base <= 0) return {};
    const double value = std::pow(base, exponent);
    return {value, exponent * value / base};
}

}  // namespace

PlateCurrent koren_triode(const KorenValues& values, double vg, double vp) {
    if (vp <= 0) return {0, 0, 0};
    const double root = std::sqrt(values.kvb + vp * vp);
    const SoftRamp ramp = soft_ramp(values.kp * (1 / values.mu + vg / root));
    const Power p = power(vp / values.kp * ramp.value, values.ex);
    const double by_grid = vp * ramp.slope / root;
    const double by_plate = ramp.value / values.kp - vp * vp * ramp.slope * vg / (root * root * root);
    return {2 * p.value / values.kg1, 2 * p.slope * by_grid / values.kg1, 2 * p.slope * by_plate / values.kg1};
}

PentodeCurrents koren_pentode(const KorenValues& values, double vg, double vg2, double vp) {
    PentodeCurrents out;
    if (vg2 <= 0) return out;
    const Power screen = power(vg + vg2 / values.mu, values.ex);
    out.screen = screen.value / values.kg2;
    out.screen_by_grid = screen.slope / values.kg2;
    out.screen_by_screen = screen.slope / values.mu / values.kg2;
    if (vp <= 0) return out;
    const SoftRamp ramp = soft_ramp(values.kp * (1 / values.mu + vg / vg2));
    const Power p = power(vg2 / values.kp * ramp.value, values.ex);
    const double knee = std::atan(vp / values.kvb);
    out.plate = 2 * p.value / values.kg1 * knee;
    const double by_drive = 2 * p.slope / values.kg1 * knee;
    out.plate_by_grid = by_drive * ramp.slope;
    out.plate_by_screen = by_drive * (ramp.value / values.kp - ramp.slope * vg / vg2);
    out.plate_by_plate = 2 * p.value / values.kg1 * values.kvb / (values.kvb * values.kvb + vp * vp);
    return out;
}

void Triode::rest(const double* x, double, double* f, double* j) const {
    const double vp = x[2] - x[0];
    PlateCurrent plate = koren_triode(values_, x[1] - x[0], vp);
    plate.current += junction_leak * vp;
    plate.by_plate += junction_leak;
    f[2] = plate.current;
    f[0] = -plate.current;
    for (int row : {0, 2}) {
        const double sign = row == 2 ? 1 : -1;
        j[row * 3 + 0] = -sign * (plate.by_grid + plate.by_plate);
        j[row * 3 + 1] = sign * plate.by_grid;
        j[row * 3 + 2] = sign * plate.by_plate;
    }
}

void Pentode::rest(const double* x, double, double* f, double* j) const {
    const double vg2 = x[2] - x[0], vp = x[3] - x[0];
    PentodeCurrents now = koren_pentode(values_, x[1] - x[0], vg2, vp);
    now.plate += junction_leak * vp;
    now.plate_by_plate += junction_leak;
    now.screen += junction_leak * vg2;
    now.screen_by_screen += junction_leak;
    f[3] = now.plate;
    f[2] = now.screen;
    f[0] = -now.plate - now.screen;
    double* const plate = j + 3 * 4;
    double* const screen = j + 2 * 4;
    plate[1] = now.plate_by_grid;
    plate[2] = now.plate_by_screen;
    plate[3] = now.plate_by_plate;
    screen[1] = now.screen_by_grid;
    screen[2] = now.screen_by_screen;
    for (double* row : {plate, screen}) row[0] = -(row[1] + row[2] + row[3]);
    for (int c = 0; c < 4; ++c) j[c] = -plate[c] - screen[c];
}

}  // namespace tallyboard::detail
