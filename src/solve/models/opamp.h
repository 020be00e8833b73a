#pragma once

#include "solve/element.h"

namespace tallyboard::detail {

// An op-amp section. Nodes out in- in+ v- v+ and, for programmable types drawn with it, set; own current into the output.
// Output voltage a0·(V+ - V- + vos), with one pole at gbw/a0 in small signal, held between the rails less their headrooms and,
// in current, to iout; the output current comes from v+ or goes to v-, with the supply current beside it. A rail that is left
// out limits nothing and gives its current from the reference net.
class OpAmp final : public Copied<OpAmp> {
public:
    struct Values {
        double a0 = 2e5, gbw = 1e6, vos = 0;
        double headroom_high = 1.5, headroom_low = 1.5;  // volts the output stays short of v+ and v-
        double iout = 0.025;      // largest output current, A; 0: no limit
        double rout = 0;          // ohms in series with the output
        double isupply = 0;       // A from v+ to v-
        double ib = 0;            // A into each input
        // Programmable types: supply current and bandwidth per ampere of set current; the set resistor where it has no pin.
        double set_supply = 0, set_gbw = 0, rset = 0;
        bool has_minus = false, has_plus = false, has_set = false;
    };
    explicit OpAmp(Values values) : Copied(values.has_set ? 6 : 5, 1), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    void moving(const double* x, double omega, std::complex<double>* y) const override;
    bool is_linear() const override { return false; }
    bool limit(const double* before, double* now) const override;
    bool couples(int r, int c, bool at_rest) const override;
    int group(int node, bool at_rest) const override;

private:
    struct Limits { double low, high; };
    Limits limits(const double* x) const;
    double unlimited(const double* x) const { return values_.a0 * (x[2] - x[1] + values_.vos); }
    struct Set { double amperes = 0, slope = 0; };
    Set set_current(const double* x) const;
    void rest_supply(const double* x, double* f, double* j) const;
    Values values_;
};

}  // namespace tallyboard::detail
