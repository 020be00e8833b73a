// The checker refuses what is not so.
#include <catch2/catch.hpp>

#include "compare/compared.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

struct Pair {
    Circuit drawn, found;
    Comparison comparison;
    bool accepted() const { return check_comparison(drawn, found, comparison).empty(); }
};

Pair spoiled_stage() {
    std::string found = with(stage, "4k7", "5k6");
    found = with(found, "\"C OUT\"", "\"C IN\"");
    found = with(found, R"(<part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)", "");
    Pair pair{drawing(stage), board(found), {}};
    pair.comparison = compare(pair.drawn, pair.found);
    return pair;
}

void drop(Pair& pair, What what) {
    const auto is = [&](const Finding& finding) { return finding.what == what; };
    REQUIRE(std::count_if(pair.comparison.findings.begin(), pair.comparison.findings.end(), is) == 1);
    for (const Finding& finding : pair.comparison.findings)
        if (is(finding)) pair.comparison.cost -= finding.cost;
    std::erase_if(pair.comparison.findings, is);
    pair.comparison.bound = pair.comparison.cost;
}

}  // namespace

TEST_CASE("the checker accepts a true comparison") { CHECK(spoiled_stage().accepted()); }

TEST_CASE("the checker refuses a comparison that keeps a finding to itself") {
    for (What what : {What::value, What::moved, What::missing}) {
        Pair pair = spoiled_stage();
        drop(pair, what);
        CHECK_FALSE(pair.accepted());
    }
}

TEST_CASE("the checker refuses a sum that is not the findings'") {
    Pair pair = spoiled_stage();
    ++pair.comparison.cost;
    CHECK_FALSE(pair.accepted());
}

TEST_CASE("the checker refuses a price that is not the format's") {
    Pair pair = spoiled_stage();
    ++pair.comparison.findings.front().cost;
    ++pair.comparison.cost;
    ++pair.comparison.bound;
    CHECK_FALSE(pair.accepted());
}

TEST_CASE("the checker refuses a part with two partners, or none") {
    Pair two = spoiled_stage();
    two.comparison.parts[1].board = two.comparison.parts[2].board;
    CHECK_FALSE(two.accepted());
    Pair none = spoiled_stage();
    none.comparison.parts.pop_back();
    CHECK_FALSE(none.accepted());
}

TEST_CASE("the checker refuses pins in an order that the kind does not allow") {
    Pair pair = spoiled_stage();
    for (PartPair& each : pair.comparison.parts)
        if (pair.drawn[each.drawing].ref == "C2") std::swap(each.board_pins[0], each.board_pins[1]);
    CHECK_FALSE(pair.accepted());
}

TEST_CASE("the checker refuses a proof whose bound is not the cost") {
    Pair pair = spoiled_stage();
    REQUIRE(pair.comparison.proved);
    --pair.comparison.bound;
    CHECK_FALSE(pair.accepted());
}

TEST_CASE("the checker refuses a finding too many") {
    Pair pair = spoiled_stage();
    Finding extra = pair.comparison.findings.front();
    extra.id += "#2";
    pair.comparison.cost += extra.cost;
    pair.comparison.bound += extra.cost;
    pair.comparison.findings.push_back(extra);
    CHECK_FALSE(pair.accepted());
}
