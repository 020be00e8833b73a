// What standing the wrong way round does, and what no figure shows. Each comparison is the real one, so that the pins are paired
// as the program pairs them.
#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "consequence_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

const std::string supply = R"(<net name="0V" role="ground"/><net name="V" role="supply"/><setup><supply plus="V" minus="0V" voltage="12V"/>
    <source net="IN" return="0V" resistance="1k"/><load net="OUT" return="0V" resistance="47k"/></setup>)";

struct Worked { Circuit drawn, found; Comparison comparison; Consequences all; };
Worked worked(const std::string& drawn_text, const std::string& found_text) {
    Worked out{drawing(drawn_text), board(found_text), {}, {}};
    out.comparison = compare(out.drawn, out.found);
    out.all = consequences(out.drawn, out.found, out.comparison, quick());
    return out;
}
const Consequence& of(const Worked& worked, const std::string& id) {
    std::string known;
    for (const Consequence& one : worked.all.findings) {
        if (one.finding == id) return one;
        known += one.finding + " ";
    }
    FAIL("no " << id << " among " << known);
    return worked.all.findings.front();
}

// A divider of 12 V to 6 V, coupled out by a polarised capacitor whose far end stands at 0 V.
std::string coupled(const char* pins) {
    return supply + R"(<part ref="R1" kind="resistor" value="10k" pins="V M"/><part ref="R2" kind="resistor" value="10k" pins="M 0V"/>
        <part ref="R3" kind="resistor" value="4k7" pins="IN M"/><part ref="C9" kind="electrolytic" value="10u" pins=")" +
           pins + R"("/><part ref="R4" kind="resistor" value="100k" pins="OUT 0V"/>)";
}

// An op-amp follower with gain between the rails; `in` are its two inputs' nets.
std::string amplifier(const char* in) {
    return R"(<net name="0V" role="ground"/><setup><supply name="P" plus="VP" minus="0V" voltage="12V"/><supply name="M" plus="0V" minus="VM" voltage="12V"/>
        <source net="IN" return="0V" resistance="1k"/><load net="OUT" return="0V" resistance="10k"/></setup>
        <part ref="R1" kind="resistor" value="22k" pins="IN 0V"/><part ref="R2" kind="resistor" value="1k" pins="FB 0V"/>
        <part ref="R3" kind="resistor" value="10k" pins="OUT FB"/><part ref="C1" kind="capacitor" value="10n" pins="IN 0V"/>
        <part ref="IC1" kind="opamp" model="TL072" pins="out=OUT v+=VP v-=VM )" +
           std::string(in) + R"("/>)";
}

}  // namespace

TEST_CASE("a reversed transistor is worked out turned round") {
    const auto stage = [](const std::string& pins) {
        return R"(<net name="0V" role="ground"/><setup><supply plus="V" minus="0V" voltage="12V"/></setup>
        <part ref="R1" kind="resistor" value="470k" pins="V B"/><part ref="R2" kind="resistor" value="4k7" pins="V C"/>
        <part ref="R3" kind="resistor" value="1k" pins="V 0V"/><part ref="Q1" kind="npn" model="BC108" pins=")" + pins + R"("/>)";
    };
    const Worked it = worked(stage("e=0V b=B c=C"), stage("e=C b=B c=0V"));
    const double after = *Solver(it.found, quick().solve).operating_point().net_volts[it.found.net("C")->index];
    const auto& rest = of(it, "reversed@Q1").rest;
    const auto c = std::find_if(rest.begin(), rest.end(), [](const RestChange& change) { return change.name == "C"; });
    REQUIRE(c != rest.end());
    CHECK(c->found == Approx(after));
}

TEST_CASE("an electrolytic found turned about tells the voltage it stands at the wrong way round") {
    // M stands at 12 V · 10k ∥ 5k7 / (10k + 10k ∥ 5k7): the source is 0 V at rest behind 1k and 4k7
    const double volts = 12 * (1 / (1 / 10e3 + 1 / 5.7e3)) / (10e3 + 1 / (1 / 10e3 + 1 / 5.7e3));
    const Worked it = worked(coupled("plus=M minus=OUT"), coupled("plus=OUT minus=M"));
    const Consequence& turned = of(it, "reversed@C9");
    CHECK(*it.all.dc.net_volts[it.drawn.net("M")->index] == Approx(volts));
    REQUIRE(turned.ratings.size() == 1);
    CHECK(turned.ratings[0] == "C9 stands at 3.2 V the wrong way round");
    CHECK(turned.grade == Grade::major);
    CHECK(turned.says == "C9 stands at 3.2 V the wrong way round");
}

TEST_CASE("an electrolytic drawn turned about and found right tells what the drawing would do") {
    const Consequence turned = of(worked(coupled("plus=OUT minus=M"), coupled("plus=M minus=OUT")), "reversed@C9");
    CHECK(turned.says == "C9 stands right; as drawn it would stand at 3.2 V the wrong way round");
    CHECK(turned.grade == Grade::major);
}

TEST_CASE("an electrolytic without voltage across it bears either way round, and one of unknown voltage is not told") {
    const std::string pair = supply + R"(<part ref="R1" kind="resistor" value="10k" pins="IN 0V"/><part ref="R4" kind="resistor" value="100k" pins="OUT 0V"/>
        <part ref="R5" kind="resistor" value="1k" pins="V 0V"/><part ref="C9" kind="electrolytic" value="10u" pins=")";
    const Consequence idle = of(worked(pair + R"(plus=IN minus=OUT"/>)", pair + R"(plus=OUT minus=IN"/>)"), "reversed@C9");
    CHECK(idle.grade == Grade::nothing);
    CHECK(idle.says.find("which it bears either way round") != std::string::npos);
    const std::string hidden = supply + R"(<part ref="R1" kind="resistor" value="10k" pins="IN 0V"/><part ref="IC7" kind="ic" pins="x=A y=0V z=IN"/>
        <part ref="R5" kind="resistor" value="1k" pins="V 0V"/><part ref="R6" kind="resistor" value="2k" pins="A OUT"/><part ref="C9" kind="electrolytic" value="10u" pins=")";
    const Consequence unknown = of(worked(hidden + R"(plus=A minus=0V"/>)", hidden + R"(plus=0V minus=A"/>)"), "reversed@C9");
    CHECK(unknown.grade == Grade::unknown);
    CHECK(unknown.says.find("whether C9 stands the wrong way round is not told") != std::string::npos);
}

TEST_CASE("an op-amp whose inputs are exchanged latches up, on whichever side it is") {
    const char* const right = "in-=FB in+=IN";
    const char* const wrong = "in-=IN in+=FB";
    const Worked drawn_wrong = worked(amplifier(wrong), amplifier(right));
    const Consequence& mended = of(drawn_wrong, "reversed@IC1");
    CHECK(mended.says == "IC1 latches up as drawn, the feedback being in phase, and passes no signal");
    CHECK(mended.grade == Grade::major);
    CHECK(drawn_wrong.all.together.grade == Grade::major);
    const Consequence spoilt = of(worked(amplifier(right), amplifier(wrong)), "reversed@IC1");
    CHECK(spoilt.says.find("IC1 latches up as found") != std::string::npos);
    // With both as they should be nothing of the sort is said: a resistor of another value turns no sign.
    std::string louder = amplifier(right);
    louder.replace(louder.find("value=\"10k\" pins=\"OUT"), 11, "value=\"20k\"");
    CHECK(of(worked(amplifier(right), louder), "value@R3").beside.empty());
}

TEST_CASE("a diode without current either way is not said to do nothing") {
    const auto clamp = [](const char* pins) {
        return supply + R"(<part ref="R1" kind="resistor" value="10k" pins="IN OUT"/><part ref="R2" kind="resistor" value="1k" pins="V 0V"/>
            <part ref="R3" kind="resistor" value="1M" pins="OUT 0V"/><part ref="D1" kind="diode" model="1N4148" pins=")" + std::string(pins) + R"("/>)";
    };
    const Consequence it = of(worked(clamp("a=OUT k=0V"), clamp("a=0V k=OUT")), "reversed@D1");
    CHECK(it.grade == Grade::unknown);
    CHECK(it.says.find("D1 carries no current at rest") != std::string::npos);
}

TEST_CASE("a fuse bridged is grave, and a smaller reservoir is not said to do nothing") {
    const auto power = [](const char* fuse, const char* reservoir) {
        return supply + R"(<part ref="R2" kind="resistor" value="1k" pins="W 0V"/><part ref="R3" kind="resistor" value="10k" pins="IN OUT"/>
            <part ref="R4" kind="resistor" value="100k" pins="OUT 0V"/>)" + fuse +
               R"(<part ref="C1" kind="electrolytic" value=")" + reservoir + R"(" pins="plus=V minus=0V"/>)";
    };
    const char* const fuse = R"(<part ref="F1" kind="fuse" value="1A" pins="V W"/>)";
    const Worked bridged = worked(power(fuse, "1000u"), power(R"(<part ref="LK1" kind="link" pins="V W"/>)", "1000u"));
    CHECK(of(bridged, "bypassed@F1").grade == Grade::major);
    CHECK(of(bridged, "bypassed@F1").says.find("a fuse protects") != std::string::npos);
    // 20·log10(1000/220) = 13.2 dB
    const Consequence smaller = of(worked(power(fuse, "1000u"), power(fuse, "220u")), "value@C1");
    CHECK(smaller.grade == Grade::unknown);
    CHECK(smaller.says.find("ripple on that supply 13.2 dB more, as 1/C") != std::string::npos);
    CHECK(of(worked(power(fuse, "220u"), power(fuse, "1000u")), "value@C1").grade == Grade::nothing);
}
