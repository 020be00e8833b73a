#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "consequence_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// A coupling capacitor into 470k from 10k: 480k see it.
std::string coupling(const std::string& value, const std::string& tol = "10%") {
    return R"(<net name="0V" role="ground"/><setup><supply name="S" plus="V" minus="0V" voltage="12V"/>
        <source net="IN" return="0V" resistance="10k"/><load net="OUT" return="0V"/></setup>
        <part ref="C1" kind="capacitor" tol=")" + tol + R"(" value=")" + value + R"(" pins="IN OUT"/>
        <part ref="R1" kind="resistor" tol="5%" value="470k" pins="OUT 0V"/>
        <part ref="R2" kind="resistor" tol="5%" value="10k" pins="V M"/><part ref="R3" kind="resistor" tol="5%" value="10k" pins="M 0V"/>)";
}

const LevelChange& at(const Consequence& consequence, double hz) {
    for (const LevelChange& change : consequence.levels)
        if (change.hz == hz) return change;
    throw std::runtime_error("no such frequency");
}

double share_of(const Consequence& consequence, const std::string& name) {
    for (const RestChange& change : consequence.rest)
        if (change.name == name) return change.share;
    return 0;
}

}  // namespace

TEST_CASE("a smaller coupling capacitor thins the bass by the textbook's decibels") {
    // With 480 kΩ: 100 n loses 0.1 dB at 20 Hz, 22 n 2.0 dB (0.6 at 40 Hz): -10·log10(1 + (fc/f)²), fc = 1/(2π·480k·C)
    const Circuit drawn = drawing(coupling("100n")), found = board(coupling("22n"));
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "C1")}), quick());
    const Consequence& it = all.findings.at(0);
    REQUIRE(it.told);
    const auto loss = [](double hz, double farads) {
        const double corner = 1 / (2 * std::numbers::pi * 480e3 * farads);
        return -10 * std::log10(1 + corner * corner / hz / hz);
    };
    CHECK(at(it, 20).change() == Approx(loss(20, 22e-9) - loss(20, 100e-9)).margin(1e-6));
    CHECK(at(it, 40).change() == Approx(loss(40, 22e-9) - loss(40, 100e-9)).margin(1e-6));
    CHECK(*all.corners.low == Approx(1 / (2 * std::numbers::pi * 480e3 * 100e-9)).epsilon(1e-3));
    CHECK(*it.corners.low == Approx(1 / (2 * std::numbers::pi * 480e3 * 22e-9)).epsilon(1e-3));
    CHECK(it.grade == Grade::audible);
    CHECK_FALSE(it.inside_spread);
    CHECK(it.says == "bass 1.8 dB thinner at 20 Hz; outside production spread");
    CHECK(it.formula.find("R about 480 kΩ: 15.1 Hz with 22n, drawn 3.32 Hz with 100n") != std::string::npos);
    CHECK(all.together.finding == "all");
    CHECK(at(all.together, 20).change() == Approx(at(it, 20).change()));
}

TEST_CASE("a change that two honest units would differ by is within the production spread, and grades nothing") {
    const Circuit drawn = drawing(coupling("22n", "20%")), found = board(coupling("20n", "20%"));
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "C1")}), quick());
    const Consequence& it = all.findings.at(0);
    CHECK(it.grade == Grade::nothing);
    CHECK(it.grade_alone == Grade::slight);
    CHECK(it.inside_spread);
    CHECK(it.says.find("within production spread") != std::string::npos);
}

TEST_CASE("what the whole band changes by is told once, and bass and treble beside it") {
    // 1k behind 10k gives 1/11; 10k behind 10k 1/2: 14.8 dB more. With 3n3 across it the treble falls
    // from 1/(2π·3n3·5k) = 9.6 kHz on: by 10·log10(1 + (20/9.65)²) = 7.2 dB at 20 kHz, as drawn from 53 kHz on: 0.6 dB.
    const auto pad = [](const std::string& low) {
        return R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/><source net="IN" return="0V" resistance="0"/>
        <load net="OUT" return="0V"/></setup><part ref="R1" kind="resistor" tol="1%" value="10k" pins="IN OUT"/><part ref="R3" kind="resistor" value="1k" pins="V 0V"/>)" + low;
    };
    const Circuit drawn = drawing(pad(R"(<part ref="R2" kind="resistor" tol="1%" value="1k" pins="OUT 0V"/><part ref="C1" kind="capacitor" value="3n3" pins="OUT 0V"/>)"));
    const Circuit found = board(pad(R"(<part ref="R2" kind="resistor" tol="1%" value="10k" pins="OUT 0V"/><part ref="C1" kind="capacitor" value="3n3" pins="OUT 0V"/>)"));
    const Consequence it = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R2")}), quick()).findings.at(0);
    CHECK(it.says == "14.8 dB louder at 1 kHz, beside that treble 6.6 dB duller at 20 kHz; outside production spread");
}

TEST_CASE("voltages are judged against the supply, currents against themselves") {
    // M falls from 6 V to 12·4.7/14.7 = 3.837 V: 18 % of the supply; the supply gives 0.8163 mA for 0.6 mA: 36 % more
    const Circuit drawn = drawing(coupling("100n"));
    std::string changed = coupling("100n");
    changed.replace(changed.find("value=\"10k\" pins=\"M 0V\""), 11, "value=\"4k7\"");
    const Circuit found = board(changed);
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R3")}), quick());
    const Consequence& it = all.findings.at(0);
    CHECK(share_of(it, "M") == Approx((6 - 12 * 4.7 / 14.7) / 12));
    CHECK(share_of(it, "S") == Approx(20 / 14.7 - 1));
    CHECK(it.grade == Grade::major);
    CHECK(it.says.find("M 3.84 V, drawn 6 V") != std::string::npos);
    CHECK(it.levels.size() == all.hz.size());
}

TEST_CASE("each finding is carried out as its kind says") {
    const std::string common = R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>)";
    const auto divider = [&](const std::string& more, const std::string& low = "M 0V") {
        return common + R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/><part ref="R2" kind="resistor" value="1k" pins=")" + low +
               R"("/><part ref="R4" kind="resistor" value="1k" pins="N 0V"/>)" + more;
    };
    const Circuit drawn = drawing(divider(""));
    const auto net_after = [&](const Circuit& found, Finding one, const std::string& net) {
        const Consequences all = consequences(drawn, found, by_names(drawn, found, {std::move(one)}), quick());
        REQUIRE(all.findings.at(0).told);
        for (const RestChange& change : all.findings[0].rest)
            if (change.name == net) return change.found;
        return *all.dc.net_volts[drawn.net(net)->index];
    };
    SECTION("missing") {
        Finding one = finding(What::missing, 3, "missing@R2");
        one.drawing_parts = {*drawn.part("R2")};
        CHECK(net_after(board(common + R"(<part ref="R8" kind="resistor" value="1k" pins="V 0V"/>)"), one, "M") == Approx(12.0));
    }
    SECTION("extra") {
        const Circuit found = board(divider(R"(<part ref="R3" kind="resistor" value="1k" pins="M 0V"/>)"));
        Finding one = finding(What::extra, 3, "extra@R3");
        one.board_parts = {*found.part("R3")};
        CHECK(net_after(found, one, "M") == Approx(4.0));
    }
    SECTION("moved") {
        const Circuit found = board(divider("", "M N"));
        Finding one = finding(What::moved, 2, "moved@R2.b");
        one.drawing_pins = {pin(drawn, "R2", "b")};
        one.board_pins = {pin(found, "R2", "b")};
        one.drawing_net = drawn.net("0V");
        one.board_net = found.net("N");
        CHECK(net_after(found, one, "M") == Approx(8.0));
    }
    SECTION("joined") {
        Finding one = finding(What::joined, 3, "joined@R4.a");
        one.drawing_net = drawn.net("N");
        const Circuit found = board(common + R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/>
            <part ref="R2" kind="resistor" value="1k" pins="M 0V"/><part ref="R4" kind="resistor" value="1k" pins="M 0V"/>)");
        one.board_net = found.net("M");
        CHECK(net_after(found, one, "M") == Approx(4.0));
    }
    SECTION("inserted") {
        const Circuit found = board(common + R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/>
            <part ref="R9" kind="resistor" value="2k" pins="M X"/><part ref="R2" kind="resistor" value="1k" pins="X 0V"/>)");
        Finding one = finding(What::inserted, 4, "inserted@R2.a");
        one.board_parts = {*found.part("R9")};
        one.drawing_pins = {pin(drawn, "R2", "a")};
        one.board_pins = {pin(found, "R2", "a")};
        CHECK(net_after(found, one, "M") == Approx(9.0));
    }
    SECTION("bypassed") {
        Finding one = finding(What::bypassed, 4, "bypassed@R1");
        one.drawing_parts = {*drawn.part("R1")};
        CHECK(net_after(board(common + R"(<part ref="R8" kind="resistor" value="1k" pins="V 0V"/>)"), one, "M") == Approx(12.0));
    }
    SECTION("split") {
        Finding one = finding(What::split, 3, "split@R2.a");
        const Circuit found = board(common + R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/><part ref="R2" kind="resistor" value="1k" pins="X 0V"/>)");
        one.drawing_pins = {pin(drawn, "R2", "a")};
        one.board_pins = {pin(found, "R2", "a")};
        one.drawing_net = drawn.net("M");
        one.board_net = found.net("X");
        CHECK(net_after(found, one, "M") == Approx(12.0));
    }
}

TEST_CASE("without a setup nothing is made up: the reason is said") {
    const std::string text = R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/>)";
    const Circuit drawn = drawing(text), found = board(R"(<part ref="R1" kind="resistor" value="2k" pins="A B"/>)");
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R1")}), quick());
    CHECK(all.why_not.find("no <setup>") != std::string::npos);
    CHECK(all.findings[0].grade == Grade::unknown);
    CHECK(all.findings[0].says.find("not computed") == 0);
}

TEST_CASE("the board's setup counts for a drawing without one") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/><part ref="R2" kind="resistor" value="1k" pins="M 0V"/>)";
    const std::string setup = R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>)";
    const Circuit drawn = drawing(parts);
    const Circuit found = board(setup + R"(<part ref="R1" kind="resistor" value="1k" pins="V M"/><part ref="R2" kind="resistor" value="3k" pins="M 0V"/>)");
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R2")}), quick());
    CHECK(*all.dc.net_volts[drawn.net("M")->index] == Approx(6.0));
    CHECK(share_of(all.findings[0], "M") == Approx(3.0 / 12));
    CHECK(all.findings[0].why_not == "no source is set up");
}

TEST_CASE("a mains part is major whatever it costs, and ranks first") {
    const std::string text = R"(<net name="L" role="mains"/><net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="C1" kind="capacitor" value="100n 275V X2" pins="L N"/><part ref="R1" kind="resistor" value="1k" pins="V M"/>
        <part ref="R2" kind="resistor" value="1k" pins="M 0V"/>)";
    std::string other = text;
    other.replace(other.find("100n"), 4, "220n");
    other.replace(other.find("value=\"1k\" pins=\"M"), 10, "value=\"9k\"");
    const Circuit drawn = drawing(text), found = board(other);
    const Consequences all = consequences(drawn, found,
        by_names(drawn, found, {value_finding(drawn, found, "R2"), value_finding(drawn, found, "C1")}), quick());
    CHECK(all.findings[1].safety);
    CHECK(all.findings[1].grade == Grade::major);
    CHECK(all.ranking.at(0) == 1);
}

TEST_CASE("a reading that the board explains and the drawing does not is evidence for its finding") {
    const auto text = [](const std::string& r2) {
        return R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" tol="1%" value="1k" pins="V M"/><part ref="R2" kind="resistor" tol="1%" value=")" + r2 +
               R"(" pins="M 0V"/><part ref="C1" kind="capacitor" value="1n" pins="M 0V"/>)";
    };
    const Circuit drawn = drawing(text("1k"));
    const Circuit found = board(text("2k") + R"(<bench><meter id="dmm" input="10M" error="0.5%"/>
        <reading what="voltage" at="M" to="0V" is="8.01V" meter="dmm"/><reading what="voltage" at="V" to="0V" is="12.0V" meter="dmm"/>
        <reading what="voltage" at="M" to="0V" is="3V" meter="dmm"/></bench>)");
    Finding other = finding(What::value, 1, "value@C1");
    other.drawing_parts = {*drawn.part("C1")};
    other.board_parts = {*found.part("C1")};
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R2"), other}), quick());
    REQUIRE(all.readings.size() == 3);
    CHECK((all.readings[0].board_explains && !all.readings[0].drawing_explains));
    CHECK(all.readings[0].findings == std::vector<std::string>{"value@R2"});
    CHECK(all.readings[0].says.find("it speaks for value@R2") != std::string::npos);
    CHECK((all.readings[1].board_explains && all.readings[1].drawing_explains && all.readings[1].says.empty()));
    CHECK(all.readings[2].says.find("neither explains it") != std::string::npos);
}

TEST_CASE("the result does not depend on threads, and the same units are drawn each time") {
    const Circuit drawn = drawing(coupling("100n")), found = board(coupling("22n"));
    const Comparison comparison = by_names(drawn, found, {value_finding(drawn, found, "C1")});
    ConsequenceOptions one = quick(), three = quick();
    one.threads = 1;
    three.threads = 3;
    const Consequences a = consequences(drawn, found, comparison, one), b = consequences(drawn, found, comparison, three);
    for (std::size_t f = 0; f < a.hz.size(); ++f) {
        CHECK(a.spread.level[f]->low == b.spread.level[f]->low);
        CHECK(a.spread.extreme_level[f]->high == b.spread.extreme_level[f]->high);
        CHECK(a.findings[0].levels[f].found_db == b.findings[0].levels[f].found_db);
    }
    // No sampled unit lies outside the extremes.
    for (std::size_t f = 0; f < a.hz.size(); ++f) {
        CHECK(a.spread.level[f]->low >= a.spread.extreme_level[f]->low - 1e-9);
        CHECK(a.spread.level[f]->high <= a.spread.extreme_level[f]->high + 1e-9);
    }
}

TEST_CASE("the steps of severity are the table's") {
    CHECK(grade_of(Judged::level, -0.29) == Grade::nothing);
    CHECK(grade_of(Judged::level, 0.3) == Grade::slight);
    CHECK(grade_of(Judged::level, -1.5) == Grade::audible);
    CHECK(grade_of(Judged::level, 3.0) == Grade::major);
    CHECK(grade_of(Judged::equaliser, 0.5) == Grade::audible);
    CHECK(grade_of(Judged::direct_voltage, 0.19) == Grade::audible);
    CHECK(grade_of(Judged::current, 0.31) == Grade::major);
    CHECK(grade_of(Judged::dissipation, 0.59) == Grade::nothing);
    CHECK(grade_of(Judged::dissipation, 0.61) == Grade::audible);
    CHECK(grade_of(Judged::capacitor_voltage, 1.01) == Grade::major);
    for (const Thresholds& row : thresholds()) CHECK_FALSE(row.reason.empty());
}

TEST_CASE("a resistor driven beyond its rating is told") {
    // 12 V across 390 Ω: 0.37 W in a ½ W part; across 150 Ω 0.96 W
    const auto text = [](const std::string& value) {
        return R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" value=")" + value + R"( 0.5W" pins="V 0V"/>)";
    };
    const Circuit drawn = drawing(text("390")), found = board(text("150"));
    const Consequences all = consequences(drawn, found, by_names(drawn, found, {value_finding(drawn, found, "R1")}), quick());
    REQUIRE(all.findings[0].ratings.size() == 1);
    CHECK(all.findings[0].ratings[0].find("R1 dissipates") == 0);
    CHECK(all.findings[0].grade == Grade::major);
}
