// What holds for every circuit, on many random ones. A failing case is printed as the two files.
#include <algorithm>
#include <map>
#include <set>

#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// Counted steps enough for the properties; the bar for good answers is the benchmark's.
CompareOptions quick() {
    CompareOptions options;
    options.effort = 0.25;
    options.threads = 1;
    return options;
}

Comparison checked(const Circuit& drawing, const Circuit& board, const CompareOptions& options = quick()) {
    const Comparison comparison = compare(drawing, board, options);
    CHECK(check_comparison(drawing, board, comparison) == std::vector<std::string>{});
    return comparison;
}

std::string ids_text(const Comparison& comparison) {
    std::string text;
    for (const Finding& finding : comparison.findings) text += finding.id + " ";
    return text;
}

std::map<std::string, int> kinds_of_findings(const Comparison& comparison) {
    std::map<std::string, int> result;
    for (const Finding& finding : comparison.findings)
        if (finding.cost > 0) ++result[std::string(what_word(finding.what))];
    return result;
}

constexpr std::size_t sizes[] = {5, 12, 20, 30, 45, 70, 100};
std::size_t size_of_case(std::uint64_t seed) { return sizes[seed % std::size(sizes)]; }

}  // namespace

TEST_CASE("a circuit compared with itself has nothing that costs, and every reference meets its own") {
    for (std::uint64_t seed = 1; seed <= 100; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, size_of_case(seed)));
        INFO("seed " << seed);
        const Circuit drawing = read_draft(draft, CircuitRole::drawing), board = read_draft(draft, CircuitRole::board);
        const Comparison same = checked(drawing, board);
        CHECK(ids_text(same) == "");
        CHECK(same.proved);
        // A section's partner is its package.
        const auto name = [](const Part& part) { return part.package.empty() ? part.ref : part.package; };
        for (const PartPair& pair : same.parts) CHECK(name(drawing[pair.drawing]) == name(board[pair.board]));
    }
}

TEST_CASE("a circuit under other names and in another order has nothing that costs") {
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, size_of_case(seed)));
        INFO("seed " << seed);
        const Comparison same = checked(read_draft(draft, CircuitRole::drawing),
                                        read_draft(disguise(draft, Disguise::all, seed), CircuitRole::board));
        CHECK(ids_text(same) == "");
        CHECK(same.proved);
    }
}

TEST_CASE("a proved answer is never dearer than the edits that made the board") {
    int unproved = 0, dearer = 0;
    for (std::uint64_t seed = 1; seed <= 70; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, size_of_case(seed)));
        SpoilOptions options;
        options.edits = 1 + seed % 4;
        options.disguise = seed % 3 == 0 ? Disguise::none : seed % 3 == 1 ? Disguise::references : Disguise::all;
        options.untraced = seed % 5 == 0 ? 6 : 0;
        options.unknown = seed % 5 == 0 ? 5 : 0;
        options.equivalents = seed % 7 == 0 ? 1 : 0;
        const Spoiled spoiled = spoil(draft, options, seed);
        INFO("seed " << seed << ": " << edits_text(spoiled.edits));
        const Comparison comparison = checked(read_draft(draft, CircuitRole::drawing), read_draft(spoiled.board, CircuitRole::board));
        if (comparison.proved) CHECK(comparison.cost <= spoiled.cost);
        CHECK(comparison.bound <= spoiled.cost);
        unproved += !comparison.proved;
        dearer += comparison.cost > spoiled.cost;
    }
    // At a quarter of the usual effort; the benchmark tells the rest.
    CHECK(unproved <= 6);
    CHECK(dearer == 0);
}

TEST_CASE("renaming, shuffling and rewriting the board changes no cost") {
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 12 + seed % 30));
        SpoilOptions options;
        options.edits = 2;
        options.disguise = Disguise::none;
        const Spoiled spoiled = spoil(draft, options, seed);
        INFO("seed " << seed << ": " << edits_text(spoiled.edits));
        const Circuit drawing = read_draft(draft, CircuitRole::drawing);
        const Comparison plain = checked(drawing, read_draft(spoiled.board, CircuitRole::board));
        const Comparison other = checked(drawing, read_draft(disguise(spoiled.board, Disguise::all, seed), CircuitRole::board));
        if (plain.proved && other.proved) CHECK(plain.cost == other.cost);
    }
}

TEST_CASE("with the sides exchanged the cost is the same and the findings change places") {
    std::map<std::string, std::string> mirrored{{"missing", "extra"}, {"extra", "missing"}, {"split", "joined"}, {"joined", "split"},
                                                {"inserted", "bypassed"}, {"bypassed", "inserted"}};
    int compared_kinds = 0;
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 12 + seed % 25));
        SpoilOptions options;
        options.edits = 1 + seed % 3;
        const Spoiled spoiled = spoil(draft, options, seed);
        INFO("seed " << seed << ": " << edits_text(spoiled.edits));
        const Comparison there = checked(read_draft(draft, CircuitRole::drawing), read_draft(spoiled.board, CircuitRole::board));
        const Comparison back = checked(read_draft(spoiled.board, CircuitRole::drawing), read_draft(draft, CircuitRole::board));
        // A type number that only adds a suffix agrees one way round alone.
        const auto count = [](const Comparison& comparison, What what) {
            return std::count_if(comparison.findings.begin(), comparison.findings.end(), [&](const Finding& finding) { return finding.what == what; });
        };
        if (count(there, What::equivalent) + count(back, What::equivalent) > 0) continue;
        if (!there.proved || !back.proved || count(there, What::value) + count(back, What::value) > 0) continue;
        CHECK(there.cost == back.cost);
        std::map<std::string, int> expected;
        for (const auto& [what, number] : kinds_of_findings(there)) expected[mirrored.contains(what) ? mirrored[what] : what] += number;
        // Two sets of findings may cost the same; where one finding alone costs so much the kinds must mirror.
        if (there.findings.size() != 1 || back.findings.size() != 1) continue;
        CHECK(kinds_of_findings(back) == expected);
        ++compared_kinds;
    }
    CHECK(compared_kinds >= 3);
}

TEST_CASE("the answer does not depend on the number of threads and is the same each time") {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 60));
        SpoilOptions spoil_options;
        spoil_options.edits = 8;
        const Circuit drawing = read_draft(draft, CircuitRole::drawing);
        const Circuit board = read_draft(spoil(draft, spoil_options, seed).board, CircuitRole::board);
        CompareOptions options = quick();
        const Comparison one = checked(drawing, board, options);
        options.threads = 3;
        const Comparison three = checked(drawing, board, options);
        INFO("seed " << seed);
        CHECK(ids_text(one) == ids_text(three));
        CHECK(one.cost == three.cost);
        CHECK(one.bound == three.bound);
        CHECK(one.proved == three.proved);
        REQUIRE(one.parts.size() == three.parts.size());
        for (std::size_t i = 0; i < one.parts.size(); ++i) CHECK(one.parts[i].board == three.parts[i].board);
    }
}

TEST_CASE("more effort never gives a dearer answer or a lower bound, seen on small circuits") {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 30));
        SpoilOptions spoil_options;
        spoil_options.edits = 10;
        const Circuit drawing = read_draft(draft, CircuitRole::drawing);
        const Circuit board = read_draft(spoil(draft, spoil_options, seed).board, CircuitRole::board);
        CompareOptions options = quick();
        const Comparison little = checked(drawing, board, options);
        options.effort = 1;
        const Comparison more = checked(drawing, board, options);
        INFO("seed " << seed);
        CHECK(more.cost <= little.cost);
        if (little.proved) CHECK(more.cost == little.cost);
        CHECK(more.bound <= little.cost);
    }
}
