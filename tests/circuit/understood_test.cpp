#include "circuit/understood.h"

#include <catch2/catch.hpp>

#include "support/text_circuit.h"

using namespace tallyboard;
using test::board;
using test::drawing;

namespace {

std::vector<std::string> oddities(const Circuit& circuit) {
    std::vector<std::string> out;
    for (const Oddity& odd : understood(circuit).oddities) out.push_back(odd.says);
    return out;
}
using Lines = std::vector<std::string>;

}  // namespace

TEST_CASE("parts, nets and pins are counted as they are understood") {
    Circuit c = board("<part ref='R1' kind='resistor' value='1k' pins='A B'/><part ref='R2' kind='resistor' pins='A ?'/>"
                      "<part ref='R3' kind='resistor' fit='no' pins='A B'/><part ref='C1' kind='electrolytic' value='1u' pins='+=A -=-'/>"
                      "<part ref='Q1' kind='npn' fit='optional' pins='b=B e=A c=A'/>");
    Understood u = understood(c);
    CHECK(u.parts == 4);
    CHECK(u.not_fitted == 1);
    CHECK(u.optional == 1);
    CHECK(u.nets == 2);
    CHECK(u.pins == 9);
    CHECK(u.traced == 7);
    CHECK(u.untraced == 1);
    CHECK(u.nowhere == 1);
    CHECK(u.values_unknown == 1);
    REQUIRE(u.kinds.size() == 3);
    CHECK(u.kinds[0].kind == "resistor");
    CHECK(u.kinds[0].parts == 2);
    CHECK(sentences(u, c) == Lines{"a board: 4 parts on 2 nets", "pins: 7 of 9 traced, 1 not traced yet, 1 known to go nowhere", "1 not fitted, 1 optional",
                                   "1 value not known"});
}

TEST_CASE("a net with one pin and one with none are odd") {
    CHECK(oddities(drawing("<net name='X'/><part ref='R1' kind='resistor' pins='A B'/><part ref='R2' kind='resistor' pins='A A1'/>"
                           "<part ref='R3' kind='resistor' pins='A1 A'/>")) ==
          Lines{"no pin is on the net X", "the net B has one pin, R1.b"});
}

TEST_CASE("names that differ by case or by signs that look alike are odd") {
    std::string parts;
    int n = 0;
    for (std::string net : {"-15V", "\u221215V", "Out", "OUT", "0V", "OV", "\u00B51", "u1", "B1"}) {
        ++n;
        parts += "<part ref='R" + std::to_string(n) + "' kind='resistor' pins='" + net + " A'/><part ref='C" + std::to_string(n) +
                 "' kind='capacitor' pins='" + net + " A'/>";
    }
    CHECK(oddities(drawing(parts + "<part ref='r1' kind='resistor' pins='A B1'/>")) ==
          Lines{"the nets -15V and \u221215V look alike but are written with other signs", "the nets Out and OUT differ by case alone",
                "the nets 0V and OV look alike but are written with other signs",
                "the nets \u00B51 and u1 look alike but are written with other signs", "the parts R1 and r1 differ by case alone"});
}

TEST_CASE("a part with all pins on one net is odd, a link is not") {
    CHECK(oddities(drawing("<part ref='C1' kind='electrolytic' pins='plus=A minus=A'/><part ref='LK1' kind='link' pins='A A'/>")) ==
          Lines{"C1, an electrolytic, has both pins on the net A"});
}

TEST_CASE("parts that nothing joins to the rest are odd") {
    CHECK(oddities(drawing("<part ref='R1' kind='resistor' pins='A B'/><part ref='R2' kind='resistor' pins='A B'/>"
                           "<part ref='R3' kind='resistor' pins='A B'/>"
                           "<part ref='R4' kind='resistor' pins='C D'/><part ref='R5' kind='resistor' pins='C D'/>")) ==
          Lines{"R4 and R5 are joined to the rest by nothing"});
}

TEST_CASE("sections that do not say so are told the package") {
    CHECK(oddities(drawing("<part ref='IC1A' kind='opamp' pins='out=A -=A +=B'/><part ref='IC1B' kind='opamp' pins='out=B -=B +=A'/>"
                           "<part ref='R2A' kind='resistor' pins='A B'/><part ref='R2B' kind='resistor' pins='A B'/>")) ==
          Lines{"IC1A and IC1B look like sections of one package; if so, write package=\"IC1\""});
}

TEST_CASE("a drawn part of which a pin is missing is odd, but not for pins that are often left out") {
    CHECK(oddities(drawing("<part ref='IC1A' package='IC1' kind='opamp' pins='out=A -=A +=B'/><part ref='Q1' kind='npn' pins='b=A e=B'/>")) ==
          Lines{"the pin collector of Q1 is not drawn"});
}
