#include "compare/charges.h"

#include <algorithm>

#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

// By how much the charges may exceed the true cost of `inserted` and `bypassed` composites that kept cells connect, at most, of
// all shapes that cost less than `target`. Cells as dense as they can be; `joins`: further cells of the nets as they are made one.
double excess(const Charges& charges, int inserted, int bypassed, int target) {
    const int all = inserted + bypassed;
    double most = -1e9;
    auto shape = [&](int joins, double further) {
        most = std::max(most, charges.left * all + charges.further * further - costs::series * all - costs::piece * joins);
    };
    auto costs_less = [&](int joins) { return costs::series * all + costs::piece * joins < target; };
    if (inserted == 0 || bypassed == 0) {   // one net made of several, and nets of the other side with cells on all of them
        for (int joins = 0; costs_less(joins); ++joins) shape(joins, (all + 1.0) * (joins + 1) - std::min(all, joins) - 1);
        return most;
    }
    // One such net on each side, and single nets beside each.
    for (int joins = 0; costs_less(joins); ++joins)
        for (int beside = 0; beside <= joins; ++beside) {
            const int other = joins - beside;
            const double cells = (1.0 + bypassed) * (1 + inserted) + beside * (1.0 + bypassed) + other * (1.0 + inserted);
            shape(joins, cells - std::min({2 + all, 1 + bypassed + other, 1 + inserted + beside}));
        }
    // Three such nets or more, `edges` cells among them: no more than this, whatever the shape.
    for (int nets = 3; nets <= all; ++nets)
        for (int edges = nets - 1; edges <= nets * nets / 4; ++edges)
            for (int beside = 0; costs_less(2 * edges + beside - nets); ++beside)
                shape(2 * edges + beside - nets,
                      3.0 * edges + 2 * beside + (all - nets) * (beside + nets - 1.0) + inserted * bypassed - 2);
    return most;
}

}  // namespace

bool is_safe(const Charges& charges, int together, int target) {
    for (int all = 1; all <= together && costs::series * all < target; ++all)
        for (int inserted = 0; inserted <= all; ++inserted)
            if (excess(charges, inserted, all - inserted, target) > 1e-9) return false;
    return true;
}

Charges safe_charges(int together, int target) {
    if (together == 0) return {};
    // A further cell stands for every terminal that goes astray, a part left over for a few.
    for (double further : {3.0, 2.5, 2.25, 2.0, 1.75, 1.5, 1.25, 1.0, 0.75, 0.5})
        for (double left : {2.0, 1.5, 1.0})
            if (is_safe({left, further}, together, target)) return {left, further};
    return {3, 0};
}

}  // namespace tallyboard::detail
