#pragma once

#include <optional>
#include <string>
#include <vector>

#include "family/family.h"

namespace tallyboard {

// Between which units and dates something came in. Serial bounds are empty where no numbered unit gives one.
struct Bounds {
    std::optional<std::size_t> after, by;     // last unit that has the old, first that has the new (indices of units); of a variant:
                                              // the last unit before the change that ended it, the first behind the one that began it
    std::optional<Day> not_before, not_after; // days between which it came in, from the dates that can be trusted
};

// One place that changed.
struct PlaceChange { std::size_t row = 0; std::string from, to; };

// What came in together: one change of production.
struct ProductionChange {
    std::vector<PlaceChange> places;
    std::size_t last_old = 0, first_new = 0;  // the units nearest to it on either side, in the order of numbers, else of dates
    Bounds bounds;
    std::size_t old_units = 0, new_units = 0; // how many support it on either side
    bool drawn_old = false;                   // the old is what the drawing shows
    std::string says;                         // "R7 47k to 56k: after 00410 (1971), by 00731 (1972)"
};

// A difference of one unit, or one whose evidence says that it is later work.
struct OwnDifference { std::size_t row = 0, unit = 0; std::string why, says; };

// A row whose states do not follow the order of the units, or that too few units tell of.
struct Undecided { std::size_t row = 0; std::string says; };

// A unit whose date contradicts the serial order of others.
struct Misdated { std::size_t unit = 0; std::string says; };

// A version of the design: the production changes 0 … k-1 are in, the later ones not. `units`: those that are surely of it.
struct Variant {
    std::string name;                         // "version 1"
    std::vector<std::size_t> units;
    Bounds bounds;                            // from the change that began it, to the one that ended it
};

struct FamilyHistory {
    std::vector<ProductionChange> changes;    // in the order they came in
    std::vector<OwnDifference> own;
    std::vector<PlaceChange> common;          // as no drawing has it, but every unit: the drawing is wrong or of another version
    std::vector<Undecided> undecided;
    std::vector<Misdated> misdated;
    std::vector<Variant> variants;            // one more than changes
};

// On which side of a change a cell of its place stands; unknown where it is not traced, later work, or neither.
enum class Side { unknown, out, in };
Side side_of(const FamilyHistory& history, std::size_t change, const PlaceChange& place, const Cell& cell);

// What the table says of production, repairs and order. A change is told only where two units or the drawing stand on the old
// side and two units on the new; no difference that two units contradict on either side is called production. Uncertain dates are ranges
// throughout; dates that contradict the serial order are told and not used.
FamilyHistory read_history(const GatheredFamily& family);

}  // namespace tallyboard
