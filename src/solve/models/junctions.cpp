#include "solve/models/junctions.h"

#include <algorithm>
#include <cmath>

namespace tallyboard::detail {

namespace {
constexpr double straight_above = 80;  // times n·VT

// e^u with its slope, straight on above the limit.
Curve exponential(double u) {
    const double held = std::min(u, straight_above);
    const double value = std::exp(held);
    return {value * (1 + (u - held)), value};
}
}  // namespace

Curve junction(double volts, double is, double n) {
    const double scale = n * thermal_voltage;
    if (volts / scale <= straight_above) {
        // expm1 keeps the current exact near 0 V, where ohmmeters look.
        return {is * std::expm1(volts / scale) + junction_leak * volts,
                is * std::exp(volts / scale) / scale + junction_leak};
    }
    const Curve e = exponential(volts / scale);
    return {is * (e.current - 1) + junction_leak * volts, is * e.slope / scale + junction_leak};
}

double critical_voltage(double is, double n) {
    const double scale = n * thermal_voltage;
    return scale * std::log(scale / (std::sqrt(2.0) * std::max(is, 1e-300)));
}

bool limit_junction(double before, double& now, double is, double n) {
    const double scale = n * thermal_voltage;
    const double critical = critical_voltage(is, n);
    if (now <= critical || std::fabs(now - before) <= 2 * scale) return false;
    if (before > 0) {
        const double step = 1 + (now - before) / scale;
        now = step > 0 ? before + scale * std::log(step) : critical;
    } else {
        now = now > scale ? scale * std::log(now / scale) : now;
        now = std::min(now, critical);
    }
    return true;
}

void Diode::rest(const double* x, double, double* f, double* j) const {
    const double v = x[0] - x[1];
    Curve curve = junction(v, values_.is, values_.n);
    if (values_.izt > 0) {
        const double scale = values_.nz * thermal_voltage;
        const Curve e = exponential((-v - values_.vz) / scale);
        curve.current -= values_.izt * e.current;
        curve.slope += values_.izt * e.slope / scale;
    }
    f[0] = curve.current;
    f[1] = -curve.current;
    j[0] = j[3] = curve.slope;
    j[1] = j[2] = -curve.slope;
}

bool Diode::limit(const double* before, double* now) const {
    double v = now[0] - now[1];
    const double old = before[0] - before[1];
    bool limited = limit_junction(old, v, values_.is, values_.n);
    if (!limited && values_.izt > 0) {
        // The reverse branch is a junction that begins to conduct at vz.
        double over = -v - values_.vz;
        limited = limit_junction(-old - values_.vz, over, values_.izt, values_.nz);
        if (limited) v = -over - values_.vz;
    }
    if (limited) now[0] = now[1] + v;
    return limited;
}

void Neon::rest(const double* x, double, double* f, double* j) const {
    const double v = x[0] - x[1], scale = values_.nz * thermal_voltage;
    const Curve up = exponential((v - values_.burning) / scale), down = exponential((-v - values_.burning) / scale);
    const double current = values_.izt * (up.current - down.current) + junction_leak * v;
    const double slope = values_.izt * (up.slope + down.slope) / scale + junction_leak;
    f[0] = current;
    f[1] = -current;
    j[0] = j[3] = slope;
    j[1] = j[2] = -slope;
}

bool Neon::limit(const double* before, double* now) const {
    const double v = now[0] - now[1], old = before[0] - before[1];
    const double sign = v < 0 ? -1 : 1;
    double over = sign * v - values_.burning;
    if (!limit_junction(sign * old - values_.burning, over, values_.izt, values_.nz)) return false;
    now[0] = now[1] + sign * (over + values_.burning);
    return true;
}

void Bipolar::rest(const double* x, double, double* f, double* j) const {
    const double p = values_.polarity;
    const Curve be = junction(p * (x[1] - x[0]), values_.is, 1), bc = junction(p * (x[1] - x[2]), values_.is, 1);
    const double collector = be.current - bc.current * (1 + 1 / values_.beta_r);
    const double base = be.current / values_.beta_f + bc.current / values_.beta_r;
    f[0] = -p * (collector + base);
    f[1] = p * base;
    f[2] = p * collector;
    // Slopes by vbe and vbc; turning all signs twice leaves them.
    const double c_be = be.slope, c_bc = -bc.slope * (1 + 1 / values_.beta_r);
    const double b_be = be.slope / values_.beta_f, b_bc = bc.slope / values_.beta_r;
    double* const emitter = j;
    double* const base_row = j + 3;
    double* const collector_row = j + 6;
    const auto put = [](double* row, double by_be, double by_bc) {
        row[0] = -by_be;
        row[1] = by_be + by_bc;
        row[2] = -by_bc;
    };
    put(base_row, b_be, b_bc);
    put(collector_row, c_be, c_bc);
    put(emitter, -(b_be + c_be), -(b_bc + c_bc));
}

void Bipolar::take_specimen(double share, double vbe) {
    values_.beta_f = type_.beta_f * share;
    values_.is = type_.is * std::exp(-vbe / thermal_voltage);
}

bool Bipolar::limit(const double* before, double* now) const {
    const double p = values_.polarity;
    double be = p * (now[1] - now[0]), bc = p * (now[1] - now[2]);
    const bool a = limit_junction(p * (before[1] - before[0]), be, values_.is, 1);
    const bool b = limit_junction(p * (before[1] - before[2]), bc, values_.is, 1);
    now[0] = now[1] - p * be;
    now[2] = now[1] - p * bc;
    return a || b;
}

}  // namespace tallyboard::detail
