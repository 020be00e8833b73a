#include "solve/response.h"

#include <cmath>
#include <complex>
#include <numbers>

namespace tallyboard::detail {

namespace {

// What a part without figures may change and is still no matter: its nets are as good as shorted already.
constexpr double no_matter = 0.005;   // of the load's voltage: 0.05 dB

std::optional<std::complex<double>> load_voltage(const Network& network, const std::vector<std::complex<double>>* x) {
    if (!x) return {};
    const auto volts = [&](int node) { return node < 0 ? std::complex<double>() : (*x)[node]; };
    const std::complex<double> ratio = volts(network.load_a) - volts(network.load_b);
    const double size = std::abs(ratio);
    if (!(size > 1e-25) || !std::isfinite(size)) return {};
    return ratio;
}

}  // namespace

bool may_have_response(Equations& equations) {
    const Network& network = equations.network;
    if (network.source < 0 || network.load_a == Network::absent) return false;
    if (equations.moving().tells_difference(network.load_a, network.load_b)) return true;
    // A coil or capacitor without figures on a net that is held stiffly (a mains transformer behind its rectifier) changes
    // nothing; that is tried. A part that hides the operating point too may do anything.
    return !network.hidden_actively && !network.hidden_response.empty();
}

void put_response(Equations& equations, const Rest& rest, std::vector<ResponsePoint>& points) {
    if (!rest.converged || !may_have_response(equations)) return;
    const Network& network = equations.network;
    const bool told = equations.moving().tells_difference(network.load_a, network.load_b);
    for (ResponsePoint& point : points) {
        const double omega = 2 * std::numbers::pi * point.hz;
        const auto ratio = load_voltage(network, equations.at_frequency(rest.x, omega));
        if (!ratio) continue;
        if (!told) {
            const auto other = load_voltage(network, equations.at_frequency(rest.x, omega, network.hidden_response));
            if (!other || std::abs(*other - *ratio) > no_matter * std::abs(*ratio)) continue;
        }
        point.db = 20 * std::log10(std::abs(*ratio));
        point.deg = std::arg(*ratio) * 180 / std::numbers::pi;
    }
}

}  // namespace tallyboard::detail
