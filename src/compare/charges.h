#pragma once

namespace tallyboard::detail {

// What the proof may charge where a part may be inserted or bypassed: for leaving a part over, and for a further cell of a net.
struct Charges {
    double left = 3, further = 3;
    friend bool operator==(const Charges&, const Charges&) = default;
};

// Whether every set of findings with composites that costs less than `target` costs at least what these charges make of it.
// `together`: no more than so many composites can stand on nets that they or kept cells connect. See docs/comparing.md.
bool is_safe(const Charges& charges, int together, int target);

// The strongest charges that are safe.
Charges safe_charges(int together, int target);

}  // namespace tallyboard::detail
