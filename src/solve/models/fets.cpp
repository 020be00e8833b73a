#include "solve/models/fets.h"

#include <algorithm>
#include <cmath>

#include "solve/models/junctions.h"

namespace tallyboard::detail {

Channel square_law(double over, double vds, double k) {
    if (over <= 0) return {};
    if (vds >= over) return {k * over * over, 2 * k * over, 0};
    return {k * vds * (2 * over - vds), 2 * k * vds, 2 * k * (over - vds)};
}

void FieldEffect::rest(const double* x, double, double* f, double* j) const {
    const double p = values_.polarity;
    const double vds = p * (x[2] - x[0]);
    // The end at the lower potential works as the source.
    const int source = vds >= 0 ? 0 : 2, drain = 2 - source;
    const double over = p * (x[1] - x[source]) - values_.threshold;
    Channel channel = square_law(over, std::fabs(vds), values_.k);
    channel.current += junction_leak * std::fabs(vds);
    channel.by_vds += junction_leak;
    f[drain] += p * channel.current;
    f[source] -= p * channel.current;
    const double by_source = -channel.by_over - channel.by_vds;
    const auto put = [&](int row, double sign) {
        j[row * 3 + 1] += sign * channel.by_over;
        j[row * 3 + drain] += sign * channel.by_vds;
        j[row * 3 + source] += sign * by_source;
    };
    put(drain, 1);
    put(source, -1);
    if (!has_junctions()) return;
    for (int end : {0, 2}) {
        const Curve curve = junction(p * (x[1] - x[end]), values_.igs, 1);
        f[1] += p * curve.current;
        f[end] -= p * curve.current;
        j[1 * 3 + 1] += curve.slope;
        j[1 * 3 + end] -= curve.slope;
        j[end * 3 + 1] -= curve.slope;
        j[end * 3 + end] += curve.slope;
    }
}

void FieldEffect::take_specimen(double share, double) {
    values_.threshold = type_.threshold * (has_junctions() ? std::sqrt(share) : share);
}

bool FieldEffect::limit(const double* before, double* now) const {
    if (!has_junctions()) return false;
    const double p = values_.polarity;
    double gs = p * (now[1] - now[0]), gd = p * (now[1] - now[2]);
    const bool a = limit_junction(p * (before[1] - before[0]), gs, values_.igs, 1);
    const bool b = limit_junction(p * (before[1] - before[2]), gd, values_.igs, 1);
    now[0] = now[1] - p * gs;
    now[2] = now[1] - p * gd;
    return a || b;
}

}  // namespace tallyboard::detail
