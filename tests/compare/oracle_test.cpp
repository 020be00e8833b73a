// Against exhaustive search on circuits of two to six parts, with untraced pins, packages, composites and equivalents.
#include <algorithm>

#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "compare/oracle.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// The board is the drawing spoiled, or another circuit of the same sort.
struct Case { Draft drawing, board; int at_most = 0; };

Case random_case(std::uint64_t seed) {
    Random random(seed * 77 + 5);
    Case result;
    const std::size_t parts = 2 + random.below(4);
    result.drawing = tiny_circuit(random, parts);
    if (random.chance(25)) {
        result.board = tiny_circuit(random, 1 + random.below(4));
        result.at_most = 3 * static_cast<int>(result.drawing.parts.size() + result.board.parts.size());
    } else {
        SpoilOptions options;
        options.edits = random.below(4);
        options.equivalents = random.below(2);
        options.untraced = random.chance(30) ? 15 : 0;
        options.unknown = random.chance(30) ? 20 : 0;
        options.disguise = random.chance(20) ? Disguise::none : Disguise::all;
        const Spoiled spoiled = spoil(result.drawing, options, random.bits());
        result.board = spoiled.board;
        result.at_most = spoiled.cost;
    }
    if (random.chance(20)) std::swap(result.drawing, result.board);
    return result;
}

// The boundary of what the oracle can try in a moment.
bool is_small(const Case& each) { return each.drawing.parts.size() <= 6 && each.board.parts.size() <= 7; }

struct Tally { int cases = 0, proved = 0, least = 0; };

void against_oracle(std::uint64_t seed, Tally& tally) {
    const Case each = random_case(seed);
    if (!is_small(each)) return;
    const Circuit drawing = read_draft(each.drawing, CircuitRole::drawing), board = read_draft(each.board, CircuitRole::board);
    CompareOptions options;
    options.threads = 1;
    const Comparison comparison = compare(drawing, board, options);
    const std::vector<std::string> wrong = check_comparison(drawing, board, comparison);
    const std::optional<int> least = least_cost(drawing, board, std::max(each.at_most, comparison.cost));
    const bool well = wrong.empty() && least && comparison.cost >= *least && comparison.bound <= *least &&
                      (!comparison.proved || comparison.cost == *least);
    if (!well) {
        INFO("seed " << seed << ", least " << (least ? *least : -1) << ", cost " << comparison.cost << ", bound " << comparison.bound
                     << (comparison.proved ? ", proved\n" : ", not proved\n")
                     << drawing.source.bytes() << board.source.bytes());
        for (const Finding& finding : comparison.findings) UNSCOPED_INFO(finding.id);
        CHECK(wrong == std::vector<std::string>{});
        REQUIRE(least.has_value());
        CHECK(comparison.cost >= *least);
        CHECK(comparison.bound <= *least);
        if (comparison.proved) CHECK(comparison.cost == *least);
    }
    ++tally.cases;
    tally.proved += comparison.proved;
    tally.least += least && comparison.cost == *least;
}

}  // namespace

TEST_CASE("nothing proved is dearer than exhaustive search finds, nothing is cheaper") {
    Tally tally;
    for (std::uint64_t seed = 1; seed <= 4000; ++seed) against_oracle(seed, tally);
    CAPTURE(tally.cases, tally.proved, tally.least);
    CHECK(tally.cases > 3500);
    CHECK(tally.proved * 100 >= tally.cases * 96);
    CHECK(tally.least * 1000 >= tally.cases * 998);
}

TEST_CASE("with pairs given by hand the answer is the least among those that keep them") {
    int bound = 0, least_found = 0;
    for (std::uint64_t seed = 500001; seed <= 501500; ++seed) {
        const Case each = random_case(seed);
        if (!is_small(each) || each.drawing.parts.empty() || each.board.parts.empty()) continue;
        const Circuit drawing = read_draft(each.drawing, CircuitRole::drawing), board = read_draft(each.board, CircuitRole::board);
        Random random(seed);
        const DraftPart &drawn = random.pick(each.drawing.parts), &found = random.pick(each.board.parts);
        if (drawn.kind == "link" || found.kind != drawn.kind || !drawn.package.empty() || !found.package.empty()) continue;
        CompareOptions options;
        options.threads = 1;
        options.pairs = {{drawn.ref, found.ref}};
        const Comparison comparison = compare(drawing, board, options);
        const std::optional<int> least = least_cost(drawing, board, comparison.cost, {{drawn.ref, found.ref}});
        INFO("seed " << seed << ", " << drawn.ref << " bound to " << found.ref << "\n" << drawing.source.bytes() << board.source.bytes());
        CHECK(check_comparison(drawing, board, comparison) == std::vector<std::string>{});
        REQUIRE(least.has_value());
        if (comparison.proved) CHECK(comparison.cost == *least);
        CHECK(comparison.bound <= *least);
        ++bound;
        least_found += comparison.cost == *least;
    }
    CHECK(bound > 150);
    CHECK(least_found * 100 >= bound * 99);
}

TEST_CASE("no false proof in a hundred thousand tiny circuits", "[long]") {
    Tally tally;
    for (std::uint64_t seed = 10001; tally.cases < 100000; ++seed) against_oracle(seed, tally);
    CAPTURE(tally.cases, tally.proved, tally.least);
    CHECK(tally.proved * 100 >= tally.cases * 95);
}
