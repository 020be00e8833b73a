#pragma once

#include <vector>

#include "compare/grow.h"
#include "compare/pairing.h"

namespace tallyboard::detail {

// Whether something about a drawn part costs, or its terminals go where few others go: worth looking at again.
bool is_suspect(const Pairing& pairing, int p);

// Makes a pairing cheaper by single changes until none helps: other orders of pins, other partners, exchanges of partners,
// parts left over, composites. `focus`: the drawn parts to begin with; empty: all.
void improve(Pairing& pairing, const Surroundings& around, const std::vector<int>& focus = {});

// Pairs what is free and no composite, then improves.
void complete(Pairing& pairing, const Surroundings& around);

// A first pairing: grown from nothing, then improved.
Solution first_solution(const Problem& problem, const Surroundings& around, const GrowHabit& habit, std::uint64_t seed);

// The cheapest pairing found by `rounds` of ruin and rebuild from `start`; stops early at a cost of `enough`. Repeatable for a
// seed: rounds are counted, never timed. Sources: Shaw 1998.
Solution search(const Problem& problem, const Surroundings& around, const Solution& start, int rounds, int enough, std::uint64_t seed);

}  // namespace tallyboard::detail
