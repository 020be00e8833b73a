#include "solve/models/opamp.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solve/models/junctions.h"

namespace tallyboard::detail {

namespace {

enum Node { out, in_minus, in_plus, minus, plus, set };
constexpr double far_away = 1e9;          // volts: where a rail that is left out puts its limit
constexpr double corner = 0.01;           // volts over which the output goes from following to held
constexpr double current_slope = 1e5;     // ohms the output shows beyond its largest current
constexpr double least_rout = 1e-6;       // ohms: an output tied to a stiffer net fights it with its largest current
constexpr double sharing = 1e-9;          // amperes over which the output current changes from one rail to the other
constexpr double set_drop = 0.6;          // volts between v+ and the set pin, where only the resistor is known

// 0 below, y - at above, a parabola of half-width w between.
Curve ramp(double y, double at, double w) {
    const double u = y - at;
    if (u <= -w) return {0, 0};
    if (u >= w) return {u, 1};
    return {(u + w) * (u + w) / (4 * w), (u + w) / (2 * w)};
}

// u held between low and high, exactly u inside the corners.
Curve held(double u, double low, double high) {
    const Curve over = ramp(u, high, corner), under = ramp(-u, -low, corner);
    return {u - over.current + under.current, 1 - over.slope - under.slope};
}

}  // namespace

OpAmp::Limits OpAmp::limits(const double* x) const {
    Limits limits{values_.has_minus ? x[minus] + values_.headroom_low : -far_away,
                  values_.has_plus ? x[plus] - values_.headroom_high : far_away};
    // Too little supply to work with: the output stands midway.
    if (limits.high - limits.low < 4 * corner) {
        const double middle = (limits.low + limits.high) / 2;
        limits = {middle - 2 * corner, middle + 2 * corner};
    }
    return limits;
}

OpAmp::Set OpAmp::set_current(const double* x) const {
    if (values_.has_set && values_.has_plus) {
        const Curve curve = junction(x[plus] - x[set], 1e-14, 1);
        return {curve.current, curve.slope};
    }
    if (values_.rset > 0 && values_.has_plus && values_.has_minus) {
        const Curve across = ramp(x[plus] - x[minus], set_drop, 0.1);
        return {across.current / values_.rset, across.slope / values_.rset};
    }
    return {};
}

void OpAmp::rest(const double* x, double, double* f, double* j) const {
    const int n = size(), own = n - 1;
    const double current = x[own];
    f[out] = current;
    j[out * n + own] = 1;
    f[in_minus] = f[in_plus] = values_.ib;

    const Limits limit = limits(x);
    const Curve voltage = held(unlimited(x), limit.low, limit.high);
    const double rout = std::max(values_.rout, least_rout);
    f[own] = x[out] - voltage.current - rout * current;
    j[own * n + out] = 1;
    j[own * n + in_plus] = -values_.a0 * voltage.slope;
    j[own * n + in_minus] = values_.a0 * voltage.slope;
    j[own * n + own] = -rout;
    // Where the output is held it moves with the rail that holds it.
    const double with_rail = 1 - voltage.slope;
    if (with_rail > 0) {
        const bool high = unlimited(x) > (limit.low + limit.high) / 2;
        if (high && values_.has_plus) j[own * n + plus] = -with_rail;
        if (!high && values_.has_minus) j[own * n + minus] = -with_rail;
    }
    if (values_.iout > 0) {
        const double w = 0.02 * values_.iout;
        const Curve in = ramp(current, values_.iout, w), away = ramp(-current, values_.iout, w);
        f[own] -= current_slope * (in.current - away.current);
        j[own * n + own] -= current_slope * (in.slope + away.slope);
    }
    rest_supply(x, f, j);
}

void OpAmp::rest_supply(const double* x, double* f, double* j) const {
    const int n = size(), own = n - 1;
    // Half of current + |current| goes to v-, the rest comes from v+; |current| rounded off at 0.
    const double current = x[own];
    const double rounded = std::sqrt(current * current + sharing * sharing);
    const double to_minus = (current + rounded) / 2, from_plus = (rounded - current) / 2;
    const double slope = current / rounded;
    if (values_.has_minus) {
        f[minus] -= to_minus;
        j[minus * n + own] -= (1 + slope) / 2;
    }
    if (values_.has_plus) {
        f[plus] += from_plus;
        j[plus * n + own] += (slope - 1) / 2;
    }
    const Set asked = set_current(x);
    if (values_.has_set && values_.has_plus) {
        f[plus] += asked.amperes;
        f[set] -= asked.amperes;
        j[plus * n + plus] += asked.slope;
        j[plus * n + set] -= asked.slope;
        j[set * n + plus] -= asked.slope;
        j[set * n + set] += asked.slope;
    }
    if (!values_.has_minus || !values_.has_plus) return;
    // The supply current comes up within the first volt.
    const Curve up = ramp(x[plus] - x[minus], 0, 0.05), over = ramp(x[plus] - x[minus], 1, 0.05);
    const double fixed = values_.isupply * (up.current - over.current), by_volts = values_.isupply * (up.slope - over.slope);
    const double total = fixed + values_.set_supply * asked.amperes;
    f[plus] += total;
    f[minus] -= total;
    const int other = values_.has_set ? set : minus;
    for (int row : {plus, minus}) {
        const double sign = row == plus ? 1 : -1;
        j[row * n + plus] += sign * (by_volts + values_.set_supply * asked.slope);
        j[row * n + minus] -= sign * by_volts;
        j[row * n + other] -= sign * values_.set_supply * asked.slope;
    }
}

void OpAmp::moving(const double* x, double omega, std::complex<double>* y) const {
    const double gbw = values_.set_gbw > 0 ? values_.set_gbw * set_current(x).amperes : values_.gbw;
    if (gbw <= 0) return;
    const int n = size(), own = n - 1;
    const double f = omega / (2 * std::numbers::pi);
    const std::complex<double> fall = 1.0 / std::complex<double>(1, f * values_.a0 / gbw);
    y[own * n + in_plus] *= fall;
    y[own * n + in_minus] *= fall;
}

// Newton's step crosses the narrow range in which the output follows in one leap: it is stopped at the nearer edge once, from
// where the next step, if it wants, goes on.
bool OpAmp::limit(const double* before, double* now) const {
    const Limits old_limit = limits(before), new_limit = limits(now);
    const double old_u = unlimited(before), new_u = unlimited(now);
    const auto zone = [](double u, const Limits& l) { return u < l.low ? -1 : u > l.high ? 1 : 0; };
    const int from = zone(old_u, old_limit), to = zone(new_u, new_limit);
    bool limited = false;
    // Already stopped at that edge: it may go on.
    const bool at_edge = from == 0 && (to > 0 ? old_u > old_limit.high - 2 * corner : old_u < old_limit.low + 2 * corner);
    if (from != to && !at_edge) {
        double wanted = new_u;
        if (from == 0) wanted = to > 0 ? new_limit.high : new_limit.low;
        else wanted = from > 0 ? new_limit.high - corner : new_limit.low + corner;
        if (std::fabs(new_u - wanted) > 1.5 * corner) {
            now[in_plus] += (wanted - new_u) / values_.a0;
            limited = true;
        }
    }
    if (values_.has_set && values_.has_plus) {
        double v = now[plus] - now[set];
        if (limit_junction(before[plus] - before[set], v, 1e-14, 1)) {
            now[set] = now[plus] - v;
            limited = true;
        }
    }
    return limited;
}

bool OpAmp::couples(int r, int c, bool) const {
    const int own = size() - 1;
    if (r == in_minus || r == in_plus) return false;
    if (r == out) return c == own;
    if (c == minus && !values_.has_minus) return false;
    if (c == plus && !values_.has_plus) return false;
    if (r == own) return c != set || !values_.has_set;
    if (r == minus && !values_.has_minus) return false;
    if (r == plus && !values_.has_plus) return false;
    return c == own || c == minus || c == plus || (values_.has_set && c == set);
}

int OpAmp::group(int node, bool) const {
    if (node == out) return grounded;
    if (node == in_minus || node == in_plus) return alone;
    if ((node == minus && !values_.has_minus) || (node == plus && !values_.has_plus)) return alone;
    return 0;
}

}  // namespace tallyboard::detail
