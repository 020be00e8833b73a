// Equal cost is settled by equal references, then by equal net names, then by the order of the files.
#include <catch2/catch.hpp>

#include "compare/compared.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// "R1-R2 C1-C1": who is paired with whom, in the drawing's order.
std::string pairs(const Circuit& drawn, const Circuit& found, const Comparison& comparison) {
    std::string text;
    for (const PartPair& pair : comparison.parts)
        text += (text.empty() ? "" : " ") + drawn[pair.drawing].ref + "-" + found[pair.board].ref;
    return text;
}
std::string pairs(const std::string& drawn_text, const std::string& found_text) {
    const Circuit drawn = drawing(drawn_text), found = board(found_text);
    return pairs(drawn, found, compared(drawn, found));
}

}  // namespace

TEST_CASE("parts alike are paired by their references") {
    const std::string drawn = R"(<part ref="C1" kind="capacitor" value="100n" pins="V 0V"/>
                                 <part ref="C2" kind="capacitor" value="100n" pins="V 0V"/>
                                 <part ref="C3" kind="capacitor" value="100n" pins="V 0V"/>
                                 <part ref="R1" kind="resistor" value="1k" pins="V 0V"/>)";
    const std::string found = R"(<part ref="R1" kind="resistor" value="1k" pins="x y"/>
                                 <part ref="C3" kind="capacitor" value="100n" pins="x y"/>
                                 <part ref="C1" kind="capacitor" value="100n" pins="y x"/>
                                 <part ref="C2" kind="capacitor" value="100n" pins="x y"/>)";
    CHECK(pairs(drawn, found) == "C1-C1 C2-C2 C3-C3 R1-R1");
}

TEST_CASE("a reference counts where it costs nothing, even when others are left over") {
    const std::string drawn = R"(<part ref="C1" kind="capacitor" value="100n" pins="V 0V"/>
                                 <part ref="C2" kind="capacitor" value="100n" pins="V 0V"/>
                                 <part ref="R1" kind="resistor" value="1k" pins="V 0V"/>)";
    const std::string found = R"(<part ref="C2" kind="capacitor" value="100n" pins="x y"/>
                                 <part ref="R1" kind="resistor" value="1k" pins="x y"/>)";
    CHECK(pairs(drawn, found) == "C2-C2 R1-R1");
    CHECK(told(drawn, found) == "missing@C1 = 3");
}

TEST_CASE("whole channels alike are paired by their references") {
    std::string drawn, found;
    for (const std::string side : {"1", "2", "3"}) {
        drawn += "<part ref='R" + side + "' kind='resistor' value='1k' pins='I" + side + " M" + side + "'/>" +
                 "<part ref='C" + side + "' kind='capacitor' value='1n' pins='M" + side + " 0V'/>" +
                 "<part ref='Q" + side + "' kind='npn' model='BC109' pins='emitter=0V base=M" + side + " collector=V'/>";
    }
    for (const std::string side : {"3", "1", "2"}) {
        found += "<part ref='Q" + side + "' kind='npn' model='BC109' pins='emitter=g base=m" + side + " collector=v'/>" +
                 "<part ref='C" + side + "' kind='capacitor' value='1n' pins='g m" + side + "'/>" +
                 "<part ref='R" + side + "' kind='resistor' value='1k' pins='i" + side + " m" + side + "'/>";
    }
    CHECK(pairs(drawn, found) == "R1-R1 C1-C1 Q1-Q1 R2-R2 C2-C2 Q2-Q2 R3-R3 C3-C3 Q3-Q3");
}

namespace {

// Three channels alike, each of three parts; the board's in another order. `names`: the board keeps references; `nets`: net names.
std::string channel(const std::string& side, bool names, bool nets) {
    const std::string ref = names ? side : std::to_string(9 - side[0] + '0'), net = nets ? "" : "x";
    return "<part ref='Q" + ref + "' kind='npn' model='BC109' pins='emitter=g base=M" + net + side + " collector=v'/>" +
           "<part ref='C" + ref + "' kind='capacitor' value='1n' pins='g M" + net + side + "'/>" +
           "<part ref='R" + ref + "' kind='resistor' value='1k' pins='I" + net + side + " M" + net + side + "'/>";
}
std::string drawn_channels() {
    std::string text = "<part ref='C9' kind='capacitor' value='1m' pins='V 0V'/>";
    for (const std::string side : {"1", "2", "3"})
        text += "<part ref='R" + side + "' kind='resistor' value='1k' pins='I" + side + " M" + side + "'/>" +
                "<part ref='C" + side + "' kind='capacitor' value='1n' pins='M" + side + " 0V'/>" +
                "<part ref='Q" + side + "' kind='npn' model='BC109' pins='emitter=0V base=M" + side + " collector=V'/>";
    return text;
}

}  // namespace

TEST_CASE("where something differs, whole channels alike are still paired by references, then by net names, then in order") {
    const std::string differs = "<part ref='C9' kind='capacitor' value='2m' pins='v g'/>";
    const auto found = [&](bool names, bool nets) {
        std::string text = differs;
        for (const std::string side : {"3", "1", "2"}) text += channel(side, names, nets);
        return text;
    };
    CHECK(told(drawn_channels(), found(true, true)) == "value@C9 = 1");
    CHECK(pairs(drawn_channels(), found(true, false)) == "C9-C9 R1-R1 C1-C1 Q1-Q1 R2-R2 C2-C2 Q2-Q2 R3-R3 C3-C3 Q3-Q3");
    CHECK(pairs(drawn_channels(), found(false, true)) == "C9-C9 R1-R8 C1-C8 Q1-Q8 R2-R7 C2-C7 Q2-Q7 R3-R6 C3-C6 Q3-Q6");
}

TEST_CASE("without equal references equal net names decide") {
    const std::string drawn = R"(<part ref="R1" kind="resistor" value="1k" pins="A 0V"/> <part ref="C1" kind="capacitor" value="1n" pins="A V"/>
                                 <part ref="R2" kind="resistor" value="1k" pins="B 0V"/> <part ref="C2" kind="capacitor" value="1n" pins="B V"/>)";
    const std::string found = R"(<part ref="R7" kind="resistor" value="1k" pins="B 0V"/> <part ref="C7" kind="capacitor" value="1n" pins="B V"/>
                                 <part ref="R8" kind="resistor" value="1k" pins="A 0V"/> <part ref="C8" kind="capacitor" value="1n" pins="A V"/>)";
    CHECK(pairs(drawn, found) == "R1-R8 C1-C8 R2-R7 C2-C7");
}

TEST_CASE("without either the order of the files decides") {
    const std::string drawn = R"(<part ref="R1" kind="resistor" value="1k" pins="A 0V"/> <part ref="R2" kind="resistor" value="1k" pins="A 0V"/>
                                 <part ref="R3" kind="resistor" value="1k" pins="A 0V"/>)";
    const std::string found = R"(<part ref="R9" kind="resistor" value="1k" pins="x y"/> <part ref="R8" kind="resistor" value="1k" pins="x y"/>
                                 <part ref="R7" kind="resistor" value="1k" pins="x y"/>)";
    CHECK(pairs(drawn, found) == "R1-R9 R2-R8 R3-R7");
}

TEST_CASE("references do not win against cost") {
    const std::string drawn = R"(<part ref="R1" kind="resistor" value="1k" pins="A 0V"/> <part ref="R2" kind="resistor" value="2k" pins="A 0V"/>)";
    const std::string found = R"(<part ref="R1" kind="resistor" value="2k" pins="A 0V"/> <part ref="R2" kind="resistor" value="1k" pins="A 0V"/>)";
    CHECK(pairs(drawn, found) == "R1-R2 R2-R1");
}
