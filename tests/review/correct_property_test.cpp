#include <catch2/catch.hpp>

#include "review/corrected.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// What is left when a drawing with every finding carried out is compared again; empty: nothing.
std::string left_over(const Circuit& drawn, const Circuit& found, const Comparison& comparison, std::string& text) {
    text = corrected_drawing(drawn, found, comparison);
    const Circuit again = read_circuit(SourceText("corrected.xml", text), built_in_kinds(), CircuitRole::drawing);
    const Comparison after = compare(again, found);
    std::string left;
    for (const Finding& finding : after.findings)
        if (finding.cost > 0) left += finding.id + " ";
    return left;
}

void check_case(std::uint64_t seed, std::size_t parts, std::size_t edits, unsigned untraced) {
    const Draft draft = random_circuit(recipe_of_case(seed, parts));
    SpoilOptions options;
    options.edits = edits;
    options.untraced = untraced;
    options.unknown = untraced;
    const Spoiled spoiled = spoil(draft, options, seed);
    const Circuit drawn = read_draft(draft, CircuitRole::drawing);
    const Circuit found = read_draft(spoiled.board, CircuitRole::board);
    const Comparison comparison = compare(drawn, found);
    std::string text, left;
    try {
        left = left_over(drawn, found, comparison, text);
    } catch (const std::exception& error) {
        left = error.what();
    }
    std::string told;
    for (const Finding& finding : comparison.findings)
        if (finding.cost > 0) told += finding.id + " ";
    INFO("seed " << seed << ", " << parts << " parts, " << edits_text(spoiled.edits) << "\nfindings " << told << "\nleft " << left);
    CHECK(left.empty());
}

}  // namespace

TEST_CASE("a drawing with every finding carried out agrees with its board") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) check_case(seed, 8 + seed % 30, 1 + seed % 5, 0);
}

TEST_CASE("it does so where the trace has gaps") {
    for (std::uint64_t seed = 500; seed <= 525; ++seed) check_case(seed, 8 + seed % 30, 1 + seed % 4, 8);
}

TEST_CASE("small dense circuits are corrected too") {
    Random random(99);
    for (int i = 0; i < 120; ++i) {
        const Draft draft = tiny_circuit(random, 2 + random.below(5));
        const Spoiled spoiled = spoil(draft, {.edits = 1 + random.below(4)}, random.bits());
        const Circuit drawn = read_draft(draft, CircuitRole::drawing);
        const Circuit found = read_draft(spoiled.board, CircuitRole::board);
        std::string text, left;
        const Comparison comparison = compare(drawn, found);
        try {
            left = left_over(drawn, found, comparison, text);
        } catch (const std::exception& error) {
            left = error.what();
        }
        std::string told;
        for (const Finding& finding : comparison.findings)
            if (finding.cost > 0) told += finding.id + " ";
        INFO("case " << i << " findings " << told << "\nleft " << left << "\n" << xml_text(draft, CircuitRole::drawing) << xml_text(spoiled.board, CircuitRole::board) << text);
        CHECK(left.empty());
    }
}

TEST_CASE("larger circuits are corrected", "[long]") {
    for (std::uint64_t seed = 1000; seed <= 1300; ++seed) check_case(seed, 20 + seed % 200, 1 + seed % 12, seed % 3 == 0 ? 5 : 0);
}

TEST_CASE("any part of the findings can be carried out, and the file is read again") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 10 + seed % 25));
        const Spoiled spoiled = spoil(draft, {.edits = 4}, seed + 7000);
        const Circuit drawn = read_draft(draft, CircuitRole::drawing);
        const Circuit found = read_draft(spoiled.board, CircuitRole::board);
        const Comparison comparison = compare(drawn, found);
        Random random(seed);
        std::set<std::string> accepted;
        int cost = 0;
        for (const Finding& finding : comparison.findings)
            if (finding.cost > 0 && random.chance(50)) accepted.insert(finding.id), cost += finding.cost;
        // A value that belongs to another kind needs that kind.
        for (const Finding& finding : comparison.findings)
            if (finding.what == What::value && accepted.count(finding.id))
                for (const Finding& other : comparison.findings)
                    if (other.what == What::kind && other.drawing_parts == finding.drawing_parts && accepted.insert(other.id).second)
                        cost += other.cost;
        const std::string text = corrected_drawing(drawn, found, comparison, &accepted);
        const Circuit again = read_corrected(text);
        const Comparison after = compare(again, found);
        std::string told, left;
        for (const Finding& finding : comparison.findings)
            if (finding.cost > 0) told += (accepted.count(finding.id) ? "+" : "") + finding.id + " ";
        for (const Finding& finding : after.findings)
            if (finding.cost > 0) left += finding.id + " ";
        INFO("seed " << seed << "\n" << told << "\nleft " << left << "\n" << xml_text(draft, CircuitRole::drawing) << xml_text(spoiled.board, CircuitRole::board) << text);
        // What was carried out is no difference any more, and nothing is made worse.
        CHECK(after.cost <= comparison.cost - cost);
    }
}
