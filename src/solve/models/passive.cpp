#include "solve/models/passive.h"

#include <algorithm>

namespace tallyboard::detail {

Resistor Resistor::of_siemens(double siemens) {
    Resistor resistor(1);
    resistor.siemens_ = siemens;
    return resistor;
}

void Resistor::rest(const double* x, double, double* f, double* j) const {
    const double current = siemens_ * (x[0] - x[1]);
    f[0] = current;
    f[1] = -current;
    j[0] = j[3] = siemens_;
    j[1] = j[2] = -siemens_;
}

void Branch::rest(const double* x, double drive, double* f, double* j) const {
    f[0] = x[2];
    f[1] = -x[2];
    f[2] = x[0] - x[1] - values_.ohms * x[2] - values_.volts * drive;
    j[0 * 3 + 2] = 1;
    j[1 * 3 + 2] = -1;
    j[2 * 3 + 0] = 1;
    j[2 * 3 + 1] = -1;
    j[2 * 3 + 2] = -values_.ohms;
}

void Branch::moving(const double*, double omega, std::complex<double>* y) const {
    y[2 * 3 + 2] -= std::complex<double>(0, omega * values_.henries);
}

bool Branch::couples(int r, int c, bool at_rest) const {
    if (r < 2) return c == 2;
    return c < 2 || values_.ohms != 0 || (!at_rest && values_.henries != 0);
}

void Branch::take_value(double value) {
    switch (values_.takes) {
        case Values::Part::none: break;
        case Values::Part::volts: values_.volts = value; break;
        case Values::Part::ohms: values_.ohms = value * values_.share; break;
        case Values::Part::henries: values_.henries = value; break;
    }
}

bool Branch::is_bare(int, int* a, int* b) const {
    *a = 0;
    *b = 1;
    return values_.ohms == 0;
}

void Branch::give_resistance(int, double ohms) {
    values_.ohms = ohms;
    // A track turned to its end stays at that whatever the track's value.
    if (values_.takes == Values::Part::ohms) values_.takes = Values::Part::none;
}

void Capacitor::moving(const double*, double omega, std::complex<double>* y) const {
    const std::complex<double> admittance(0, omega * farads_);
    y[0] += admittance;
    y[3] += admittance;
    y[1] -= admittance;
    y[2] -= admittance;
}

Transformer::Transformer(int taps, std::vector<Stretch> stretches, std::vector<int> winding_of_tap, double permeance)
    : Copied(taps, static_cast<int>(stretches.size()) + 1),
      stretches_(std::move(stretches)),
      winding_of_tap_(std::move(winding_of_tap)),
      permeance_(permeance) {}

void Transformer::rest(const double* x, double, double* f, double* j) const {
    const int n = size(), core = n - 1;
    for (int s = 0; s < branches() - 1; ++s) {
        const auto& [a, b, turns, ohms] = stretches_[s];
        const int own = nodes() + s;
        f[a] += x[own];
        f[b] -= x[own];
        j[a * n + own] += 1;
        j[b * n + own] -= 1;
        f[own] = x[a] - x[b] - ohms * x[own] - turns * x[core];
        j[own * n + a] += 1;
        j[own * n + b] -= 1;
        j[own * n + own] = -ohms;
        j[own * n + core] = -turns;
    }
    f[core] = x[core];
    j[core * n + core] = 1;
}

void Transformer::moving(const double*, double omega, std::complex<double>* y) const {
    const int n = size(), core = n - 1;
    // Turns that are not known couple nothing: u stays 0, as at rest.
    if (std::all_of(stretches_.begin(), stretches_.end(), [](const Stretch& s) { return s.turns == 0; })) return;
    const bool ideal = permeance_ == 0;
    if (ideal) y[core * n + core] = 0;
    for (int s = 0; s < branches() - 1; ++s) {
        const double turns = stretches_[s].turns;
        y[core * n + nodes() + s] = ideal ? std::complex<double>(turns) : std::complex<double>(0, -omega * permeance_ * turns);
    }
}

bool Transformer::couples(int r, int c, bool at_rest) const {
    const int core = size() - 1;
    if (r < nodes()) return c >= nodes() && c < core && (stretches_[c - nodes()].a == r || stretches_[c - nodes()].b == r);
    if (r == core) return at_rest ? c == core : c >= nodes() && (c < core || permeance_ != 0);
    const Stretch& stretch = stretches_[r - nodes()];
    return c == stretch.a || c == stretch.b || (c == r && stretch.ohms != 0) || c == core;
}

bool Transformer::is_bare(int branch, int* a, int* b) const {
    if (branch >= branches() - 1) return false;
    *a = stretches_[branch].a;
    *b = stretches_[branch].b;
    return stretches_[branch].ohms == 0;
}

}  // namespace tallyboard::detail
