// Every kind of finding on a circuit small enough to see through, with its id and cost.
#include <catch2/catch.hpp>

#include "base/diagnostic.h"
#include "compare/compared.h"

using namespace tallyboard;
using namespace tallyboard::test;

TEST_CASE("a circuit compared with itself agrees and is proved") {
    const Comparison same = compared(stage, stage);
    CHECK(same.agree);
    CHECK(same.cost == 0);
    CHECK(same.proved);
    CHECK(same.bound == 0);
    CHECK(same.findings.empty());
    CHECK(same.parts.size() == 11);
    CHECK(same.drawing_parts == 11);
    CHECK(same.board_nets == same.drawing_nets);
    CHECK_FALSE(same.says.empty());
}

TEST_CASE("two empty circuits agree") {
    const Comparison nothing = compared("", "");
    CHECK(nothing.agree);
    CHECK(nothing.proved);
    CHECK(nothing.drawing_parts == 0);
}

TEST_CASE("against an empty board every part is missing") {
    const Comparison bare = compared(stage, "");
    CHECK(bare.cost == 33);
    CHECK(bare.proved);
    CHECK(bare.findings.size() == 11);
}

TEST_CASE("a value written another way agrees") {
    CHECK(told(stage, with(stage, "4k7", "4700")) == "= 0");
    CHECK(told(stage, with(stage, "\"1u\"", "\"1000 nF\"")) == "= 0");
}

TEST_CASE("another value is one finding of 1") {
    const Comparison other = compared(stage, with(stage, "4k7", "5k6"));
    CHECK(told(other) == "value@R3 = 1");
    REQUIRE(other.findings.size() == 1);
    const Finding& finding = other.findings.front();
    CHECK(finding.what == What::value);
    CHECK(finding.drawing == std::vector<std::string>{"R3"});
    CHECK(finding.board == std::vector<std::string>{"R3"});
    CHECK(finding.drawn == "4k7");
    CHECK(finding.found == "5k6");
    CHECK_FALSE(other.agree);
}

TEST_CASE("a type number that only adds a suffix agrees, another type does not") {
    CHECK(told(stage, with(stage, "BC109", "BC109C")) == "= 0");
    CHECK(told(stage, with(stage, "BC109", "bc 109")) == "= 0");
    CHECK(told(stage, with(stage, "BC109", "BC108")) == "value@Q1 = 1");
    CHECK(told(with(stage, "BC109", "BC109C"), with(stage, "BC109", "BC109")) == "value@Q1 = 1");
    CHECK(told(with(stage, "BC109", "2N390"), with(stage, "BC109", "2N3904")) == "value@Q1 = 1");
}

TEST_CASE("two names of one valve agree") {
    const std::string valve = R"(<part ref="V1" kind="triode" model="ECC83" pins="cathode=K grid=G anode=A"/>
                                 <part ref="R1" kind="resistor" value="1k5" pins="K 0V"/>
                                 <part ref="R2" kind="resistor" value="1M" pins="G 0V"/>
                                 <part ref="R3" kind="resistor" value="100k" pins="A V"/>)";
    CHECK(told(valve, with(valve, "ECC83", "12AX7")) == "= 0");
    CHECK(told(valve, with(valve, "ECC83", "12AX7A")) == "= 0");
    CHECK(told(valve, with(valve, "ECC83", "ECC82")) == "value@V1 = 1");
}

TEST_CASE("a value and a type number that both differ are one finding") {
    CHECK(told(with(stage, R"(value="1u")", R"(value="1u" model="PX")"), with(stage, R"(value="1u")", R"(value="2u2" model="KY")")) ==
          "value@C3 = 1");
}

TEST_CASE("another taper is another value where both are written") {
    const std::string pot = R"(<part ref="VR1" kind="potentiometer" value="10k" taper="log" pins="ccw=A wiper=B cw=C"/>
                               <part ref="R1" kind="resistor" value="1k" pins="A D"/> <part ref="R2" kind="resistor" value="2k" pins="B D"/>
                               <part ref="R3" kind="resistor" value="3k" pins="C D"/>)";
    CHECK(told(pot, with(pot, "\"log\"", "\"linear\"")) == "value@VR1 = 1");
    CHECK(told(pot, with(pot, R"(taper="log")", "")) == "= 0");
}

TEST_CASE("ratings and tolerances are not compared") {
    CHECK(told(with(stage, "\"4k7\"", "\"4k7\" tol=\"5%\""), with(stage, "\"4k7\"", "\"4k7\" tol=\"20%\"")) == "= 0");
    CHECK(told(with(stage, "\"10u\"", "\"10u 25V\""), with(stage, "\"10u\"", "\"10u 63V\"")) == "= 0");
}

TEST_CASE("another kind with as many pins costs 1, and another value besides 1 more") {
    const std::string drawn = R"(kind="capacitor" value="1u" pins="C OUT")";
    CHECK(told(stage, with(stage, drawn, R"(kind="electrolytic" value="1u" pins="plus=C minus=OUT")")) == "kind@C3 = 1");
    CHECK(told(stage, with(stage, drawn, R"(kind="electrolytic" value="1u" pins="plus=OUT minus=C")")) == "kind@C3 = 1");
    CHECK(told(stage, with(stage, drawn, R"(kind="electrolytic" value="2u2" pins="plus=C minus=OUT")")) == "kind@C3 value@C3 = 2");
    CHECK(told(stage, with(stage, "kind=\"npn\"", "kind=\"pnp\"")) == "kind@Q1 = 1");
}

TEST_CASE("pins exchanged that may not be are one finding of 1") {
    CHECK(told(stage, with(stage, "plus=E minus=0V", "plus=0V minus=E")) == "reversed@C2 = 1");
    CHECK(told(stage, with(stage, "emitter=E base=B collector=C", "emitter=C base=B collector=E")) == "reversed@Q1 = 1");
    CHECK(told(stage, with(stage, "emitter=E base=B collector=C", "emitter=B base=C collector=E")) == "reversed@Q1 = 1");
    CHECK(told(stage, with(stage, "pins=\"V C\"", "pins=\"C V\"")) == "= 0");
}

TEST_CASE("a terminal that goes to another net is moved") {
    const Comparison other = compared(stage, with(stage, "pins=\"C OUT\"", "pins=\"C IN\""));
    CHECK(told(other) == "moved@C3.b = 2");
    REQUIRE(other.findings.size() == 1);
    CHECK(other.findings.front().drawing == std::vector<std::string>{"C3.b", "OUT"});
    CHECK(other.findings.front().board == std::vector<std::string>{"C3.b", "IN"});
}

TEST_CASE("a terminal cut off is moved, whether its net has a name or not") {
    CHECK(told(stage, with(stage, "\"E 0V\"", "\"E CUT\"")) == "moved@R4.b = 2");
    CHECK(told(stage, with(stage, "\"E 0V\"", "\"E -\"")) == "moved@R4.b = 2");
}

TEST_CASE("a net with one terminal is the same as none") {
    CHECK(told(with(stage, "\"E 0V\"", "\"E -\""), with(stage, "\"E 0V\"", "\"E LONE\"")) == "= 0");
}

TEST_CASE("a part that the board lacks is missing, one that the drawing lacks is extra") {
    const std::string c4 = R"(<part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)";
    CHECK(told(stage, with(stage, c4, "")) == "missing@C4 = 3");
    CHECK(told(with(stage, c4, ""), with(stage, "\"C4\"", "\"C77\"")) == "extra@C77 = 3");
}

TEST_CASE("a net that is two on the board is split, told by the first pin of the smaller piece") {
    const std::string two = with(with(stage, "\"E 0V\"", "\"E 0W\""), "plus=E minus=0V", "plus=E minus=0W");
    CHECK(told(stage, two) == "split@C2.minus = 3");
}

TEST_CASE("a net that is three on the board is two findings") {
    std::string three = with(with(stage, "\"E 0V\"", "\"E 0W\""), "plus=E minus=0V", "plus=E minus=0W");
    three = with(with(three, "tip=OUT sleeve=0V", "tip=OUT sleeve=0X"), "plus=V minus=0V", "plus=V minus=0X");
    CHECK(told(stage, three) == "split@C2.minus split@C4.minus = 6");
}

TEST_CASE("two nets that are one on the board are joined, told by the first pin of the smaller") {
    std::string one = with(with(stage, "tip=IN", "tip=E"), "minus=IN", "minus=E");
    const Comparison other = compared(stage, one);
    CHECK(told(other) == "joined@C1.minus = 3");
    REQUIRE(other.findings.size() == 1);
    CHECK(other.findings.front().drawing_net.has_value());
}

TEST_CASE("a part in series that the drawing lacks is inserted") {
    const std::string added = R"(<part ref="R99" kind="resistor" value="100" pins="C CX"/>)";
    CHECK(told(stage, with(stage, "pins=\"C OUT\"", "pins=\"CX OUT\"") + added) == "inserted@R99 = 4");
}

TEST_CASE("a variable resistor in series is inserted too") {
    const std::string added = R"(<part ref="VR9" kind="trimmer" value="100" pins="ccw=C wiper=CX cw=CX"/>)";
    CHECK(told(stage, with(stage, "pins=\"C OUT\"", "pins=\"CX OUT\"") + added) == "inserted@VR9 = 4");
}

TEST_CASE("a part in series that the board lacks, its nets one, is bypassed") {
    const std::string c3 = R"(<part ref="C3" kind="capacitor" value="1u" pins="C OUT"/>)";
    const std::string without = with(with(stage, c3, ""), "tip=OUT", "tip=C");
    CHECK(told(stage, without) == "bypassed@C3 = 4");
}

TEST_CASE("a link in the place of a drawn part shows as bypassed") {
    CHECK(told(stage, with(stage, R"(kind="capacitor" value="1u" pins="C OUT")", R"(kind="link" pins="C OUT")")) == "bypassed@C3 = 4");
}

TEST_CASE("a link elsewhere makes its nets one and costs nothing") {
    const std::string linked = with(stage, "pins=\"C OUT\"", "pins=\"CY OUT\"") + R"(<part ref="LK1" kind="link" pins="C CY"/>)";
    const Comparison on_board = compared(stage, linked);
    CHECK(told(on_board) == "= 0");
    CHECK(on_board.board_parts == 11);
    CHECK(told(linked, stage) == "= 0");
}

TEST_CASE("two resistors in series for one are equivalent") {
    const std::string r1 = R"(value="100k" pins="V B"/>)";
    const std::string pair = R"(value="47k" pins="V M"/> <part ref="R9" kind="resistor" value="53k" pins="M B"/>)";
    const Comparison other = compared(stage, with(stage, r1, pair));
    CHECK(told(other) == "equivalent@R1 = 0");
    CHECK(other.agree);
    CHECK(told(with(stage, r1, pair), stage) == "equivalent@R1 = 0");
}

TEST_CASE("two or three in parallel for one are equivalent") {
    const std::string r1 = R"(value="100k" pins="V B"/>)";
    CHECK(told(stage, with(stage, r1, R"(value="200k" pins="V B"/> <part ref="R9" kind="resistor" value="200k" pins="B V"/>)")) ==
          "equivalent@R1 = 0");
    CHECK(told(stage, with(stage, r1, R"(value="300k" pins="V B"/> <part ref="R9" kind="resistor" value="300k" pins="B V"/>
                                        <part ref="R10" kind="resistor" value="300k" pins="B V"/>)")) == "equivalent@R1 = 0");
    CHECK(told(stage, with(stage, R"(value="1u" pins="C OUT"/>)",
                           R"(value="470n" pins="C OUT"/> <part ref="C9" kind="capacitor" value="530n" pins="C OUT"/>)")) ==
          "equivalent@C3 = 0");
}

TEST_CASE("electrolytics in parallel are equivalent only the same way round") {
    const std::string c2 = R"(value="47u" pins="plus=E minus=0V"/>)";
    CHECK(told(stage, with(stage, c2, R"(value="22u" pins="plus=E minus=0V"/> <part ref="C9" kind="electrolytic" value="25u" pins="plus=E minus=0V"/>)")) ==
          "equivalent@C2 = 0");
    CHECK(compared(stage, with(stage, c2, R"(value="22u" pins="plus=E minus=0V"/> <part ref="C9" kind="electrolytic" value="25u" pins="plus=0V minus=E"/>)")).cost == 4);
}

TEST_CASE("a sum is equivalent within the drawn part's tolerance only") {
    const std::string r1 = R"(value="100k" pins="V B"/>)";
    const std::string pair = R"(value="47k" pins="V M"/> <part ref="R9" kind="resistor" value="51k" pins="M B"/>)";
    CHECK(told(with(stage, "\"100k\"", "\"100k\" tol=\"5%\""), with(stage, r1, pair)) == "equivalent@R1 = 0");
    CHECK(compared(with(stage, "\"100k\"", "\"100k\" tol=\"1%\""), with(stage, r1, pair)).cost == 5);
    CHECK(compared(stage, with(stage, r1, pair)).cost == 5);
}

TEST_CASE("an untraced pin agrees with anything and is told unverified") {
    const Comparison other = compared(stage, with(stage, "\"E 0V\"", "\"E ?\""));
    CHECK(told(other) == "unverified@R4.b = 0");
    CHECK(other.agree);
    CHECK(told(stage, with(stage, "emitter=E base=B collector=C", "emitter=E base=B")) == "unverified@Q1.collector = 0");
    CHECK(told(with(stage, "\"E 0V\"", "\"E ?\""), stage) == "= 0");
}

TEST_CASE("a drawn value that the board does not give is unverified") {
    CHECK(told(stage, with(stage, "value=\"4k7\"", "")) == "unverified@R3 = 0");
    CHECK(told(stage, with(stage, "value=\"4k7\"", "value=\"?\"")) == "unverified@R3 = 0");
    CHECK(told(stage, with(stage, "model=\"BC109\"", "")) == "unverified@Q1 = 0");
    CHECK(told(with(stage, "value=\"4k7\"", ""), stage) == "= 0");
}

TEST_CASE("on a trace that is not complete a missing part is unverified and costs nothing") {
    const std::string c4 = R"(<part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)";
    const Comparison other = compared(stage, with(with(stage, c4, ""), "4k7", "5k6"), "complete=\"no\"");
    CHECK(told(other) == "value@R3 unverified@C4 = 1");
    CHECK(other.bound == 1);
}

TEST_CASE("with on= only the parts of that board are compared") {
    const std::string drawn = with(stage, "<part ref=\"C4\"", "<part ref=\"C4\" on=\"supply\"");
    std::string marked = stage;
    for (std::size_t at = 0; (at = marked.find("<part ref", at)) != std::string::npos; at += 20) marked.insert(at + 5, " on=\"replay\"");
    const std::string c4 = R"(<part on="replay" ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)";
    const std::string other_board = with(marked, c4, with(c4, "\"replay\"", "\"supply\""));
    const std::string found = with(stage, R"(<part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)", "");
    const Comparison one = compared(other_board, found, "on=\"replay\"");
    CHECK(told(one) == "= 0");
    CHECK(one.drawing_parts == 10);
    CHECK(told(drawn, stage) == "= 0");
}

TEST_CASE("a part that is not fitted does not count, an optional one agrees either way") {
    const std::string c4 = R"(<part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>)";
    const std::string none = with(stage, "<part ref=\"C4\"", "<part ref=\"C4\" fit=\"no\"");
    const std::string either = with(stage, "<part ref=\"C4\"", "<part ref=\"C4\" fit=\"optional\"");
    CHECK(told(none, with(stage, c4, "")) == "= 0");
    CHECK(told(stage, none) == "missing@C4 = 3");
    CHECK(told(either, with(stage, c4, "")) == "= 0");
    CHECK(told(either, stage) == "= 0");
}

TEST_CASE("findings that cost come first, then by id in natural order") {
    std::string other = with(stage, "4k7", "5k6");
    other = with(other, "\"E 0V\"", "\"E ?\"");
    other = with(other, "22k", "27k");
    other = with(other, "value=\"100k\"", "");
    CHECK(told(stage, other) == "value@R2 value@R3 unverified@R1 unverified@R4.b = 2");
}

TEST_CASE("pairs given by hand bind, whatever they cost") {
    const Circuit drawn = drawing(stage), found = board(stage);
    const Comparison bound = compared(drawn, found, {{"R3", "R1"}});
    CHECK(bound.cost > 0);
    const auto pair = std::find_if(bound.parts.begin(), bound.parts.end(), [&](const PartPair& each) { return drawn[each.drawing].ref == "R3"; });
    REQUIRE(pair != bound.parts.end());
    CHECK(found[pair->board].ref == "R1");
    CHECK(compared(drawn, found, {{"R3", "R3"}}).cost == 0);
}

TEST_CASE("pairs by hand that cannot be are refused") {
    const Circuit drawn = drawing(stage), found = board(stage);
    CompareOptions options;
    options.pairs = {{"R77", "R1"}};
    CHECK_THROWS_AS(compare(drawn, found, options), CommandError);
    options.pairs = {{"R1", "R1"}, {"R2", "R1"}};
    CHECK_THROWS_AS(compare(drawn, found, options), CommandError);
    options.pairs = {{"R1", "Q1"}};
    CHECK_THROWS_AS(compare(drawn, found, options), CommandError);
}
