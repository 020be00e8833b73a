// random_circuits: believable audio circuits of any size, for tests that need many. Stages as the trade builds them, with
// bias networks that work, chained from an input jack to an output jack; the same seed gives the same circuit everywhere.
#pragma once

#include "support/draft.h"

namespace tallyboard::test {

enum class Style { transistor, opamp, valve, supply, mixed };
// chain: one channel. stereo: two channels alike on common rails. ladder: a chain with a long row of equal sections.
// desk: many channels into one mixing bus, some of them alike; the only one of several hundred parts and more.
enum class Shape { chain, stereo, ladder, desk };

struct Recipe {
    std::uint64_t seed = 1;
    Style style = Style::transistor;
    Shape shape = Shape::chain;
    std::size_t parts = 30;       // exactly so many (packages written as sections count each section); at least 5
    bool roles = true;            // <net role=""> for rails and ground
    bool setup = true;            // <setup> with supplies, source and load, so that it can be solved
    bool whole_packages = false;  // every second filled package is written whole (dual-opamp, twin-triode) instead of as sections
};

Draft random_circuit(const Recipe& recipe);

// The recipe that a numbered case of a test uses: styles in turn, a third of them stereo or ladders, everything else from
// the seed; a desk above 400 parts.
Recipe recipe_of_case(std::uint64_t seed, std::size_t parts);

// Two to six parts thrown together over a few nets, without any sense: polarised parts, packages, links and parts alike
// among them. For comparing with exhaustive search. The number of parts counts a package's sections once.
Draft tiny_circuit(Random& random, std::size_t parts);

std::string_view style_word(Style style);
std::string_view shape_word(Shape shape);

}  // namespace tallyboard::test
