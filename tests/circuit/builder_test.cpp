#include <catch2/catch.hpp>

#include "support/text_circuit.h"

using namespace tallyboard;
using test::board;
using test::drawing;

namespace {

std::vector<std::string> remarks_of(const Circuit& circuit) {
    std::vector<std::string> out;
    for (const Diagnostic& d : circuit.remarks) out.push_back(d.message);
    return out;
}

bool has(const std::vector<std::string>& lines, const std::string& words) {
    for (const std::string& line : lines)
        if (line.find(words) != std::string::npos) return true;
    return false;
}

}  // namespace

TEST_CASE("a pin not mentioned is untraced on a board and not drawn on a drawing") {
    std::string part = "<part ref='Q1' kind='npn' pins='b=A'/>";
    CHECK(board(part).parts[0].pins[0].state == PinState::untraced);
    CHECK(drawing(part).parts[0].pins[0].state == PinState::undrawn);
    CHECK(drawing(part).parts[0].pins[1].state == PinState::traced);
}

TEST_CASE("net names stand alone for kinds whose order cannot be mistaken") {
    Circuit c = drawing("<part ref='TP1' kind='testpoint' pins='A'/><part ref='R1' kind='resistor' pins='A -'/>"
                        "<part ref='IC1' kind='dual-opamp' pins='A B C D E F G H'/>");
    CHECK(c.parts[1].pins[1].state == PinState::nowhere);
    CHECK(net_name(c, c.parts[2].pins[7].net) == "H");
    for (std::string kind : {"npn", "potentiometer", "changeover", "bridge", "opamp", "diode", "electrolytic", "jack"})
        CHECK_THROWS_AS(drawing("<part ref='X1' kind='" + kind + "' pins='A B'/>"), InputError);
}

TEST_CASE("pins are known by their other names and without regard to case") {
    Circuit c = drawing("<part ref='IC1' kind='opamp' pins='OUT=A -=B +=C V+=D'/><part ref='V1' kind='pentode' pins='g1=A G2=B K=C'/>");
    CHECK(net_name(c, c.parts[0].pins[1].net) == "B");
    CHECK(c.parts[0].pins[2].name == "in+");
    CHECK(net_name(c, c.parts[1].pins[2].net) == "B");
    CHECK(c.parts[1].pins[4].state == PinState::undrawn);
}

TEST_CASE("open kinds have the pins that are mentioned, in that order") {
    Circuit c = drawing("<part ref='T1' kind='transformer' pins='S2=D p1=A P2=B s1=C'/><part ref='S1' kind='selector' pins='2=A c=B 1=-'/>"
                        "<part ref='IC1' kind='ic' pins='V+=A 7=B out.1=C'/>");
    CHECK(c.parts[0].pins[0].name == "s2");
    CHECK(c.parts[0].pins[2].name == "p2");
    CHECK(c.parts[1].pins[1].name == "common");
    CHECK(c.parts[2].pins[2].name == "out.1");
}

TEST_CASE("a part that is not fitted has no terminals") {
    Circuit c = drawing("<part ref='R1' kind='resistor' value='1k' pins='A B'/><part ref='R2' kind='resistor' fit='no' pins='A C'/>");
    CHECK(c.nets[0].pins.size() == 1);
    CHECK(c.parts[1].fit == Fit::no);
    REQUIRE(c.net("C"));
    CHECK(c[*c.net("C")].pins.empty());
}

TEST_CASE("value is the type number of kinds that have no quantity") {
    Circuit c = drawing("<part ref='Q1' kind='npn' value='BC109'/><part ref='T1' kind='transformer' value='OT 22'/>"
                        "<part ref='T2' kind='transformer' value='25:1'/><part ref='D1' kind='zener' value='6V2'/>"
                        "<part ref='D2' kind='zener' value='6V2' model='BZY88'/><part ref='R1' kind='resistor' value='?'/>");
    CHECK(c.parts[0].model == "BC109");
    CHECK_FALSE(c.parts[0].value);
    CHECK(c.parts[1].model == "OT 22");
    CHECK(c.parts[2].value->si() == 25);
    CHECK(c.parts[3].value->si() == Approx(6.2));
    CHECK(c.parts[4].model == "BZY88");
    CHECK_FALSE(c.parts[5].value);
}

TEST_CASE("the nominal value is what is written, else what is marked") {
    Circuit c = board("<part ref='C1' kind='capacitor'><found marking='104K' measured='92n'/></part>"
                      "<part ref='C2' kind='capacitor' value='220n'><found marking='104K'/></part>"
                      "<part ref='R1' kind='resistor'><found marking='illegible'/></part>"
                      "<part ref='Q1' kind='npn'><found marking='BC109C'/></part>"
                      "<part ref='Q2' kind='npn' model='BC109'><found marking='TFK BC109C 7204'/></part>"
                      "<part ref='Q3' kind='npn' model='BC109'><found marking='BC184'/></part>");
    REQUIRE(c.parts[0].nominal());
    CHECK(c.parts[0].nominal()->number == Decimal(1, -7));
    CHECK(c.parts[0].found[0].measured == Approx(92e-9));
    CHECK(c.parts[1].nominal()->number == Decimal(22, -8));
    CHECK_FALSE(c.parts[2].nominal());
    CHECK(c.parts[3].model == "BC109C");
    auto remarks = remarks_of(c);
    CHECK(has(remarks, "C2 is marked 100n but written as 220n; what is written counts"));
    CHECK(has(remarks, "the marking is not decoded"));
    CHECK(has(remarks, "Q3 is marked BC184 but written as BC109"));
    CHECK_FALSE(has(remarks, "Q2"));
}

TEST_CASE("what a sheet assumes throughout is told once, what is doubtful each time") {
    Circuit c = drawing("<part ref='C1' kind='capacitor' value='.05'/><part ref='C2' kind='capacitor' value='.1'/>"
                        "<part ref='C3' kind='capacitor' value='8'/><part ref='C4' kind='capacitor' value='8'/>");
    CHECK(c.parts[0].value->number == Decimal(5, -8));
    CHECK(c.parts[2].value->number == Decimal(8, -12));
    std::size_t notes = 0, warnings = 0;
    for (const Diagnostic& d : c.remarks) (d.severity == Severity::note ? notes : warnings) += 1;
    CHECK(notes == 1);
    CHECK(warnings == 2);
    Circuit noted = drawing("<part ref='C1' kind='capacitor' value='8'/><defaults capacitor='uF'/>");
    CHECK(noted.parts[0].value->number == Decimal(8, -6));
}

TEST_CASE("a comma before three digits is settled by the sheet's other values") {
    auto first = [](const std::string& other) {
        return drawing("<part ref='R1' kind='resistor' value='4,725'/><part ref='R2' kind='resistor' value='" + other + "'/>").parts[0].value->si();
    };
    CHECK(first("4.7k") == 4725);
    CHECK(first("4,7k") == Approx(4.725));
}

TEST_CASE("a place is the net of the whole name, else a pin split at the first dot") {
    Circuit c = board("<part ref='R1' kind='resistor' pins='R1.b B'/><part ref='IC1' kind='ic' pins='o.1=B'/>"
                      "<bench><reading what='voltage' at='R1.b' to='IC1.o.1' is='1V'/></bench>");
    const Reading& r = c.bench.readings[0];
    CHECK_FALSE(r.at->pin);
    CHECK(c[*r.at->net].name == "R1.b");
    REQUIRE(r.to->pin);
    CHECK(pin_name(c, *r.to->pin) == "IC1.o.1");
    CHECK(c[*r.to->net].name == "B");
}

TEST_CASE("continuity joins pins to nets, in whichever order it is told") {
    Circuit c = board("<part ref='R1' kind='resistor' pins='A ?'/><part ref='R2' kind='resistor' pins='? ?'/>"
                      "<part ref='Q1' kind='npn'/>"
                      "<continuity><test from='R2.a' to='R1.b' beeps='yes'/><test from='Q1.b' to='R2.a' beeps='yes'/>"
                      "<test from='Q1.c' to='Q1.e' beeps='part'/></continuity>"
                      "<continuity><test from='R2.b' to='Q1.e' beeps='yes'/><test from='Q1.e' to='A' beeps='yes'/>"
                      "<test from='Q1.c' to='A' beeps='no'/></continuity>");
    // R1.b, R2.a and Q1.base are one net without a name; R2.b and Q1.emitter came to A.
    CHECK(c.nets.size() == 2);
    CHECK(c.nets[1].name.empty());
    CHECK(net_name(c, NetId{1}) == "R1.b");
    CHECK(c.nets[1].pins.size() == 3);
    CHECK(c[c.parts[1].pins[1].net].name == "A");
    CHECK(c[c.parts[2].pins[0].net].name == "A");
    CHECK(c.parts[2].pins[2].state == PinState::untraced);
    CHECK(c.continuity[1].from.net == NetId{1});
}

TEST_CASE("no beep against a pin not traced costs nothing") {
    CHECK_NOTHROW(board("<part ref='R1' kind='resistor' pins='A ?'/><continuity><test from='R1.b' to='A' beeps='no'/></continuity>"));
}

TEST_CASE("a supply without a name is called by its plus net, or by minus where plus is ground") {
    Circuit c = drawing("<net name='0V' role='ground'/><part ref='R1' kind='resistor' pins='A B'/><part ref='R2' kind='resistor' pins='0V B'/>"
                        "<setup><supply plus='A' minus='0V' voltage='24V'/><supply plus='0V' minus='B' voltage='12V' resistance='2'/></setup>");
    CHECK(c.setup->supplies[0].name == "A");
    CHECK(c.setup->supplies[1].name == "B");
    CHECK(c.setup->supplies[1].ohms == 2);
    CHECK(c.ground() == c.net("0V"));
    Circuit bare = drawing("<part ref='R1' kind='resistor' pins='A B'/><setup><supply plus='A' minus='B' voltage='24V'/></setup>");
    CHECK(bare.ground() == bare.net("B"));
}

TEST_CASE("a package's name in without stands for all its sections") {
    Circuit c = board("<part ref='V1A' package='V1' kind='triode' pins='k=A g=B a=C'/><part ref='V1B' package='V1' kind='triode'/>"
                      "<bench><reading what='resistance' at='A' to='B' is='1k' without='V1'/></bench>");
    CHECK(c.bench.readings[0].without == std::vector<PartId>{PartId{0}, PartId{1}});
}

TEST_CASE("kinds in a circuit file add to those built in and go before them") {
    Circuit c = drawing("<part ref='X1' kind='blob' pins='A B C'/><part ref='R1' kind='resistor' value='3V' pins='p=A q=B'/>"
                        "<kind name='blob' says='a blob'><pin name='1'/><pin name='2'/><pin name='3'/><symbol like='potentiometer'/></kind>"
                        "<kind name='resistor' quantity='voltage'><pin name='p'/><pin name='q'/></kind>");
    CHECK(c.kind_of(c.parts[0]).says == "a blob");
    REQUIRE_FALSE(c.kind_of(c.parts[0]).symbols.empty());
    CHECK(c.kind_of(c.parts[0]).symbols[0].pins[1].name == "2");
    CHECK(c.parts[1].value->quantity == Quantity::voltage);
}

TEST_CASE("foreign elements and attributes are passed over, whatever they hold") {
    Circuit c = drawing("<part ref='R1' kind='resistor' pins='A B' z:colour='red' xmlns:z='urn:z'><z:spot><prat/></z:spot></part>"
                        "<svg xmlns='http://www.w3.org/2000/svg'><part/></svg>");
    CHECK(c.parts.size() == 1);
}
