#pragma once

#include "solve/element.h"

namespace tallyboard::detail {

// N. L. Koren, "Improved vacuum tube models", Glass Audio 8:5, 1996. Slopes are those of the equations.
// Triode: E1 = (Vp/kP)·ln(1 + exp(kP(1/µ + Vg/√(kVB + Vp²)))), Ip = 2·E1^x/kG1. No grid current.
struct KorenValues { double mu = 100, ex = 1.4, kg1 = 1060, kg2 = 4500, kp = 600, kvb = 300; };
struct PlateCurrent { double current = 0, by_grid = 0, by_plate = 0; };
PlateCurrent koren_triode(const KorenValues& values, double vg, double vp);

// Pentode: E1 = (Vg2/kP)·ln(1 + exp(kP(1/µ + Vg/Vg2))), Ip = 2·E1^x/kG1·arctan(Vp/kVB), Ig2 = (Vg + Vg2/µ)^x/kG2. The suppressor
// stands at the cathode.
struct PentodeCurrents { double plate = 0, plate_by_grid = 0, plate_by_screen = 0, plate_by_plate = 0;
                         double screen = 0, screen_by_grid = 0, screen_by_screen = 0; };
PentodeCurrents koren_pentode(const KorenValues& values, double vg, double vg2, double vp);

// What all valves share: into the grid, node 1, flows nothing; specimens differ by their current.
template <class Derived, int Nodes>
class Valve : public Copied<Derived> {
public:
    explicit Valve(KorenValues values) : Copied<Derived>(Nodes, 0), values_(values), type_(values) {}
    bool is_linear() const override { return false; }
    void take_specimen(double share, double) override {
        values_.kg1 = type_.kg1 / share;
        values_.kg2 = type_.kg2 / share;
    }
    bool couples(int r, int, bool) const override { return r != 1; }
    int group(int node, bool) const override { return node == 1 ? Element::alone : 0; }

protected:
    KorenValues values_;

private:
    KorenValues type_;
};

// Nodes cathode grid anode.
class Triode final : public Valve<Triode, 3> {
public:
    using Valve::Valve;
    void rest(const double* x, double drive, double* f, double* j) const override;
};

// Nodes cathode grid screen anode.
class Pentode final : public Valve<Pentode, 4> {
public:
    using Valve::Valve;
    void rest(const double* x, double drive, double* f, double* j) const override;
};

}  // namespace tallyboard::detail
