#include <catch2/catch.hpp>

#include <cmath>
#include <complex>
#include <numbers>

#include "solve_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {
const std::string rails = R"(<net name="0V" role="ground"/><setup><supply name="HT" plus="+24V" minus="0V" voltage="24V"/></setup>)";
}

TEST_CASE("a divider divides") {
    // 24 V · 33k / (68k + 33k) = 7.841584 V; 24 V / 101k = 237.6238 µA
    const Circuit circuit = drawing(rails + R"(<part ref="R1" kind="resistor" value="68k" pins="+24V MID"/>
                                               <part ref="R2" kind="resistor" value="33k" pins="MID 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    REQUIRE(point.converged);
    CHECK(volts(circuit, point, "MID") == exactly(24.0 * 33 / 101));
    CHECK(volts(circuit, point, "+24V") == exactly(24.0));
    CHECK(point.supplies.at(0).name == "HT");
    CHECK(*point.supplies.at(0).amperes == exactly(24.0 / 101e3));
    CHECK(into(circuit, point, "R2", "a") == exactly(24.0 / 101e3));
    CHECK(into(circuit, point, "R2", "b") == exactly(-24.0 / 101e3));
}

TEST_CASE("a bridge of five resistors is solved by hand alike") {
    // Unbalanced bridge, 10 V: left 1k over 2k, right 3k over 1k, 5k across. Node equations in mS and mA:
    //   L: (10 - L)/1 = L/2 + (L - R)/5     -> 1.7 L - 0.2 R = 10
    //   R: (10 - R)/3 = R/1 + (R - L)/5     -> -0.2 L + 1.533333 R = 3.333333
    // det = 1.7·1.533333 - 0.04 = 2.566667; L = (10·1.533333 + 0.2·3.333333)/det = 6.233766; R = (1.7·3.333333 + 2)/det = 2.987013
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/>
        <setup><supply plus="V" minus="0V" voltage="10V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="V L"/> <part ref="R2" kind="resistor" value="2k" pins="L 0V"/>
        <part ref="R3" kind="resistor" value="3k" pins="V R"/> <part ref="R4" kind="resistor" value="1k" pins="R 0V"/>
        <part ref="R5" kind="resistor" value="5k" pins="L R"/>)");
    const OperatingPoint point = at_rest(circuit);
    const double det = 1.7 * (23.0 / 15) - 0.04;
    CHECK(volts(circuit, point, "L") == exactly((10 * (23.0 / 15) + 0.2 * (10.0 / 3)) / det));
    CHECK(volts(circuit, point, "R") == exactly((1.7 * (10.0 / 3) + 2) / det));
    CHECK(point.supplies.at(0).name == "V");
}

TEST_CASE("a supply's resistance and a battery's count, and both tell what they deliver") {
    // 9 V battery with 10 Ω into 90 Ω: 0.09 A, 8.1 V. 5 V supply with 1 Ω into 4 Ω: 1 A, 4 V.
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/>
        <setup><supply name="S" plus="P" minus="0V" voltage="5V" resistance="1"/></setup>
        <part ref="B1" kind="battery" value="9V" resistance="10" pins="plus=A minus=0V"/>
        <part ref="R1" kind="resistor" value="90" pins="A 0V"/> <part ref="R2" kind="resistor" value="4" pins="P 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "A") == exactly(8.1));
    CHECK(volts(circuit, point, "P") == exactly(4.0));
    REQUIRE(point.supplies.size() == 2);
    CHECK(*point.supplies[0].amperes == exactly(1.0));
    CHECK(point.supplies[1].name == "B1");
    CHECK(*point.supplies[1].amperes == exactly(0.09));
}

TEST_CASE("a single pole falls 3.0103 dB and 45 degrees at its corner") {
    // R = 1k (the source's), C = 159.154943 nF: corner 1000 Hz. |H| = 1/sqrt(2) there; at 20 kHz 1/sqrt(1 + 400).
    const double farads = 1 / (2 * std::numbers::pi * 1000 * 1000);
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/>
        <setup><source net="IN" return="0V" resistance="1k"/><load net="IN" return="0V"/></setup>
        <part ref="C1" kind="capacitor" value="159.154943091895n" pins="IN 0V"/>)");
    const auto response = solver(circuit).response(std::vector<double>{1000, 20000});
    CHECK(std::fabs(farads - 159.154943091895e-9) < 1e-20);
    CHECK(*response[0].db == exactly(-10 * std::log10(2.0)));
    CHECK(*response[0].deg == exactly(-45.0));
    CHECK(*response[1].db == exactly(-10 * std::log10(401.0)));
}

TEST_CASE("a coupling capacitor works against what stands on both its sides") {
    // 22 nF between 10k and 470k: H = RL / (Rs + RL + 1/jωC)
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/>
        <setup><source net="IN" return="0V" resistance="10k"/><load net="OUT" return="0V" resistance="470k"/></setup>
        <part ref="C1" kind="capacitor" value="22n" pins="IN OUT"/>)");
    for (double hz : {20.0, 40.0, 1000.0}) {
        const std::complex<double> h = 470e3 / (480e3 + 1.0 / std::complex<double>(0, 2 * std::numbers::pi * hz * 22e-9));
        const auto point = solver(circuit).response(std::vector<double>{hz}).at(0);
        CHECK(*point.db == exactly(20 * std::log10(std::abs(h))));
        CHECK(*point.deg == exactly(std::arg(h) * 180 / std::numbers::pi));
    }
}

TEST_CASE("a pickup coil rings with its cable as the formula says") {
    // H = 1/((1 + R/RL - ω²LC) + jω(L/RL + RC)); 0.5 H, 1k, 400 pF, 47k
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/>
        <setup><source net="IN" return="0V"/><load net="OUT" return="0V" resistance="47k"/></setup>
        <part ref="L1" kind="inductor" value="0.5H" resistance="1k" pins="IN OUT"/>
        <part ref="C1" kind="capacitor" value="400p" pins="OUT 0V"/>)");
    for (double hz : {100.0, 9500.0, 20000.0}) {
        const double w = 2 * std::numbers::pi * hz;
        const std::complex<double> h = 1.0 / std::complex<double>(1 + 1e3 / 47e3 - w * w * 0.5 * 400e-12, w * (0.5 / 47e3 + 1e3 * 400e-12));
        const auto point = solver(circuit).response(std::vector<double>{hz}).at(0);
        CHECK(*point.db == exactly(20 * std::log10(std::abs(h))));
    }
}

TEST_CASE("a transformer steps down by its turns and carries the load across squared") {
    // 25:1, ideal: 8 Ω at the secondary are 5000 Ω at the primary; from a 5k source V(p) = 1/2, V(s) = 1/50.
    const std::string common = R"(<net name="0V" role="ground"/>
        <setup><source net="IN" return="0V" resistance="5k"/><load net="OUT" return="0V" resistance="8"/></setup>)";
    const Circuit by_value = drawing(common + R"(<part ref="T1" kind="transformer" value="25:1" pins="p1=IN p2=0V s1=OUT s2=0V"/>)");
    CHECK(*solver(by_value).response(std::vector<double>{1000.0})[0].db == exactly(20 * std::log10(1 / 50.0)));
    const Circuit by_windings = drawing(common + R"(<part ref="T1" kind="transformer" pins="p1=IN p3=0V s1=OUT s2=0V">
        <winding name="p" turns="1250 1250" resistance="0 0"/><winding name="s" turns="100" resistance="0"/></part>)");
    CHECK(*solver(by_windings).response(std::vector<double>{1000.0})[0].db == exactly(20 * std::log10(1 / 50.0)));
    // Its winding turned round turns the phase.
    const Circuit turned = drawing(common + R"(<part ref="T1" kind="transformer" value="25:1" pins="p1=IN p2=0V s1=0V s2=OUT"/>)");
    CHECK(std::fabs(*solver(turned).response(std::vector<double>{1000.0})[0].deg) == exactly(180.0));
}

TEST_CASE("at rest a transformer's windings are their wire") {
    // 24 V through 110 + 120 Ω of primary and 10 Ω: 0.1 A
    const Circuit circuit = drawing(rails + R"(
        <part ref="T1" kind="transformer" pins="p1=+24V p2=TAP p3=B s1=X s2=0V">
          <winding name="p" turns="1500 1500" resistance="110 120"/><winding name="s" turns="60" resistance="0.5"/></part>
        <part ref="R1" kind="resistor" value="10" pins="B 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "B") == exactly(1.0));
    CHECK(volts(circuit, point, "TAP") == exactly(24 - 11.0));
    CHECK(volts(circuit, point, "X") == Approx(0).margin(1e-9));
}

TEST_CASE("tracks follow their laws") {
    // log: (b^x - 1)/(b - 1), b = (1/half - 1)²; half = 0.15: b = 32.1111, at half turn 0.15, at 0.75 (32.1111^0.75 - 1)/31.1111 = 0.40145
    CHECK(detail::track_share(0.5, "log", 0.15) == exactly(0.15));
    const double b = std::pow(1 / 0.15 - 1, 2);
    CHECK(detail::track_share(0.75, "log", 0.15) == exactly((std::pow(b, 0.75) - 1) / (b - 1)));
    CHECK(detail::track_share(0.25, "reverse-log", 0.15) == exactly(1 - (std::pow(b, 0.75) - 1) / (b - 1)));
    CHECK(detail::track_share(0.5, "reverse-log", 0.85) == exactly(0.85));
    CHECK(detail::track_share(0.3, "", {}) == exactly(0.3));
    CHECK(detail::track_share(0.3, "linear", 0.5) == exactly(0.3));
    for (const char* taper : {"log", "reverse-log"}) {
        CHECK(detail::track_share(0, taper, 0.1) == Approx(0).margin(1e-15));
        CHECK(detail::track_share(1, taper, 0.1) == exactly(1.0));
    }
}

TEST_CASE("a potentiometer stands where its control says, at half turn otherwise, and works at both ends") {
    for (auto [control, expected] : {std::pair{"", 12.0}, {R"(<control ref="VR1" at="0"/>)", 0.0},
                                     {R"(<control ref="VR1" at="1"/>)", 24.0}, {R"(<control ref="VR1" at="0.25"/>)", 6.0}}) {
        const Circuit circuit = drawing(R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="24V"/>)" +
            std::string(control) + R"(</setup><part ref="VR1" kind="potentiometer" value="10k" pins="ccw=0V wiper=W cw=V"/>)");
        CHECK(volts(circuit, at_rest(circuit), "W") == Approx(expected).margin(1e-9));
    }
}

TEST_CASE("conductors in a ring, and two closed switches side by side, do no harm") {
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="10V"/>
          <control ref="S1" at="closed"/><control ref="S2" at="closed"/></setup>
        <part ref="S1" kind="switch" pins="V A"/><part ref="S2" kind="switch" pins="V A"/><part ref="LK1" kind="link" pins="V A"/>
        <part ref="R1" kind="resistor" value="1k" pins="A 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    REQUIRE(point.converged);
    CHECK(volts(circuit, point, "A") == exactly(10.0));
    CHECK(*point.supplies[0].amperes == exactly(0.01));
}

TEST_CASE("a supply shorted by a switch has no operating point, and the net is named") {
    const Circuit circuit = drawing(rails + R"(<part ref="LK1" kind="link" pins="+24V 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK_FALSE(point.converged);
    CHECK(point.resists == "+24V");
    CHECK(point.says.find("short circuit") != std::string::npos);
}

TEST_CASE("nets that nothing holds are not told, and the rest is") {
    const Circuit circuit = drawing(rails + R"(
        <part ref="R1" kind="resistor" value="1k" pins="+24V A"/><part ref="R2" kind="resistor" value="1k" pins="A 0V"/>
        <part ref="C1" kind="capacitor" value="100n" pins="A B"/><part ref="C2" kind="capacitor" value="100n" pins="B 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    REQUIRE(point.converged);
    CHECK(volts(circuit, point, "A") == exactly(12.0));
    CHECK_FALSE(point.net_volts[circuit.net("B")->index]);
}

TEST_CASE("a part without a model is named, and only what depends on it is not told") {
    const Circuit circuit = drawing(rails + R"(
        <part ref="R1" kind="resistor" value="1k" pins="+24V A"/><part ref="R2" kind="resistor" value="1k" pins="A 0V"/>
        <part ref="R3" kind="resistor" value="1k" pins="+24V B"/><part ref="IC3" kind="ic" pins="in=B gnd=0V"/>
        <part ref="R4" kind="resistor" value="1k" pins="B C"/><part ref="R5" kind="resistor" value="1k" pins="C 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "A") == exactly(12.0));
    CHECK(volts(circuit, point, "+24V") == exactly(24.0));
    CHECK_FALSE(point.net_volts[circuit.net("B")->index]);
    CHECK_FALSE(point.net_volts[circuit.net("C")->index]);
    CHECK_FALSE(point.supplies[0].amperes);
    REQUIRE(solver(circuit).unmodelled().size() == 1);
    CHECK(solver(circuit).unmodelled()[0].ref == "IC3");
    const Expectation reading = solver(circuit).expectation(voltage(circuit, "A", "0V"));
    CHECK(*reading.expected == exactly(12.0));
    CHECK_FALSE(solver(circuit).expectation(voltage(circuit, "C", "0V")).expected);
}

TEST_CASE("a transformer without turns hides the response only where it could change it") {
    const std::string amplifier = R"(<net name="0V" role="ground"/>
        <setup><supply plus="V" minus="0V" voltage="24V" resistance="1"/><source net="IN" return="0V" resistance="1k"/>
               <load net="OUT" return="0V"/></setup>
        <part ref="R1" kind="resistor" value="10k" pins="V OUT"/><part ref="R2" kind="resistor" value="10k" pins="IN OUT"/>)";
    const Circuit aside = drawing(amplifier + R"(<part ref="T1" kind="transformer" model="XT" pins="p1=L p2=N s1=V s2=S2"/>
        <part ref="R3" kind="resistor" value="1k" pins="S2 0V"/>)");
    CHECK(*solver(aside).response(std::vector<double>{1000})[0].db == Approx(20 * std::log10(10.0 / 21)).margin(0.05));
    CHECK(solver(aside).why_no_response().empty());
    const Circuit amid = drawing(amplifier + R"(<part ref="T1" kind="transformer" model="XT" pins="p1=IN p2=0V s1=OUT s2=0V"/>)");
    CHECK_FALSE(solver(amid).response(std::vector<double>{1000})[0].db);
    CHECK_FALSE(solver(amid).why_no_response().empty());
    CHECK(solver(amid).unmodelled().size() == 1);
}
