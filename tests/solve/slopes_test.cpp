#include "solve/solve.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/text_circuit.h"
#include "xml/read.h"

using namespace tallyboard;

TEST_CASE("a reading's slopes are those of its differences, with parts taken otherwise and leaking") {
    const Circuit circuit = test::board(R"(
      <part ref="R1" kind="resistor" value="100k" pins="V B"/>  <part ref="R2" kind="resistor" value="22k" pins="B 0V"/>
      <part ref="R3" kind="resistor" value="4k7" pins="V C"/>   <part ref="R4" kind="resistor" value="1k" pins="E 0V"/>
      <part ref="Q1" kind="npn" model="BC109C" pins="e=E b=B c=C"/>
      <part ref="C1" kind="capacitor" value="100n" pins="C B"/>
      <setup><supply plus="V" minus="0V" voltage="9V"/></setup>
      <bench><meter id="coil" input="20k/V" error="2%"/>
      <reading what="voltage" at="C" to="0V" is="5V" meter="coil" range="10V"/>
      <reading what="current" through="V" is="1mA"/></bench>)");
    SolveOptions options;
    options.devices = built_in_devices();
    const Solver solver(circuit, options);
    for (const Reading& reading : circuit.bench.readings) {
        ReadingModel model = solver.reading_model(reading), other = solver.reading_model(reading);
        const auto with = [&](double r2, double leak) {
            return std::vector<Departure>{{*circuit.part("R2"), Taken::value, r2, {}}, {*circuit.part("C1"), Taken::leak, leak, {}}};
        };
        const auto difference = [&](const std::vector<Departure>& up, const std::vector<Departure>& down, double step) {
            return (*other.expected(up) - *other.expected(down)) / (2 * step);
        };
        for (double r2 : {22e3, 27e3})
            for (double leak : {1e6, 47e3}) {
                const double step = 1e-4, more = std::exp(step), less = std::exp(-step);
                REQUIRE(model.expected(with(r2, leak)));
                const ReadingModel::Slopes slopes = model.slopes();
                REQUIRE(slopes.values.size() == 5);   // the capacitor too, which does nothing at rest
                REQUIRE(slopes.leaks.size() == 1);
                CHECK(slopes.values[1].part == *circuit.part("R2"));
                CHECK(slopes.values[1].slope == Approx(difference(with(r2 * more, leak), with(r2 * less, leak), step)).epsilon(1e-4));
                CHECK(slopes.leaks[0] == Approx(difference(with(r2, leak * more), with(r2, leak * less), step)).epsilon(1e-4));
            }
    }
}

TEST_CASE("a cold valve conducts nothing: resistances round it are those of the other parts") {
    const Circuit circuit = test::board(R"(
      <part ref="V1" kind="triode" model="ECC83" pins="k=K g=G a=A"/>  <part ref="V2" kind="pentode" pins="k=K g1=G g2=S a=A"/>
      <part ref="R1" kind="resistor" value="100k" tol="0%" pins="A HT"/> <part ref="R2" kind="resistor" value="1M" tol="0%" pins="G 0V"/>
      <part ref="R3" kind="resistor" value="1k5" tol="0%" pins="K 0V"/>
      <bench><reading what="resistance" at="G" to="0V" is="1M"/> <reading what="resistance" at="0V" to="K" is="1k5"/>
      <reading what="resistance" at="A" to="HT" is="100k"/> <reading what="resistance" at="A" to="K" is="1M"/></bench>)");
    SolveOptions options;
    options.devices = built_in_devices();
    const Solver solver(circuit, options);
    const std::vector<Reading>& readings = circuit.bench.readings;
    CHECK(*solver.expectation(readings[0]).expected == Approx(1e6));
    CHECK(*solver.expectation(readings[1]).expected == Approx(1500));
    CHECK(*solver.expectation(readings[2]).expected == Approx(100e3));
    CHECK_FALSE(solver.expectation(readings[3]).expected);
    CHECK(solver.expectation(readings[3]).why_not == "nothing conducts between the two places: the meter shows open");
}
