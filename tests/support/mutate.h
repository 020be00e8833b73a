// mutate: a board made from a drawing by known edits, then disguised as boards are: other references, other names, another
// order, other notations, pins not traced. The cost of the edits is an upper bound of what a comparison may find.
#pragma once

#include <string>
#include <vector>

#include "compare/finding.h"
#include "support/draft.h"

namespace tallyboard::test {

// How much of the drawing's naming the board keeps.
enum class Disguise {
    none,        // references, net names and order as drawn
    references,  // other references, in another order of numbers
    all,         // references, net names, the order of the file, notations, the order of pins that may be exchanged
};

struct SpoilOptions {
    std::size_t edits = 3;        // of the kinds that cost, all ten equally often
    std::size_t equivalents = 0;  // parts made up of two, at no cost
    unsigned untraced = 0;        // percent of the board's pins
    unsigned unknown = 0;         // percent of the board's values and type numbers
    Disguise disguise = Disguise::all;
};

struct Injected {
    What what = What::value;
    std::string place;   // the drawing's reference or pin; for an extra part the board's, before it was disguised
};

struct Spoiled {
    Draft board;
    std::vector<Injected> edits;   // fewer than asked where the circuit has no room for them
    int cost = 0;                  // of the edits together
};

Spoiled spoil(const Draft& drawing, const SpoilOptions& options, std::uint64_t seed);

// The disguise alone, for properties: the same circuit under other names; without its setup where the nets have others.
Draft disguise(const Draft& circuit, Disguise how, std::uint64_t seed);

// "2 moved, 1 split": for messages.
std::string edits_text(const std::vector<Injected>& edits);
std::string_view disguise_word(Disguise how);

}  // namespace tallyboard::test
