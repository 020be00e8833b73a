#pragma once

#include "solve/element.h"

namespace tallyboard::detail {

// The square law: current from drain to source and its slopes, for `over` the gate voltage beyond the threshold, V, and
// vds at or above 0. In saturation I = k·over²; below it k·vds·(2·over - vds). (C. Sah, IEEE Trans. Electron Devices 11, 1964.)
struct Channel { double current = 0, by_over = 0, by_vds = 0; };
Channel square_law(double over, double vds, double k);

// Nodes source gate drain. A square-law channel that works in both directions, p-channel with all signs turned. Junction FETs:
// k = idss/vp², threshold vp, and a junction of saturation current igs from the gate to either end. MOSFETs: igs = 0.
class FieldEffect final : public Copied<FieldEffect> {
public:
    struct Values { double k = 1e-3, threshold = -2, igs = 0, polarity = 1; };
    explicit FieldEffect(Values values) : Copied(3, 0), type_(values), values_(values) {}
    void rest(const double* x, double drive, double* f, double* j) const override;
    bool is_linear() const override { return false; }
    bool limit(const double* before, double* now) const override;
    void take_specimen(double share, double vbe) override;   // of IDSS at the same k, so that VP goes with its root; MOSFETs: of the threshold
    bool couples(int r, int c, bool) const override { return has_junctions() || r != 1 || c < 0; }
    int group(int node, bool) const override { return node == 1 && !has_junctions() ? alone : 0; }

private:
    bool has_junctions() const { return values_.igs > 0; }
    Values type_, values_;
};

}  // namespace tallyboard::detail
