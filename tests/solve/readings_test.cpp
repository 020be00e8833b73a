#include <catch2/catch.hpp>

#include <cmath>

#include "solve_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

const std::string ground = R"(<net name="0V" role="ground"/>)";
// 24 V over two resistors of 1 MΩ.
const std::string megohms = ground + R"(<setup><supply name="HT" plus="V" minus="0V" voltage="24V"/></setup>
    <part ref="R1" kind="resistor" value="1M" tol="5%" pins="V M"/><part ref="R2" kind="resistor" value="1M" tol="10%" pins="M 0V"/>)";

Expectation first_of(const Circuit& circuit, When when = When::found) {
    const Solution solution = solve(circuit, with_devices(when));
    REQUIRE(solution.readings.size() >= 1);
    return solution.readings[0].expectation;
}

}  // namespace

TEST_CASE("a meter's own resistance loads what it reads") {
    // 500k behind the middle: 12 V · 10M/(10M + 0.5M)
    const Circuit dmm = drawing(megohms + R"(<bench><meter id="dmm" input="10M" error="1%"/>
        <reading what="voltage" at="M" to="0V" is="11.4V" meter="dmm"/></bench>)");
    CHECK(*first_of(dmm).expected == exactly(12.0 * 10 / 10.5));
    CHECK(*first_of(dmm).unloaded == exactly(12.0));
    // 20k/V on 50 V: 1 MΩ
    const Circuit moving = drawing(megohms + R"(<bench><meter id="avo" input="20k/V" error="3%"/>
        <reading what="voltage" at="M" to="0V" is="8V" meter="avo" range="50V"/></bench>)");
    CHECK(*first_of(moving).expected == exactly(12.0 * 1 / 1.5));
    const Circuit none = drawing(megohms + R"(<bench><reading what="voltage" at="M" to="0V" is="12V"/></bench>)");
    CHECK(*first_of(none).expected == exactly(12.0));
}

TEST_CASE("low and high take each part at its worse end by the sign of its effect") {
    const Circuit circuit = drawing(megohms + R"(<bench><reading what="voltage" at="M" to="0V" is="12V"/></bench>)");
    const Expectation reading = first_of(circuit);
    CHECK(*reading.high == exactly(24 * 1.1 / (1.1 + 0.95)));
    CHECK(*reading.low == exactly(24 * 0.9 / (0.9 + 1.05)));
    // d V / d ln R1 = -V·R1·R2/(R1 + R2)² = -6 V
    REQUIRE(reading.effects.size() == 2);
    CHECK(reading.effects[0].slope == exactly(-6.0));
    CHECK(reading.effects[1].slope == exactly(6.0));
}

TEST_CASE("tolerances come from the part, its value, its marking, the sheet, the date") {
    const auto tolerance = [](const std::string& text, const std::string& before) {
        const Circuit circuit = board(before + text);
        return working_tolerance(circuit, circuit.parts.at(0));
    };
    const std::string r = R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/>)";
    CHECK(tolerance(R"(<part ref="R1" kind="resistor" value="1k" tol="2%" pins="A B"/>)", "") == Tolerance{0.02, 0.02});
    CHECK(tolerance(R"(<part ref="R1" kind="resistor" pins="A B"><found marking="yellow violet orange silver"/></part>)", "") ==
          Tolerance{0.1, 0.1});
    CHECK(tolerance(r, R"(<defaults resistor-tol="1%"/>)") == Tolerance{0.01, 0.01});
    CHECK(tolerance(r, "<about><made>1952</made></about>") == Tolerance{0.2, 0.2});
    CHECK(tolerance(r, "<about><made>1970</made></about>") == Tolerance{0.1, 0.1});
    CHECK(tolerance(r, "<about><made>1971</made></about>") == Tolerance{0.05, 0.05});
    CHECK(tolerance(r, "") == Tolerance{0.1, 0.1});
    CHECK(tolerance(R"(<part ref="C1" kind="capacitor" value="1n" pins="A B"/>)", "") == Tolerance{0.2, 0.2});
    CHECK(tolerance(R"(<part ref="C1" kind="electrolytic" value="1u" pins="plus=A minus=B"/>)", "") == Tolerance{0.2, 0.8});
}

TEST_CASE("a current is read with the meter's burden in its path") {
    // 24 V over 1k: 24 mA; burden 0.2 V at 0.1 A: 2 Ω more
    const Circuit circuit = drawing(ground + R"(<setup><supply name="HT" plus="V" minus="0V" voltage="24V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="V 0V"/>
        <bench><meter id="dmm" input="10M" burden="200mV" error="1%"/>
          <reading what="current" through="HT" is="24mA" meter="dmm" range="100mA"/>
          <reading what="current" through="R1.b" is="-24mA" meter="dmm" range="100mA"/>
          <reading what="current" through="R1.a" is="24mA"/></bench>)");
    const Solution solution = solve(circuit, with_devices());
    CHECK(*solution.readings[0].expectation.expected == exactly(24.0 / 1002));
    CHECK(*solution.readings[0].expectation.unloaded == exactly(0.024));
    CHECK(*solution.readings[1].expectation.expected == exactly(-24.0 / 1002));
    CHECK(*solution.readings[2].expectation.expected == exactly(0.024));
}

TEST_CASE("the current of a battery and into a device's pin is read likewise") {
    const Circuit circuit = drawing(ground + R"(<part ref="B1" kind="battery" value="9V" pins="plus=V minus=0V"/>
        <device model="T" kind="npn" is="1e-14" beta-f="100" beta-r="1"/>
        <part ref="R1" kind="resistor" value="1M" pins="V B"/><part ref="Q1" kind="npn" model="T" pins="c=V b=B e=0V"/>
        <bench><reading what="current" through="B1" is="1mA"/><reading what="current" through="Q1.c" is="1mA"/>
               <reading what="current" through="Q1.e" is="-1mA"/><reading what="current" through="Q1.b" is="1uA"/></bench>)");
    const Solution solution = solve(circuit, with_devices());
    const auto shown = [&](int i) { return *solution.readings[i].expectation.expected; };
    CHECK(shown(1) == exactly(100 * shown(3)));
    CHECK(shown(2) == exactly(-101 * shown(3)));
    CHECK(shown(0) == exactly(101 * shown(3)));
}

TEST_CASE("resistance is read with the power off, supplies and chips out, capacitors open") {
    // 10k ∥ (22k + 33k); the supply's 0 Ω across part of it must not count.
    const Circuit circuit = drawing(ground + R"(<setup><supply name="HT" plus="V" minus="0V" voltage="24V"/>
          <source net="A" return="0V"/><load net="A" return="0V" resistance="1"/></setup>
        <part ref="R1" kind="resistor" value="10k" pins="A 0V"/><part ref="R2" kind="resistor" value="22k" pins="A V"/>
        <part ref="R3" kind="resistor" value="33k" pins="V 0V"/><part ref="C1" kind="capacitor" value="1u" pins="A 0V"/>
        <part ref="B1" kind="battery" value="9V" pins="plus=A minus=0V"/>
        <part ref="IC1" kind="ic" pins="1=A 2=0V"/><part ref="L1" kind="inductor" value="1H" resistance="1k" pins="A X"/>
        <bench><reading what="resistance" at="A" to="0V" is="8.4k"/>
          <reading what="resistance" at="A" to="0V" without="R1" is="55k"/>
          <reading what="resistance" at="A" to="X" is="1k"/>
          <reading what="resistance" at="A" to="0V" without="R1 R2" is="1M"/></bench>)");
    const Solution solution = solve(circuit, with_devices());
    CHECK(*solution.readings[0].expectation.expected == exactly(10e3 * 55e3 / 65e3));
    CHECK(*solution.readings[1].expectation.expected == exactly(55e3));
    CHECK(*solution.readings[2].expectation.expected == exactly(1000.0));
    CHECK_FALSE(solution.readings[3].expectation.expected);
    CHECK(solution.readings[3].expectation.why_not.find("open") != std::string::npos);
}

TEST_CASE("an ohmmeter sees junctions by its own test voltage and sense") {
    const auto read = [](const std::string& meter, const std::string& at, const std::string& to) {
        const Circuit circuit = drawing(ground + R"(<device model="D" kind="diode" is="1e-9" n="1"/>
            <part ref="R1" kind="resistor" value="10k" pins="A 0V"/><part ref="D1" kind="diode" model="D" pins="anode=A cathode=0V"/>
            <bench><meter id="m" )" + meter + R"( error="1%"/><reading what="resistance" at=")" + at + R"(" to=")" + to +
            R"(" is="1k" meter="m"/></bench>)");
        return *first_of(circuit).expected;
    };
    // 200 mV: the diode takes 1 nA·(e^(0.2/0.025852) - 1) = 2.29 µA beside 20 µA
    const double diode = 1e-9 * std::expm1(0.2 / 0.025852);
    CHECK(read("", "A", "0V") == exactly(0.2 / (0.2 / 10e3 + diode)));
    CHECK(read("", "0V", "A") == exactly(0.2 / (0.2 / 10e3 + 1e-9)));
    // 1 mA: the diode carries nearly all of it, 0.357 V
    const double forward = read(R"(test="1mA")", "A", "0V") * 1e-3;
    CHECK(forward / 10e3 + 1e-9 * std::expm1(forward / 0.025852) == exactly(1e-3));
    CHECK(read(R"(test="1mA")", "0V", "A") == Approx(10e3).epsilon(1e-3));
}

TEST_CASE("a net that only the meter holds reads nothing, and a difference within a floating group is told") {
    const Circuit circuit = drawing(ground + R"(<part ref="B1" kind="battery" value="9V" pins="plus=P minus=N"/>
        <part ref="R1" kind="resistor" value="1k" pins="P M"/><part ref="R2" kind="resistor" value="2k" pins="M N"/>
        <part ref="R3" kind="resistor" value="1k" pins="0V X"/>
        <bench><meter id="dmm" input="10M" error="1%"/><reading what="voltage" at="M" to="N" is="6V"/>
          <reading what="voltage" at="M" to="0V" is="0V" meter="dmm"/><reading what="voltage" at="M" to="0V" is="0V"/></bench>)");
    const Solution solution = solve(circuit, with_devices());
    CHECK(*solution.readings[0].expectation.expected == exactly(6.0));
    CHECK(*solution.readings[1].expectation.expected == Approx(0).margin(1e-6));
    CHECK_FALSE(solution.readings[2].expectation.expected);
    CHECK(*solution.dc.supplies[0].amperes == exactly(0.003));
}

TEST_CASE("found leaves out what was added; left takes what was done") {
    const Circuit circuit = board(ground + R"(<setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="V M"/>
        <part ref="R2" kind="resistor" value="1k" pins="M 0V"><done what="replaced" with="2k"/></part>
        <part ref="R3" kind="resistor" value="1k" pins="M 0V"><done what="added"/></part>
        <part ref="R4" kind="resistor" value="1k" pins="M 0V"><done what="removed"/></part>
        <bench><reading what="voltage" at="M" to="0V" is="4V"/><reading what="voltage" at="M" to="0V" is="4.8V" when="left"/></bench>)");
    CHECK(volts(circuit, at_rest(circuit), "M") == exactly(12 * 0.5 / 1.5));
    CHECK(volts(circuit, at_rest(circuit, When::left), "M") == exactly(12 * (2.0 / 3) / (5.0 / 3)));
    CHECK(solve(circuit, with_devices(When::left)).readings.size() == 1);
    CHECK(*first_of(circuit, When::left).expected == exactly(4.8));
}

TEST_CASE("suspects: a part open, short, leaky or of another value moves the reading as built that way") {
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="V M"/><part ref="R2" kind="resistor" value="1k" pins="M 0V"/>
        <part ref="C1" kind="capacitor" value="1u" pins="M 0V"/>)");
    const Solver healthy = solver(circuit);
    ReadingModel model = healthy.reading_model(voltage(circuit, "M", "0V"));
    const auto with = [&](const std::string& ref, Taken taken, double amount = 0) {
        return model.expected(std::vector<Departure>{{*circuit.part(ref), taken, amount, {}}});
    };
    CHECK(*model.expected() == exactly(6.0));
    CHECK(*with("R2", Taken::open) == exactly(12.0));
    CHECK(*with("R2", Taken::shorted) == Approx(0).margin(1e-9));
    CHECK(*with("R2", Taken::value, 2e3) == exactly(8.0));
    CHECK(*with("C1", Taken::leak, 1e3) == exactly(4.0));
    CHECK(*model.expected() == exactly(6.0));
    CHECK(volts(circuit, healthy.operating_point(std::vector<Departure>{{*circuit.part("R1"), Taken::open, 0, {}}}), "M") ==
          Approx(0).margin(1e-9));
}

TEST_CASE("a suspect tried again and again, with others between, gives what a fresh model gives") {
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" value="470k" pins="V B"/><part ref="R2" kind="resistor" value="4k7" pins="V C"/>
        <part ref="C1" kind="capacitor" value="1u" pins="C B"/><part ref="Q1" kind="npn" model="BC108" pins="e=0V b=B c=C"/>)");
    const Solver it = solver(circuit);
    ReadingModel kept = it.reading_model(voltage(circuit, "C", "0V"));
    const PartId r1 = *circuit.part("R1"), r2 = *circuit.part("R2"), c1 = *circuit.part("C1");
    for (int round = 0; round < 3; ++round)
        for (double ohms : {1e5, 1e6, 3e7})
            for (double value : {300e3, 470e3, 1e6}) {
                const std::vector<std::vector<Departure>> trials = {
                    {}, {{c1, Taken::leak, ohms, {}}}, {{c1, Taken::leak, ohms, {}}, {r1, Taken::value, value, {}}},
                    {{r2, Taken::open, 0, {}}}, {{r1, Taken::value, value, {}}}, {{c1, Taken::shorted, 0, {}}}};
                for (const auto& trial : trials)
                    CHECK(*kept.expected(trial) == Approx(*it.reading_model(voltage(circuit, "C", "0V")).expected(trial)).epsilon(1e-7).margin(1e-9));
            }
}
