#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "consequence/caution.h"
#include "support/text_circuit.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

std::vector<Caution> of(const Circuit& circuit) {
    SolveOptions options;
    options.devices = built_in_devices();
    const Solver solver(circuit, options);
    return cautions(circuit, solver, solver.operating_point());
}
std::size_t count(const std::vector<Caution>& all, CautionOf what) {
    return static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](const Caution& c) { return c.of == what; }));
}

}  // namespace

TEST_CASE("voltages above 60 V and above 120 V are told at their nets") {
    const Circuit circuit = drawing(R"(<net name="0V" role="ground"/><setup><supply plus="HT" minus="0V" voltage="250V"/></setup>
        <part ref="R1" kind="resistor" value="150k" pins="HT A"/><part ref="R2" kind="resistor" value="50k" pins="A B"/>
        <part ref="R3" kind="resistor" value="50k" pins="B 0V"/>)");   // A 100 V, B 50 V
    const auto all = of(circuit);
    REQUIRE(count(all, CautionOf::dangerous_voltage) == 1);
    REQUIRE(count(all, CautionOf::hazardous_voltage) == 1);
    CHECK(all[0].print.find("250 V on net HT") != std::string::npos);
    CHECK(all[0].print.find("IEC 61010-031") != std::string::npos);
    CHECK(all[1].net == circuit.net("A"));
    CHECK(of(drawing(R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="24V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="V 0V"/>)")).empty());
}

TEST_CASE("a charged capacitor tells its energy, its drain and the time to 60 V") {
    // 100 µF at 240 V: 2.88 J; through 100k τ = 10 s, ln(240/60)·10 s = 13.9 s
    const std::string text = R"(<net name="0V" role="ground"/><setup><supply plus="HT" minus="0V" voltage="240V"/></setup>
        <part ref="C1" kind="electrolytic" value="100u 350V" pins="plus=HT minus=0V"/>)";
    const auto bled = of(drawing(text + R"(<part ref="R1" kind="resistor" value="100k" pins="HT 0V"/>)"));
    const auto it = std::find_if(bled.begin(), bled.end(), [](const Caution& c) { return c.of == CautionOf::stored_energy; });
    REQUIRE(it != bled.end());
    CHECK(*it->joules == Approx(2.88));
    CHECK(*it->seconds == Approx(10 * std::log(4.0)).epsilon(1e-3));
    CHECK(it->print.find("14 s to 60 V") != std::string::npos);
    const auto kept = of(drawing(text));
    const auto other = std::find_if(kept.begin(), kept.end(), [](const Caution& c) { return c.of == CautionOf::stored_energy; });
    REQUIRE(other != kept.end());
    CHECK(other->print.find("no bleeder found") != std::string::npos);
}

TEST_CASE("mains parts are named, and a chassis joined to the mains is said to be live") {
    const std::string primary = R"(<net name="L" role="mains"/><net name="N" role="mains"/><net name="0V" role="ground"/>
        <part ref="F1" kind="fuse" value="1A" pins="L LF"/>)";
    const auto isolated = of(drawing(primary + R"(<part ref="T1" kind="transformer" value="10:1" pins="p1=LF p2=N s1=A s2=0V"/>)"));
    REQUIRE(count(isolated, CautionOf::mains) == 1);
    CHECK(isolated[0].print.find("F1 and T1") != std::string::npos);
    CHECK(count(isolated, CautionOf::live_chassis) == 0);
    const auto hot = of(drawing(primary + R"(<part ref="D1" kind="diode" model="1N4007" pins="a=LF k=B"/>
        <part ref="R1" kind="resistor" value="1k" pins="B 0V"/>)"));
    CHECK(count(hot, CautionOf::live_chassis) == 1);
}

TEST_CASE("an unknown voltage counts as dangerous where valves are about, and only there") {
    const std::string valve = R"(<net name="0V" role="ground"/><part ref="V1" kind="triode" model="ECC83" pins="k=0V g=G a=A"/>
        <part ref="R1" kind="resistor" value="100k" pins="A HT"/>)";
    const auto unknown = of(drawing(valve));
    CHECK(count(unknown, CautionOf::unknown_voltage) == 3);
    CHECK(count(of(drawing(R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/>)")), CautionOf::unknown_voltage) == 0);
    const Circuit circuit = drawing(valve);
    const auto lines = caution_lines(circuit, unknown);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0] == "Voltage not known on G, A and HT: take it to be dangerous");
}

TEST_CASE("loudspeakers, safety capacitors, batteries and the substances of the time are said") {
    const auto all = of(board(R"(<about><made>1962</made></about><part ref="LS1" kind="speaker" value="8" pins="A B"/>
        <part ref="C1" kind="capacitor" value="100n X2" pins="A B"/><part ref="B1" kind="battery" value="9V" pins="plus=A minus=B"/>
        <part ref="V1" kind="triode" model="ECC83" pins="k=A g=B a=C"/>)"));
    CHECK(count(all, CautionOf::loudspeaker) == 1);
    CHECK(count(all, CautionOf::safety_part) == 1);
    CHECK(count(all, CautionOf::battery) == 1);
    REQUIRE(count(all, CautionOf::substances) == 1);
    CHECK(all.back().print.find("May contain lead") == 0);
    CHECK(all.back().print.find("asbestos") != std::string::npos);
    CHECK_FALSE(caution_footer().empty());
}

TEST_CASE("substances are said only where year and parts call for them") {
    const auto said = [](const std::string& made, const std::string& parts) {
        std::string text;
        for (const Caution& caution : of(drawing("<about><made>" + made + R"(</made></about><net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="30V"/></setup>)" + parts)))
            if (caution.of == CautionOf::substances) text += caution.print;
        return text;
    };
    const std::string small = R"(<part ref="R1" kind="resistor" value="1k" pins="V 0V"/><part ref="Q1" kind="npn" model="BC109" pins="e=0V b=B c=V"/>
        <part ref="R2" kind="resistor" value="4M7" pins="V B"/>)";
    CHECK(said("1972", small).empty());
    // A BD131 with 9 mA of base current takes 0.7 A through 10 ohms: some 15 W.
    const std::string power = R"(<part ref="Q1" kind="npn" model="BD131" pins="e=0V b=B c=C"/><part ref="R1" kind="resistor" value="10" pins="V C"/>
        <part ref="R2" kind="resistor" value="3k3" pins="V B"/>)";
    CHECK(said("1972", power) == "May contain beryllia (power transistors and their washers): do not file, drill, blow or burn");
    CHECK(said("1995", power).empty());
    CHECK(said("1972", R"(<part ref="R1" kind="resistor" value="270 10W" pins="V 0V"/>)").find("May contain asbestos") == 0);
    CHECK(said("1972", R"(<part ref="C1" kind="capacitor" value="100n 400V" pins="V 0V"/>)").find("May contain PCB oil") == 0);
    CHECK(said("1972", R"(<part ref="C1" kind="electrolytic" value="47u 450V" pins="plus=V minus=0V"/>)").empty());
}
