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

// Nodes cathode grid anode.
class Triode final : public Copied<Triode> {
public:
    explicit Triode(KorenValues values) : Copied(3, 0), type_(values), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    void take_specimen(double share, double vbe) override;   // of the current
    bool couples(int r, int, bool) const override { return r != 1; }
    int group(int node, bool) const override { return node == 1 ? alone : 0; }

private:
    KorenValues type_, values_;
};

// Nodes cathode grid screen anode.
class Pentode final : public Copied<Pentode> {
public:
    explicit Pentode(KorenValues values) : Copied(4, 0), type_(values), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    void take_specimen(double share, double vbe) override;   // of the current
    bool couples(int r, int, bool) const override { return r != 1; }
    int group(int node, bool) const override { return node == 1 ? alone : 0; }

private:
    KorenValues type_, values_;
};

}  // namespace tallyboard::detail
