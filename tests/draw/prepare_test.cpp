#include <catch2/catch.hpp>

#include "draw/prepare.h"
#include "pictures.h"
#include "support/text_circuit.h"

namespace tallyboard {
namespace {

using detail::Model;
using detail::TieForm;

Model model_of(const Circuit& circuit) { return detail::prepare(circuit, ""); }
int level_of(const Model& model, const std::string& net) {
    for (const auto& one : model.nets)
        if (one.name == net) return one.level;
    throw std::logic_error("no net " + net);
}
const detail::ModelNet& net_of(const Model& model, const std::string& name) {
    for (const auto& one : model.nets)
        if (one.name == name) return one;
    throw std::logic_error("no net " + name);
}

constexpr const char* stage = R"(<net name="0V" role="ground"/><net name="+9V" role="supply"/>
    <part ref="C1" kind="capacitor" value="100n" pins="IN B"/><part ref="R1" kind="resistor" value="470k" pins="+9V B"/>
    <part ref="Q1" kind="npn" model="BC109" pins="c=C b=B e=E"/><part ref="R2" kind="resistor" value="4k7" pins="+9V C"/>
    <part ref="R3" kind="resistor" value="1k" pins="E 0V"/><part ref="C2" kind="electrolytic" value="10u" pins="plus=C minus=OUT"/>)";

}  // namespace

TEST_CASE("the stage of a second input stands before the point where the inputs meet") {
    const Circuit circuit = test::drawing(R"(<net name="0V" role="ground"/><net name="HT" role="supply"/>
        <setup><source net="IN1" return="0V"/><load net="OUT" return="0V"/></setup>
        <part ref="J1" kind="jack" pins="tip=IN1 sleeve=0V"/><part ref="J2" kind="jack" pins="tip=IN2 sleeve=0V"/>
        <part ref="R1" kind="resistor" value="10k" pins="IN1 G1"/><part ref="V1" kind="triode" pins="a=A1 g=G1 k=0V"/>
        <part ref="R2" kind="resistor" value="100k" pins="HT A1"/><part ref="C1" kind="capacitor" value="10n" pins="A1 M1"/>
        <part ref="R3" kind="resistor" value="10k" pins="IN2 G2"/><part ref="V2" kind="triode" pins="a=A2 g=G2 k=0V"/>
        <part ref="R4" kind="resistor" value="100k" pins="HT A2"/><part ref="C2" kind="capacitor" value="10n" pins="A2 M2"/>
        <part ref="R5" kind="resistor" value="220k" pins="M1 MIX"/><part ref="R6" kind="resistor" value="220k" pins="M2 MIX"/>
        <part ref="V3" kind="triode" pins="a=OUT g=MIX k=0V"/><part ref="R7" kind="resistor" value="100k" pins="HT OUT"/>)");
    const Model model = model_of(circuit);
    CHECK(level_of(model, "IN2") < level_of(model, "A2"));
    CHECK(level_of(model, "A2") < level_of(model, "M2"));
    CHECK(level_of(model, "M2") < level_of(model, "MIX"));
}

TEST_CASE("an oscillator stands before what it drives") {
    const Circuit circuit = test::drawing(std::string(stage) + R"(<setup><source net="IN" return="0V"/><load net="OUT" return="0V"/></setup>
        <part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/><part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>
        <part ref="Q2" kind="njfet" pins="d=OUT g=CONTROL s=0V"/><part ref="R4" kind="resistor" value="1M" pins="LFO CONTROL"/>
        <part ref="Q3" kind="npn" pins="c=LFO b=OB e=0V"/><part ref="R5" kind="resistor" value="10k" pins="+9V LFO"/>
        <part ref="C4" kind="capacitor" value="1u" pins="LFO P1"/><part ref="C5" kind="capacitor" value="1u" pins="P1 OB"/>
        <part ref="R6" kind="resistor" value="10k" pins="P1 0V"/><part ref="R7" kind="resistor" value="1M" pins="+9V OB"/>)");
    const Model model = model_of(circuit);
    CHECK(level_of(model, "LFO") < level_of(model, "CONTROL"));
    CHECK(level_of(model, "CONTROL") < level_of(model, "OUT"));
    CHECK(level_of(model, "IN") < level_of(model, "B"));
}

TEST_CASE("a cascode and a current source do not turn the signal round") {
    const Circuit circuit = test::drawing(R"(<net name="0V" role="ground"/><net name="+9V" role="supply"/>
        <setup><source net="IN" return="0V"/><load net="OUT" return="0V"/></setup>
        <part ref="Q1" kind="npn" pins="c=X b=IN e=T"/><part ref="Q2" kind="npn" pins="c=OUT b=BIAS e=X"/>
        <part ref="R1" kind="resistor" value="10k" pins="+9V OUT"/><part ref="R2" kind="resistor" value="10k" pins="+9V BIAS"/>
        <part ref="R3" kind="resistor" value="10k" pins="BIAS 0V"/><part ref="Q3" kind="npn" pins="c=T b=REF e=T2"/>
        <part ref="R4" kind="resistor" value="1k" pins="T2 0V"/><part ref="R5" kind="resistor" value="10k" pins="+9V REF"/>
        <part ref="D1" kind="diode" pins="anode=REF cathode=0V"/>)");
    const Model model = model_of(circuit);
    CHECK(level_of(model, "IN") < level_of(model, "X"));
    CHECK(level_of(model, "X") < level_of(model, "OUT"));
}

TEST_CASE("where the signal goes out without a connector, a tie names the net") {
    const std::string setup = R"(<setup><source net="IN" return="0V"/><load net="OUT" return="0V"/></setup>)";
    const Circuit circuit = test::drawing(stage + setup);
    const auto ties_of = [](const Picture& picture, const std::string& net) {
        int count = 0;
        for (const Sheet& sheet : picture.sheets)
            for (const TieFigure& tie : sheet.ties) count += tie.net == net;
        return count;
    };
    const Picture picture = test::draft_picture(circuit);
    CHECK(test::faults_of(circuit, picture) == "");
    CHECK(ties_of(picture, "IN") == 1);
    CHECK(ties_of(picture, "OUT") == 1);
    const Circuit with_jack = test::drawing(stage + setup + R"(<part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>)");
    CHECK(ties_of(test::draft_picture(with_jack), "OUT") == 0);
    const Circuit behind_switch = test::drawing(stage + setup + R"(<part ref="S1" kind="switch" pins="OUT END"/>
        <part ref="J2" kind="jack" pins="tip=END sleeve=0V"/>)");
    CHECK(ties_of(test::draft_picture(behind_switch), "OUT") == 0);
}

TEST_CASE("a second ground has its name at its bars, the protective earth its circle") {
    const Circuit circuit = test::drawing(std::string(stage) + R"(<net name="CHASSIS" role="ground"/><net name="PE" role="earth"/>
        <part ref="R8" kind="resistor" value="10" pins="0V CHASSIS"/><part ref="C8" kind="capacitor" value="10n" pins="0V PE"/>)");
    const Model model = model_of(circuit);
    CHECK_FALSE(net_of(model, "0V").named);
    CHECK(net_of(model, "CHASSIS").named);
    CHECK(net_of(model, "PE").form == TieForm::earth);
    CHECK_FALSE(net_of(model, "PE").named);
    const Picture picture = test::draft_picture(circuit);
    CHECK(test::faults_of(circuit, picture) == "");
    for (const TieFigure& tie : picture.sheets[0].ties) {
        const bool text = std::any_of(tie.items.begin(), tie.items.end(), [](const Item& item) { return std::holds_alternative<Text>(item); });
        const bool circle = std::any_of(tie.items.begin(), tie.items.end(), [](const Item& item) { return std::holds_alternative<Circle>(item); });
        if (tie.net == "0V") CHECK_FALSE((text || circle));
        if (tie.net == "CHASSIS") CHECK(text);
        if (tie.net == "PE") CHECK(circle);
    }
}

}  // namespace tallyboard
