#pragma once

#include "solve/element.h"

namespace tallyboard::detail {

// Current through a junction and its slope: is·(e^(v/nVT) - 1), straight on above 80 nVT, where no part survives and no double
// overflows; the leak beside it included.
struct Curve { double current = 0, slope = 0; };
Curve junction(double volts, double is, double n);

// Voltage above which a junction's next step in Newton's method is cut to a logarithmic one, and the cut step
// (L. Nagel, SPICE2, ERL-M520, University of California, 1975, section on junction limiting).
double critical_voltage(double is, double n);
bool limit_junction(double before, double& now, double is, double n);

// Nodes anode cathode. Diode, LED; with izt > 0 a zener: -I = izt·exp((-V - vz)/(nz·VT)) in reverse.
class Diode final : public Copied<Diode> {
public:
    struct Values { double is = 1e-14, n = 1, vz = 0, izt = 0, nz = 1; };
    explicit Diode(Values values) : Copied(2, 0), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    bool limit(const double* before, double* now) const override;
    void take_value(double volts) override { if (values_.izt > 0) values_.vz = volts; }

private:
    Values values_;
};

// Nodes a b: a neon lamp, alike in both directions: dark below its burning voltage, and holding it when lit. Whether it has
// struck is not known to an operating point: it burns where the circuit can keep it burning.
class Neon final : public Copied<Neon> {
public:
    struct Values { double burning = 60, izt = 1e-3, nz = 20; };
    explicit Neon(Values values) : Copied(2, 0), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    bool limit(const double* before, double* now) const override;
    void take_value(double volts) override { values_.burning = volts; }

private:
    Values values_;
};

// Nodes emitter base collector. Ebers–Moll, injection form: IC = IS(e^{VBE/VT} - e^{VBC/VT}) - (IS/βR)(e^{VBC/VT} - 1);
// pnp with all signs turned.
class Bipolar final : public Copied<Bipolar> {
public:
    struct Values { double is = 1e-14, beta_f = 100, beta_r = 1, polarity = 1; };
    explicit Bipolar(Values values) : Copied(3, 0), type_(values), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    bool limit(const double* before, double* now) const override;
    void take_specimen(double share, double vbe) override;   // of beta_f; volts more of VBE at a given current

private:
    Values type_, values_;
};

}  // namespace tallyboard::detail
