// compared: circuits from a few lines of XML, compared and checked.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "support/text_circuit.h"

namespace tallyboard::test {

// Compares and has the checker look the comparison over.
inline Comparison compared(const Circuit& drawn, const Circuit& found, const std::vector<HandPair>& pairs = {}) {
    CompareOptions options;
    options.pairs = pairs;
    const Comparison comparison = compare(drawn, found, options);
    CHECK(check_comparison(drawn, found, comparison) == std::vector<std::string>{});
    return comparison;
}
inline Comparison compared(const std::string& drawn, const std::string& found, const std::string& attributes = "") {
    return compared(drawing(drawn), board(found, attributes));
}

// The ids of the findings, in order.
inline std::vector<std::string> ids(const Comparison& comparison) {
    std::vector<std::string> result;
    for (const Finding& finding : comparison.findings) result.push_back(finding.id);
    return result;
}
// "value@R3 moved@C1.a", and the cost: "value@R3 = 1".
inline std::string told(const Comparison& comparison) {
    std::string text;
    for (const std::string& id : ids(comparison)) text += id + " ";
    return text + "= " + std::to_string(comparison.cost) + (comparison.proved ? "" : " unproved");
}
inline std::string told(const std::string& drawn, const std::string& found, const std::string& attributes = "") {
    return told(compared(drawn, found, attributes));
}

// `text` with one passage put in the place of another, which must occur exactly once.
inline std::string with(std::string text, const std::string& passage, const std::string& other) {
    const std::size_t at = text.find(passage);
    INFO("passage " << passage);
    REQUIRE(at != std::string::npos);
    REQUIRE(text.find(passage, at + 1) == std::string::npos);
    return text.replace(at, passage.size(), other);
}

// A transistor stage in which no two parts are alike.
inline const std::string stage = R"(
  <part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/>
  <part ref="C1" kind="electrolytic" value="10u" pins="plus=B minus=IN"/>
  <part ref="R1" kind="resistor" value="100k" pins="V B"/>
  <part ref="R2" kind="resistor" value="22k" pins="B 0V"/>
  <part ref="Q1" kind="npn" model="BC109" pins="emitter=E base=B collector=C"/>
  <part ref="R3" kind="resistor" value="4k7" pins="V C"/>
  <part ref="R4" kind="resistor" value="1k" pins="E 0V"/>
  <part ref="C2" kind="electrolytic" value="47u" pins="plus=E minus=0V"/>
  <part ref="C3" kind="capacitor" value="1u" pins="C OUT"/>
  <part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>
  <part ref="C4" kind="electrolytic" value="220u" pins="plus=V minus=0V"/>
)";

}  // namespace tallyboard::test
