#include <catch2/catch.hpp>

#include <cmath>

#include "consequence_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// Biased through one resistor, so that the collector current is the gain times the base current; no resistor spreads.
std::string fixed_bias(const std::string& model) {
    return R"(<net name="0V" role="ground"/><setup><supply name="S" plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" tol="0%" value="4M7" pins="V B"/><part ref="R2" kind="resistor" tol="0%" value="1k" pins="V C"/>
        <part ref="Q1" kind="npn" model=")" + model + R"(" pins="e=0V b=B c=C"/>)";
}

ProductionSpread spread_of(const Circuit& circuit) {
    const Solver solver(circuit, quick().solve);
    return production_spread(circuit, solver, {1000});
}
Band collector(const Circuit& circuit) {
    const PinId c = pin(circuit, "Q1", "collector");
    return *spread_of(circuit).pin_amperes[c.part.index][c.pin];
}

}  // namespace

TEST_CASE("units differ by their transistors' gain as far as the type's group allows") {
    // A BC109C has a gain of 420 to 800. IB is (12 V - VBE)/4M7 = 2.42 µA: IC from 1.0 to 1.9 mA; of 500 units the middle 98 of 100.
    const Band c = collector(drawing(fixed_bias("BC109C")));
    const double base = (12 - 0.62) / 4.7e6;
    CHECK(c.low == Approx(420 * base).epsilon(0.02));
    CHECK(c.high == Approx(800 * base).epsilon(0.02));
    // A group spreads less than a type without one.
    const Band any = collector(drawing(fixed_bias("BC108")));
    CHECK(any.high / any.low > 1.8 * c.high / c.low);
}

TEST_CASE("a change of gain within the group is within production spread") {
    const Circuit drawn = drawing(fixed_bias("BC109C") + R"(<device model="Q600" kind="npn" is="1.8e-14" beta-f="600" beta-r="5"/>)");
    const Circuit found = board(fixed_bias("Q600") + R"(<device model="Q600" kind="npn" is="1.8e-14" beta-f="600" beta-r="5"/>)");
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "Q1")}), quick());
    CHECK(all.findings[0].inside_spread);
    CHECK(all.findings[0].grade == Grade::nothing);
    CHECK(all.findings[0].grade_alone > Grade::nothing);
}

TEST_CASE("a specimen scales what its type spreads by, and the type itself comes back") {
    const auto after = [](const std::string& text, const std::string& net, double share, double vbe) {
        const Circuit circuit = drawing(text);
        const Solver solver(circuit, quick().solve);
        REQUIRE(solver.device_spreads().size() == 1);
        UnitModel model = solver.unit_model();
        const std::vector<Specimen> specimen{{share, vbe}};
        const double volts = *model.unit({}, {}, specimen).point.net_volts[circuit.net(net)->index];
        CHECK(*model.unit({}, {}).point.net_volts[circuit.net(net)->index] == Approx(*solver.operating_point().net_volts[circuit.net(net)->index]));
        return volts;
    };
    const std::string common = R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="20V"/></setup>)";
    // Gate at its source: the drain current is IDSS, 3 mA of a 2N5457; through 1k from 20 V.
    const std::string fet = common + R"(<part ref="R1" kind="resistor" value="1k" pins="V D"/><part ref="Q1" kind="njfet" model="2N5457" pins="s=0V g=0V d=D"/>)";
    CHECK(after(fet, "D", 1.5, 0) == Approx(20 - 4.5).epsilon(1e-6));
    CHECK(after(fet, "D", 0.5, 0) == Approx(20 - 1.5).epsilon(1e-6));
    // A junction held by a current: VBE is what it was and 15 mV.
    const std::string diode = common + R"(<part ref="R1" kind="resistor" value="10k" pins="V B"/><part ref="Q1" kind="npn" model="BC109" pins="e=0V b=B c=B"/>)";
    CHECK(after(diode, "B", 1, 0.015) - after(diode, "B", 1, 0) == Approx(0.015).epsilon(2e-3));
}

TEST_CASE("every spread of the device data holds the type itself") {
    int spreads = 0;
    for (const Device& device : built_in_devices())
        for (const auto& [name, share] : device.parameters) {
            INFO(device.kind << " " << device.model << " " << name << " " << share);
            if (name == "spread-low") CHECK((share > 0.01 && share <= 1));
            if (name == "spread-high") CHECK((share >= 1 && share < 5));
            if (name == "spread-vbe") CHECK((share > 0 && share < 0.1));
            spreads += name == "spread-low" ? 1 : 0;
        }
    CHECK(spreads > 30);
}
