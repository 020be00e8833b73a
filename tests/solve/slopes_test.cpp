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
