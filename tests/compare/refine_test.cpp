// Equal circuits are found equal by refinement alone, whatever they hold: the search is not asked.
#include <catch2/catch.hpp>

#include "compare/compared.h"
#include "compare/refine.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

int refined_cost(const Circuit& drawing, const Circuit& board) {
    const auto problem = detail::make_problem(drawing, board, {});
    const auto solution = detail::refine_together(*problem);
    return solution ? solution->cost : -1;
}

// A transformer before something symmetrical: nothing tells its secondary's ends apart, its primary's are told apart.
constexpr const char* around_transformer = R"(<part ref="TB1" kind="terminal" pins="L"/> <part ref="F1" kind="fuse" value="1A" pins="L LF"/>
    <part ref="TB2" kind="terminal" pins="N"/> <part ref="C1" kind="electrolytic" value="1m" pins="plus=V minus=0V"/>)";

}  // namespace

TEST_CASE("windings turned together before a bridge agree, in whatever order the pins are mentioned") {
    const Circuit drawn = drawing(std::string(around_transformer) +
        R"(<part ref="T1" kind="transformer" value="10:1" pins="p1=LF p2=N s1=A s2=B"/>
           <part ref="BR1" kind="bridge" pins="ac1=A ac2=B plus=V minus=0V"/>)");
    for (const std::string pins : {"p1=LF p2=N s1=B s2=A", "p1=N s2=A s1=B p2=LF", "s2=B p2=LF s1=A p1=N", "p2=N s2=A p1=LF s1=B"}) {
        INFO(pins);
        const Circuit found = board(std::string(around_transformer) + "<part ref='T1' kind='transformer' value='10:1' pins='" + pins +
                                    "'/> <part ref='BR1' kind='bridge' pins='plus=V ac2=A minus=0V ac1=B'/>");
        CHECK(refined_cost(drawn, found) == 0);
    }
}

TEST_CASE("one winding turned alone is told apart where its ends differ") {
    const std::string loaded = std::string(around_transformer) + "<part ref='D1' kind='diode' model='1N4007' pins='anode=A cathode=V'/>";
    const Circuit drawn = drawing(loaded + "<part ref='T1' kind='transformer' value='10:1' pins='p1=LF p2=N s1=A s2=0V'/>");
    const Circuit turned = board(loaded + "<part ref='T1' kind='transformer' value='10:1' pins='p2=LF p1=N s2=A s1=0V'/>");
    const Circuit alone = board(loaded + "<part ref='T1' kind='transformer' value='10:1' pins='p1=LF p2=N s2=A s1=0V'/>");
    CHECK(refined_cost(drawn, turned) == 0);
    CHECK(refined_cost(drawn, alone) != 0);
}

TEST_CASE("windings with taps turn together") {
    const std::string rectifier = R"(<part ref="D1" kind="diode" model="1N4007" pins="anode=A cathode=V"/>
        <part ref="D2" kind="diode" model="1N4007" pins="anode=B cathode=V"/>)";
    const Circuit drawn = drawing(std::string(around_transformer) + rectifier +
                                  "<part ref='T1' kind='transformer' value='10:1' pins='p1=LF p2=N s1=A s2=0V s3=B'/>");
    for (const std::string pins : {"p1=LF p2=N s1=B s2=0V s3=A", "s3=A p2=LF s2=0V p1=N s1=B", "s2=0V s1=A p1=LF s3=B p2=N"}) {
        INFO(pins);
        CHECK(refined_cost(drawn, board(std::string(around_transformer) + rectifier + "<part ref='T1' kind='transformer' value='10:1' pins='" + pins + "'/>")) == 0);
    }
}

TEST_CASE("random circuits under other names, among them many supplies, are refined to a cost of 0") {
    for (const std::size_t parts : {12, 30, 100}) {
        for (std::uint64_t seed = 1; seed <= 300; ++seed) {
            Recipe recipe = recipe_of_case(seed, parts);
            if (seed % 4 == 0) recipe.style = Style::supply;
            const Draft draft = random_circuit(recipe);
            INFO("seed " << seed << ", " << parts << " parts");
            CHECK(refined_cost(read_draft(draft, CircuitRole::drawing), read_draft(disguise(draft, Disguise::all, seed), CircuitRole::board)) == 0);
        }
    }
}

TEST_CASE("so are large ones with twins and supplies") {
    for (const std::size_t parts : {2000, 6000}) {
        Recipe recipe;
        recipe.seed = 71;
        recipe.parts = parts;
        recipe.shape = Shape::stereo;
        recipe.style = Style::mixed;
        const Draft draft = random_circuit(recipe);
        CHECK(refined_cost(read_draft(draft, CircuitRole::drawing), read_draft(disguise(draft, Disguise::all, 5), CircuitRole::board)) == 0);
    }
}
