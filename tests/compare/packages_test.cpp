// Packages: written whole or as sections, exchanged, turned, told of.
#include <catch2/catch.hpp>

#include "compare/compared.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

const std::string around = R"(
  <part ref="R1" kind="resistor" value="1k" pins="IN A-"/>  <part ref="R2" kind="resistor" value="2k2" pins="A- OA"/>
  <part ref="R3" kind="resistor" value="3k3" pins="OA B-"/> <part ref="R4" kind="resistor" value="4k7" pins="B- OB"/>
  <part ref="R5" kind="resistor" value="5k6" pins="OB 0V"/> <part ref="R6" kind="resistor" value="6k8" pins="A+ 0V"/>
  <part ref="R7" kind="resistor" value="8k2" pins="B+ 0V"/> <part ref="C1" kind="capacitor" value="100n" pins="VP 0V"/>
  <part ref="C2" kind="capacitor" value="220n" pins="VN 0V"/>)";
const std::string sections = around + R"(
  <part ref="IC1A" package="IC1" kind="opamp" model="TL072" pins="out=OA in-=A- in+=A+ v-=VN v+=VP"/>
  <part ref="IC1B" package="IC1" kind="opamp" model="TL072" pins="out=OB in-=B- in+=B+"/>)";
const std::string whole = around + R"(
  <part ref="IC7" kind="dual-opamp" model="TL072" pins="1=OA 2=A- 3=A+ 4=VN 5=B+ 6=B- 7=OB 8=VP"/>)";

}  // namespace

TEST_CASE("a package written whole agrees with its sections, either way round") {
    const Comparison one = compared(sections, whole);
    CHECK(told(one) == "= 0");
    CHECK(one.drawing_parts == 10);
    CHECK(one.parts.size() == 11);   // one entry a drawn section
    const Comparison other = compared(whole, sections);
    CHECK(told(other) == "= 0");
    CHECK(other.parts.size() == 10);
}

TEST_CASE("sections of a package may be exchanged") {
    CHECK(told(sections, around + R"(<part ref="IC7" kind="dual-opamp" model="TL072" pins="1=OB 2=B- 3=B+ 4=VN 5=A+ 6=A- 7=OA 8=VP"/>)") == "= 0");
    CHECK(told(sections, around + R"(
        <part ref="U1X" package="U1" kind="opamp" model="TL072" pins="out=OB in-=B- in+=B+"/>
        <part ref="U1Y" package="U1" kind="opamp" model="TL072" pins="out=OA in-=A- in+=A+ v-=VN v+=VP"/>)") == "= 0");
}

TEST_CASE("a package turned end for end is one finding") {
    const std::string turned = around + R"(<part ref="IC7" kind="dual-opamp" model="TL072" pins="5=OA 6=A- 7=A+ 8=VN 1=B+ 2=B- 3=OB 4=VP"/>)";
    CHECK(told(whole, turned) == "reversed@IC7 = 1");
    CHECK(told(sections, turned) == "reversed@IC1 = 1");
}

TEST_CASE("two pins of a package exchanged are one finding") {
    CHECK(told(sections, with(whole, "2=A- 3=A+", "2=A+ 3=A-")) == "reversed@IC1 = 1");
}

TEST_CASE("of a package only the pins of the section that is turned are named, even where the sections have changed places") {
    const auto says = [](const std::string& found) { return compared(sections, found).findings.front().says; };
    CHECK(says(with(whole, "2=A- 3=A+", "2=A+ 3=A-")).find("its 3 where in- is drawn and its 2 where in+ is drawn") != std::string::npos);
    const std::string changed = around + R"(<part ref="IC7" kind="dual-opamp" model="TL072" pins="1=OB 2=B- 3=B+ 4=VN 5=A- 6=A+ 7=OA 8=VP"/>)";
    CHECK(says(changed).find("its 5 where in- is drawn and its 6 where in+ is drawn.") != std::string::npos);
}

TEST_CASE("a package's value costs once and is told of the package") {
    CHECK(told(sections, with(whole, "TL072", "NE5532")) == "value@IC1 = 1");
}

TEST_CASE("a package that is missing costs 3 once") {
    CHECK(told(sections, around) == "missing@IC1 = 3");
    CHECK(told(around, sections) == "extra@IC1 = 3");
}

TEST_CASE("a section's pin is told by the section, a whole's by its number") {
    CHECK(told(sections, with(whole, "3=A+", "3=IN")) == "moved@IC1A.in+ = 2");
    CHECK(told(whole, with(whole, "3=A+", "3=IN")) == "moved@IC7.3 = 2");
}

TEST_CASE("supply pins that the drawing leaves out agree") {
    CHECK(told(with(sections, " v-=VN v+=VP", ""), whole) == "= 0");
}

TEST_CASE("supply pins that the board leaves out are unverified") {
    CHECK(told(sections, with(whole, " 8=VP", "")) == "unverified@IC1A.v+ = 0");
}

TEST_CASE("sections of two packages may not be exchanged") {
    const std::string drawn = R"(
        <part ref="IC1A" package="IC1" kind="opamp" model="TL072" pins="out=OA in-=OA in+=A+ v-=VN v+=VP"/>
        <part ref="IC1B" package="IC1" kind="opamp" model="TL072" pins="out=OB in-=OB in+=B+"/>
        <part ref="IC2A" package="IC2" kind="opamp" model="NE5532" pins="out=OC in-=OC in+=C+ v-=WN v+=WP"/>
        <part ref="IC2B" package="IC2" kind="opamp" model="NE5532" pins="out=OD in-=OD in+=D+"/>
        <part ref="R1" kind="resistor" value="1k" pins="OA B+"/> <part ref="R2" kind="resistor" value="2k" pins="OB C+"/>
        <part ref="R3" kind="resistor" value="3k" pins="OC D+"/> <part ref="R4" kind="resistor" value="4k" pins="OD A+"/>)";
    const std::string found = R"(
        <part ref="IC1A" package="IC1" kind="opamp" model="TL072" pins="out=OA in-=OA in+=A+ v-=VN v+=VP"/>
        <part ref="IC1B" package="IC1" kind="opamp" model="TL072" pins="out=OC in-=OC in+=C+"/>
        <part ref="IC2A" package="IC2" kind="opamp" model="NE5532" pins="out=OB in-=OB in+=B+ v-=WN v+=WP"/>
        <part ref="IC2B" package="IC2" kind="opamp" model="NE5532" pins="out=OD in-=OD in+=D+"/>
        <part ref="R1" kind="resistor" value="1k" pins="OA B+"/> <part ref="R2" kind="resistor" value="2k" pins="OB C+"/>
        <part ref="R3" kind="resistor" value="3k" pins="OC D+"/> <part ref="R4" kind="resistor" value="4k" pins="OD A+"/>)";
    CHECK(compared(drawn, found).cost > 0);
}

TEST_CASE("halves of a valve with its heater agree with the valve written whole") {
    const std::string rest = R"(
        <part ref="R1" kind="resistor" value="100k" pins="A1 HT"/> <part ref="R2" kind="resistor" value="220k" pins="A2 HT"/>
        <part ref="R3" kind="resistor" value="1k" pins="K1 0V"/>   <part ref="R4" kind="resistor" value="1k5" pins="K2 0V"/>
        <part ref="R5" kind="resistor" value="1M" pins="G1 0V"/>   <part ref="R6" kind="resistor" value="470k" pins="G2 0V"/>
        <part ref="T1" kind="transformer" model="XT-9" pins="p1=L p2=N s1=HA s2=HB"/>)";
    const std::string halves = rest + R"(
        <part ref="V1A" package="V1" kind="triode" model="ECC83" pins="cathode=K1 grid=G1 anode=A1"/>
        <part ref="V1B" package="V1" kind="triode" model="ECC83" pins="cathode=K2 grid=G2 anode=A2"/>
        <part ref="V1H" package="V1" kind="heater" pins="HA HB"/>)";
    const std::string valve = rest + R"(<part ref="V1" kind="twin-triode" model="12AX7" pins="1=A2 2=G2 3=K2 4=HA 5=HB 6=A1 7=G1 8=K1"/>)";
    CHECK(told(halves, valve) == "= 0");
    CHECK(told(valve, halves) == "= 0");
}

TEST_CASE("sections of other packages pair singly") {
    const std::string gangs = R"(
        <part ref="VR1A" package="VR1" kind="potentiometer" value="10k" pins="ccw=A wiper=B cw=C"/>
        <part ref="VR1B" package="VR1" kind="potentiometer" value="10k" pins="ccw=D wiper=E cw=F"/>
        <part ref="R1" kind="resistor" value="1k" pins="A D"/> <part ref="R2" kind="resistor" value="2k" pins="B E"/>
        <part ref="R3" kind="resistor" value="3k" pins="C F"/> <part ref="R4" kind="resistor" value="4k" pins="A F"/>)";
    std::string single = with(gangs, R"( package="VR1" kind="potentiometer" value="10k" pins="ccw=A)", R"( kind="potentiometer" value="10k" pins="ccw=A)");
    const Comparison one = compared(gangs, single);
    CHECK(told(one) == "= 0");
    CHECK(one.drawing_parts == 6);
}

TEST_CASE("all windings of a transformer may be turned at once, one alone may not") {
    const std::string drawn = R"(
        <part ref="T1" kind="transformer" value="10:1" pins="p1=A p2=B s1=C s2=D"/>
        <part ref="R1" kind="resistor" value="1k" pins="A X"/> <part ref="R2" kind="resistor" value="2k" pins="B X"/>
        <part ref="R3" kind="resistor" value="3k" pins="C X"/> <part ref="R4" kind="resistor" value="4k" pins="D X"/>)";
    CHECK(told(drawn, with(drawn, "p1=A p2=B s1=C s2=D", "p1=B p2=A s1=D s2=C")) == "= 0");
    CHECK(told(drawn, with(drawn, "p1=A p2=B s1=C s2=D", "p1=B p2=A s1=C s2=D")) == "reversed@T1 = 1");
}

TEST_CASE("contacts of a changeover and the alternating pins of a bridge may be exchanged") {
    const std::string drawn = R"(
        <part ref="S1" kind="changeover" pins="common=A a=B b=C"/> <part ref="BR1" kind="bridge" pins="ac1=D ac2=E plus=F minus=A"/>
        <part ref="R1" kind="resistor" value="1k" pins="A X"/> <part ref="R2" kind="resistor" value="2k" pins="B X"/>
        <part ref="R3" kind="resistor" value="3k" pins="C X"/> <part ref="R4" kind="resistor" value="4k" pins="D X"/>
        <part ref="R5" kind="resistor" value="5k" pins="E X"/> <part ref="R6" kind="resistor" value="6k" pins="F X"/>)";
    CHECK(told(drawn, with(with(drawn, "a=B b=C", "a=C b=B"), "ac1=D ac2=E", "ac1=E ac2=D")) == "= 0");
    CHECK(told(drawn, with(drawn, "common=A a=B", "common=B a=A")) == "reversed@S1 = 1");
    CHECK(told(drawn, with(drawn, "plus=F minus=A", "plus=A minus=F")) == "reversed@BR1 = 1");
}

TEST_CASE("pins of an ic are paired by name, never by order") {
    const std::string drawn = R"(<part ref="IC1" kind="ic" model="MX1" pins="in=A out=B gnd=0V"/>
        <part ref="R1" kind="resistor" value="1k" pins="A 0V"/> <part ref="R2" kind="resistor" value="2k" pins="B 0V"/>)";
    CHECK(told(drawn, with(drawn, "in=A out=B gnd=0V", "gnd=0V out=B in=A")) == "= 0");
    CHECK(told(drawn, with(drawn, "in=A out=B gnd=0V", "in=B out=A gnd=0V")) == "reversed@IC1 = 1");
    CHECK(told(drawn, with(drawn, " gnd=0V", "")) == "unverified@IC1.gnd = 0");
}
