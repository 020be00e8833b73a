// What the proof charges for composites, held against shapes of joined nets made at random; and bounds of circuits whose least
// cost is known.
#include <algorithm>
#include <set>

#include <catch2/catch.hpp>

#include "compare/bound.h"
#include "compare/charges.h"
#include "compare/compare.h"
#include "compare/problem.h"
#include "support/mutate.h"
#include "support/random_circuits.h"
#include "support/text_circuit.h"

using namespace tallyboard;
using namespace tallyboard::test;
using tallyboard::detail::Charges;
using tallyboard::detail::is_safe;
using tallyboard::detail::safe_charges;

namespace {

// Nets of both sides as composites make them one: each has one net more than composites. Kept cells connect them, and are cells of
// single nets underneath.
struct Knot {
    std::vector<int> drawn, found;               // nets made one -> how many nets
    std::set<std::pair<int, int>> kept;          // of nets made one
    std::vector<std::pair<int, int>> cells;      // of nets: drawn, found
};

Knot random_knot(Random& random) {
    Knot knot;
    auto size = [&] { return 1 + static_cast<int>(random.chance(40) ? random.below(4) : 0); };
    knot.drawn = {size()};
    knot.found = {size()};
    knot.kept = {{0, 0}};
    for (std::size_t more = random.below(7); more > 0; --more) {   // each new net hangs on one of the other side
        if (random.chance(50)) {
            knot.kept.insert({static_cast<int>(knot.drawn.size()), static_cast<int>(random.below(knot.found.size()))});
            knot.drawn.push_back(size());
        } else {
            knot.kept.insert({static_cast<int>(random.below(knot.drawn.size())), static_cast<int>(knot.found.size())});
            knot.found.push_back(size());
        }
    }
    if (random.chance(20)) knot.kept.insert({static_cast<int>(random.below(knot.drawn.size())), static_cast<int>(random.below(knot.found.size()))});
    auto first_of = [](const std::vector<int>& sizes, int net) {
        int at = 0;
        for (int i = 0; i < net; ++i) at += sizes[static_cast<std::size_t>(i)];
        return at;
    };
    const unsigned dense = random.chance(50) ? 100 : 60;
    for (const auto& [a, x] : knot.kept) {
        const std::size_t before = knot.cells.size();
        const int from = first_of(knot.drawn, a), to = first_of(knot.found, x);
        for (int i = 0; i < knot.drawn[static_cast<std::size_t>(a)]; ++i)
            for (int k = 0; k < knot.found[static_cast<std::size_t>(x)]; ++k)
                if (random.chance(dense)) knot.cells.emplace_back(from + i, to + k);
        if (knot.cells.size() == before) knot.cells.emplace_back(from, to);
    }
    return knot;
}

int composites(const Knot& knot) {
    int out = 0;
    for (const auto* sizes : {&knot.drawn, &knot.found})
        for (int size : *sizes) out += size - 1;
    return out;
}

int true_cost(const Knot& knot) {
    return 4 * composites(knot) + 3 * (2 * static_cast<int>(knot.kept.size()) - static_cast<int>(knot.drawn.size() + knot.found.size()));
}

bool find_place(const Knot& knot, int drawn, std::vector<int>& taken_by, std::vector<char>& tried) {
    for (const auto& [a, x] : knot.cells) {
        if (a != drawn || tried[static_cast<std::size_t>(x)]) continue;
        tried[static_cast<std::size_t>(x)] = 1;
        int& holder = taken_by[static_cast<std::size_t>(x)];
        if (holder >= 0 && !find_place(knot, holder, taken_by, tried)) continue;
        holder = drawn;
        return true;
    }
    return false;
}

// Cells beyond the most that can be had with each net in one only.
int further_cells(const Knot& knot) {
    int nets = 0;
    for (const auto& [a, x] : knot.cells) nets = std::max({nets, a + 1, x + 1});
    std::vector<int> taken_by(static_cast<std::size_t>(nets), -1);
    int matched = 0;
    for (int a = 0; a < nets; ++a) {
        std::vector<char> tried(static_cast<std::size_t>(nets), 0);
        matched += find_place(knot, a, taken_by, tried);
    }
    return static_cast<int>(knot.cells.size()) - matched;
}

}  // namespace

TEST_CASE("charges called safe never come to more than what composites cost") {
    Random random(20);
    int exceeded = 0;
    for (int round = 0; round < 400000; ++round) {
        const Knot knot = random_knot(random);
        const int cost = true_cost(knot), further = further_cells(knot), all = composites(knot);
        for (double piece : {3.0, 2.5, 2.0, 1.75, 1.5, 1.25, 1.0, 0.75})
            for (double left : {3.0, 2.0, 1.5, 1.0}) {
                if (left * all + piece * further <= cost + 1e-9) continue;
                ++exceeded;
                if (!is_safe({left, piece}, all, cost + 1)) continue;
                CAPTURE(piece, left, cost, all, further);
                FAIL("said to be safe above this cost");
            }
    }
    CHECK(exceeded > 100000);
}

TEST_CASE("the dearer an answer, the less may be charged") {
    CHECK(safe_charges(0, 50) == Charges{3, 3});
    Charges before{3, 3};
    for (int target = 5; target <= 70; ++target) {
        const Charges now = safe_charges(20, target);
        CHECK(is_safe(now, 20, target));
        CHECK(now.further <= before.further);
        before = now;
    }
    CHECK(safe_charges(20, 10) == Charges{1, 3});
    CHECK(safe_charges(20, 16) == Charges{1, 2});
    // One composite by itself never takes much.
    CHECK(safe_charges(1, 1000).further == 1.5);
}

TEST_CASE("parts alone give a bound at any size") {
    const auto least = [](const std::string& drawn, const std::string& found) {
        const Circuit one = drawing(drawn), other = board(found);
        return detail::bound_by_parts(*detail::make_problem(one, other, {}));
    };
    const std::string r10 = R"(<part ref="R1" kind="resistor" value="10k" pins="a b"/>)", c = R"(<part ref="C1" kind="capacitor" value="1n" pins="b c"/>)";
    CHECK(least(r10 + c, r10 + c) == 0);
    CHECK(least(r10 + c, r10) == 3);
    CHECK(least(r10, r10 + c) == 3);
    CHECK(least(r10 + c, R"(<part ref="R1" kind="resistor" value="12k" pins="a b"/>)" + c) == 1);
    CHECK(least(r10, R"(<part ref="R1" kind="resistor" pins="a b"/>)") == 0);                  // value not known
    CHECK(least(R"(<part ref="R1" kind="resistor" value="10k" pins="a b" fit="optional"/>)" + c, c) == 0);
}

TEST_CASE("three edits on 20 to 60 parts are mostly proved, and no bound is above them") {
    int proved = 0;
    constexpr int cases = 24;
    for (std::uint64_t seed = 1; seed <= cases; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 20 + 10 * (seed % 5)));
        SpoilOptions options;
        options.edits = 3;
        const Spoiled spoiled = spoil(draft, options, seed);
        const Circuit one = read_draft(draft, CircuitRole::drawing), other = read_draft(spoiled.board, CircuitRole::board);
        const Comparison comparison = compare(one, other);
        CAPTURE(seed, comparison.cost, comparison.bound, edits_text(spoiled.edits));
        CHECK(comparison.bound <= spoiled.cost);
        proved += comparison.proved;
    }
    CHECK(proved >= cases - 3);
}
