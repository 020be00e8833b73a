#include "solve/response.h"

#include <cmath>
#include <numbers>

namespace tallyboard::detail {

void put_response(Equations& equations, const Rest& rest, std::vector<ResponsePoint>& points) {
    const Network& network = equations.network;
    if (!rest.converged || network.source < 0 || network.load_a == Network::absent) return;
    if (!equations.moving().tells_difference(network.load_a, network.load_b)) return;
    for (ResponsePoint& point : points) {
        const auto* x = equations.at_frequency(rest.x, 2 * std::numbers::pi * point.hz);
        if (!x) continue;
        const auto volts = [&](int node) { return node < 0 ? std::complex<double>() : (*x)[node]; };
        const std::complex<double> ratio = volts(network.load_a) - volts(network.load_b);
        const double size = std::abs(ratio);
        if (!(size > 1e-25) || !std::isfinite(size)) continue;
        point.db = 20 * std::log10(size);
        point.deg = std::arg(ratio) * 180 / std::numbers::pi;
    }
}

}  // namespace tallyboard::detail
