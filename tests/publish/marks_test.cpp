#include <catch2/catch.hpp>

#include "publish/marks.h"
#include "support/text_circuit.h"

namespace tallyboard {
namespace {

using Pins = std::vector<std::pair<std::string, std::string>>;

Annotations annotations(const std::string& drawn, const std::string& found) {
    const Circuit drawing = test::drawing(drawn), board = test::board(found);
    return marks_of(drawing, board, compare(drawing, board)).annotations;
}

constexpr const char* around = R"(<part ref="R1" kind="resistor" value="1k" pins="IN A"/><part ref="R2" kind="resistor" value="2k" pins="IN B"/>
    <part ref="R3" kind="resistor" value="3k" pins="IN A"/><part ref="R4" kind="resistor" value="4k" pins="B OUT"/>
    <part ref="R5" kind="resistor" value="5k" pins="B OUT"/><part ref="R6" kind="resistor" value="6k" pins="OUT A"/>)";

}  // namespace

TEST_CASE("a reversed part stands on the sheet with its pins as found") {
    const Annotations all = annotations(std::string(around) + R"(<part ref="C1" kind="electrolytic" value="10u" pins="plus=A minus=B"/>)",
                                        std::string(around) + R"(<part ref="C1" kind="electrolytic" value="10u" pins="plus=B minus=A"/>)");
    REQUIRE(all.as_found.size() == 1);
    CHECK(all.as_found[0].ref == "C1");
    CHECK(all.as_found[0].kind.empty());
    CHECK(all.as_found[0].pins == Pins{{"plus", "minus"}, {"minus", "plus"}});
}

TEST_CASE("a part of another kind stands on the sheet as the kind found") {
    const Annotations all = annotations(std::string(around) + R"(<part ref="C1" kind="capacitor" value="10u" pins="A B"/>)",
                                        std::string(around) + R"(<part ref="C1" kind="resistor" value="10k" pins="A B"/>)");
    REQUIRE(all.as_found.size() == 1);
    CHECK(all.as_found[0].kind == "resistor");
    CHECK(all.as_found[0].pins.size() == 2);
}

TEST_CASE("a kind that the drawing does not know is told in words alone") {
    const Annotations all =
        annotations(std::string(around) + R"(<part ref="C1" kind="capacitor" value="10u" pins="A B"/>)",
                    std::string(around) + R"(<kind name="sensor" says="a sensor"><pin name="a"/><pin name="b"/></kind>
                                             <part ref="C1" kind="sensor" pins="a=A b=B"/>)");
    CHECK(all.as_found.empty());
    CHECK(std::any_of(all.marks.begin(), all.marks.end(), [](const Mark& mark) { return mark.kind == MarkKind::kind; }));
}

TEST_CASE("of a package the section whose own pins are exchanged stands as found") {
    const std::string drawn = R"(<part ref="IC1A" kind="opamp" package="IC1" model="TL072" pins="in-=A in+=B out=OUT v+=P v-=M"/>
        <part ref="IC1B" kind="opamp" package="IC1" model="TL072" pins="in-=OUT in+=IN out=X"/><part ref="R9" kind="resistor" value="9k" pins="X A"/>)";
    const std::string found = R"(<part ref="IC1A" kind="opamp" package="IC1" model="TL072" pins="in-=B in+=A out=OUT v+=P v-=M"/>
        <part ref="IC1B" kind="opamp" package="IC1" model="TL072" pins="in-=OUT in+=IN out=X"/><part ref="R9" kind="resistor" value="9k" pins="X A"/>)";
    const Annotations all = annotations(around + drawn, around + found);
    REQUIRE(all.as_found.size() == 1);
    CHECK(all.as_found[0].ref == "IC1A");
    CHECK(std::find(all.as_found[0].pins.begin(), all.as_found[0].pins.end(), std::pair<std::string, std::string>("in+", "in-")) !=
          all.as_found[0].pins.end());
}

}  // namespace tallyboard
