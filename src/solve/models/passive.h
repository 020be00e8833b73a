#pragma once

#include <vector>

#include "solve/element.h"

namespace tallyboard::detail {

// Nodes a b. Ohm's law with a resistance above 0; a share of the part's value where it is a piece of a track.
class Resistor final : public Copied<Resistor> {
public:
    explicit Resistor(double ohms) : Copied(2, 0), siemens_(1 / ohms) {}
    static Resistor of_siemens(double siemens);
    void rest(const double* x, double drive, double* f, double* j) const override;
    void take_value(double ohms) override { if (ohms > 0) siemens_ = 1 / ohms; }

private:
    double siemens_;
};

// Nodes a b, own current from a to b: a voltage `volts` in series with resistance and inductance, each of which may be 0. Supplies,
// batteries, sources, conductors, coils, potentiometer tracks. Va - Vb = volts·drive + (R + jωL)·i, so that a supply delivers -i.
class Branch final : public Copied<Branch> {
public:
    struct Values {
        double volts = 0, ohms = 0, henries = 0;
        double share = 1;                                    // of the part's value, for tracks
        enum class Part { none, volts, ohms, henries } takes = Part::none;  // which of them is the part's value
    };
    explicit Branch(Values values) : Copied(2, 1), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    void moving(const double* x, double omega, std::complex<double>* y) const override;
    bool couples(int r, int c, bool at_rest) const override;
    void take_value(double value) override;
    bool is_bare(int branch, int* a, int* b) const override;
    void give_resistance(int branch, double ohms) override;
    void add_ohms(double ohms) { values_.ohms += ohms; }

private:
    Values values_;
};

// Nodes a b: a current from b through the element to a, so that a becomes positive. A meter's test current.
class CurrentSource final : public Copied<CurrentSource> {
public:
    explicit CurrentSource(double amperes) : Copied(2, 0), amperes_(amperes) {}
    void rest(const double*, double drive, double* f, double*) const override {
        f[0] = -amperes_ * drive;
        f[1] = amperes_ * drive;
    }
    bool couples(int, int, bool) const override { return false; }
    int group(int, bool) const override { return alone; }

private:
    double amperes_;
};

// Nodes a b. Open at rest.
class Capacitor final : public Copied<Capacitor> {
public:
    explicit Capacitor(double farads) : Copied(2, 0), farads_(farads) {}
    void rest(const double*, double, double*, double*) const override {}
    void moving(const double* x, double omega, std::complex<double>* y) const override;
    bool couples(int, int, bool at_rest) const override { return !at_rest; }
    int group(int, bool at_rest) const override { return at_rest ? alone : 0; }
    void take_value(double farads) override { farads_ = farads; }

private:
    double farads_;
};

// Windings on one core. Each stretch of winding between two taps is a branch with turns and resistance; all share the volts per
// turn u, the last own unknown: Va - Vb = R·i + n·u and u = jωΛ·Σ n·i, Λ the permeance in H/turn². Without a known inductance
// the core takes no magnetising current: Σ n·i = 0. At rest u = 0: the windings are their wire.
class Transformer final : public Copied<Transformer> {
public:
    struct Stretch { int a = 0, b = 0; double turns = 1, ohms = 0; };   // nodes, in the winding's sense
    Transformer(int taps, std::vector<Stretch> stretches, std::vector<int> winding_of_tap, double permeance);
    void rest(const double* x, double drive, double* f, double* j) const override;
    void moving(const double* x, double omega, std::complex<double>* y) const override;
    bool couples(int r, int c, bool at_rest) const override;
    int group(int node, bool) const override { return winding_of_tap_[node]; }
    bool is_bare(int branch, int* a, int* b) const override;
    void give_resistance(int branch, double ohms) override { stretches_[branch].ohms = ohms; }

private:
    std::vector<Stretch> stretches_;
    std::vector<int> winding_of_tap_;
    double permeance_;                  // 0: not known, ideal
};

}  // namespace tallyboard::detail
