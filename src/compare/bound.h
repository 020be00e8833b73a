#pragma once

#include "compare/pairing.h"

namespace tallyboard::detail {

// A lower bound on the cost of every pairing of a problem: two assignments, of parts and of nets, tied by multipliers.
//
// Let w(A, x) say that the cell of drawn net A and found net x is kept, and k(t, x) that terminal t of the drawing is kept on
// found net x. k(t, x) <= w(net of t, x) is not asked for but paid for, mu(t, x) in [0, 2]; likewise nu(t', A) for terminals of the
// board. Then a pair of parts costs its kind, value and the least over its maps of `reversed` + sum over pins of min(2, mu + nu),
// leaving parts over costs e each, and a cell earns r(A, x) = sum of mu over A + sum of nu over x, the first of each net free and
// further ones at s: the nets give -(sum of max(0, r - s) + best assignment of min(r, s)). For any multipliers the sum is a bound;
// they are bettered by sweeps, which give each multiplier what its pairs and cells have to spare, and by subgradient steps. Costs are
// whole, so a bound above C - 1 proves C.
//
// Composites cost 4 where this counts e and some s, so e and s start lower (charges.h); a part whose being left over, or being a
// composite, would lift the bound to C is no composite of a cheaper pairing; others are tried as composites one by one. See
// docs/comparing.md.
// Sources: Gilmore 1962, Lawler 1963, Held, Wolfe, Crowder 1974, Fisher 1981.
//
// `cost`: that of the best pairing known; what cannot belong to a cheaper one is left out as the bound grows. `around`: any pairing
// of this problem; it says which parts are likely to be left over, and may be dearer than `cost`. Returns the least that any pairing
// can cost, as far as is known, at most `cost`. `steps`: how many steps at most, counted as those of a circuit of a hundred parts.
// Above 700 parts a side only parts are counted. Deterministic.
int lower_bound(const Problem& problem, int cost, const Solution& around, int steps);

// What the kinds and values of the parts alone ask, whatever the nets. Linear but for the number of sorts of parts.
int bound_by_parts(const Problem& problem);

}  // namespace tallyboard::detail
