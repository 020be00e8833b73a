#pragma once

#include <optional>
#include <string>
#include <vector>

#include "family/history.h"

namespace tallyboard {

// A version held against the board: `against` says in words what speaks against it; empty: it fits.
struct VariantFit { std::size_t variant = 0; std::vector<std::string> against; };

// A place to look at, and what it would tell: what stands there in each version that is left, in their order.
enum class LookAt { marking, presence, connection };   // cheapest first
struct Look { std::size_t row = 0; LookAt at = LookAt::marking; std::vector<std::string> by_variant; };

// A place where base, board and sister are not all alike.
struct ThreeWay { std::string place, drawn, board, sister; };

struct Identification {
    std::vector<VariantFit> fits;             // every version, in order
    std::vector<std::size_t> left;            // those that fit; where none does, those with the least against them
    bool consistent = true;                   // false: none fits
    Bounds bounds;                            // of the versions left: `after`, `by`: numbers between which the unit lies
    std::vector<Look> looks;                  // the fewest places that decide between those left, cheapest first
    std::vector<std::string> undecidable;     // changes between those left that no place of this board can tell any more
    std::optional<std::size_t> sister;        // the unit most alike
    std::size_t sister_agrees = 0, sister_differs = 0;  // places that vary, known of both
    std::vector<ThreeWay> three_way;
    std::vector<std::string> own;             // what no unit of the family has there, in words
    std::vector<std::string> remarks;         // its own number or date against what its places say
};

// Which version of a family a board is. `comparison` is of the family's base with the board. What is later work by its own evidence
// says nothing of the version. Deterministic; the set of places is the least for up to 12 open changes, beyond that chosen greedily.
Identification identify(const GatheredFamily& family, const FamilyHistory& history, const Circuit& board, const Comparison& comparison);

// What a version has at a place, from the changes and what all units have; the drawn text where nothing is known.
std::string text_in_variant(const GatheredFamily& family, const FamilyHistory& history, std::size_t variant, std::size_t row);

std::string_view look_words(LookAt at);       // "read the marking"

}  // namespace tallyboard
