#include <catch2/catch.hpp>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>
#include <utility>
#include <vector>

#include "evidence/evidence.h"
#include "evidence/suggestion.h"
#include "compare/compared.h"
#include "support/text_circuit.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// The stage of the comparisons' tests with a round value, a fuse and parts on the mains: drawn and found alike but for what a
// situation changes.
const std::string workbench = R"(<net name="0V" role="ground"/><net name="PE" role="earth"/><net name="L" role="mains"/>)" + test::stage + R"(
  <part ref="R5" kind="resistor" value="50k" pins="OUT 0V"/>
  <part ref="F1" kind="fuse" value="1A" pins="L N1"/>
  <part ref="T1" kind="resistor" value="330" pins="N1 N2"/>
  <part ref="T2" kind="resistor" value="150" pins="N1 PE"/>
  <part ref="T3" kind="resistor" value="39k" pins="L N2"/>
  <part ref="C9" kind="capacitor" value="4n7" pins="L PE"/>
)";

using Edits = std::vector<std::pair<const char*, const char*>>;

std::string edited(std::string text, const Edits& edits) {
    for (const auto& [from, to] : edits) {
        const std::size_t at = text.find(from);
        INFO(from);
        REQUIRE(at != std::string::npos);
        text.replace(at, std::string(from).size(), to);
    }
    return text;
}

struct Situation {
    const char* title;
    Edits found;                     // what is otherwise on the board
    const char* finding;
    DecisionIs suggestion;
    const char* rule;
    char grade;
    Edits drawn = {};
    const char* dates = "";          // <about> of the board
};

const char* const r2 = R"(value="22k" pins="B 0V"/>)";
const char* const r3 = R"(value="4k7" pins="V C"/>)";
const char* const c3 = R"(value="1u" pins="C OUT"/>)";
const char* const q1 = R"(model="BC109" pins="emitter=E base=B collector=C"/>)";
const char* const r5 = R"(value="50k" pins="OUT 0V"/>)";
const char* const c2 = R"(pins="plus=E minus=0V"/>)";
const char* const c9 = R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/>)";
const char* const made_1972 = "<about><made>1972</made></about>";

using enum DecisionIs;

const std::vector<Situation> situations{
    // Drift: the specimen.
    {"measured high with a leg lifted", {{r2, R"(value="22k" pins="B 0V"><found measured="29k" where="lifted"/></part>)"}}, "drift@R2", specimen, "drifted", 'A'},
    {"measured high in circuit", {{r2, R"(value="22k" pins="B 0V"><found measured="29k"/></part>)"}}, "drift@R2", specimen, "drifted", 'B'},
    {"lost capacitance, dried out", {{c2, R"(pins="plus=E minus=0V"><found measured="12u" where="out" condition="dried out"/></part>)"}}, "drift@C2", specimen, "drifted-and-faulty", 'A'},
    {"leaky and off", {{c3, R"(value="1u" pins="C OUT"><found measured="1.6u" where="lifted" condition="leaky"/></part>)"}}, "drift@C3", specimen, "drifted-and-faulty", 'A'},
    // Values.
    {"typed 2k2, banded and measured 22k", {{r2, R"(value="2k2" pins="B 0V"><found marking="red red orange gold" measured="21.8k" where="lifted"/></part>)"}}, "value@R2", tracing, "written-not-as-marked-and-measured", 'A'},
    {"typed 27k, banded 22k", {{r2, R"(value="27k" pins="B 0V"><found marking="red red orange gold"/></part>)"}}, "value@R2", tracing, "written-not-as-marked", 'C'},
    {"bands read as 2k2, measured 22k", {{r2, R"(pins="B 0V"><found marking="red red red gold" measured="21.7k" where="lifted" status="original"/></part>)"}}, "value@R2", tracing, "marking-misread", 'A'},
    {"typed 15k, measures 22k", {{r2, R"(value="15k" pins="B 0V"><found measured="22.3k" where="lifted"/></part>)"}}, "value@R2", tracing, "measured-as-drawn", 'A'},
    {"a factor of ten, nothing else known", {{r2, R"(value="220k" pins="B 0V"/>)"}}, "value@R2", tracing, "slip", 'E'},
    {"a factor of ten, marked only", {{r2, R"(pins="B 0V"><found marking="red red yellow gold" status="original"/></part>)"}}, "value@R2", tracing, "slip", 'C'},
    {"a factor of ten, original, marked and measured", {{r2, R"(pins="B 0V"><found marking="red red yellow gold" measured="226k" where="lifted" status="original"/></part>)"}}, "value@R2", drawing, "drawing-slipped", 'A'},
    {"K for M", {{r2, R"(value="22M" pins="B 0V"/>)"}}, "value@R2", tracing, "slip", 'E'},
    {"figures exchanged", {{r3, R"(value="7k4" pins="V C"/>)"}}, "value@R3", tracing, "slip", 'E'},
    {"another value, original, marked and measured", {{r2, R"(value="27k" pins="B 0V"><found marking="red violet orange silver" measured="27.4k" where="lifted" status="original"/></part>)"}}, "value@R2", drawing, "marked-and-measured", 'A'},
    {"another value on a later unit", {{r2, R"(value="27k" pins="B 0V"><found marking="red violet orange silver" measured="27.4k" where="lifted" status="original"/></part>)"}}, "value@R2", drawing, "marked-and-measured-later-unit", 'A',
     {{"<net name=\"0V\"", "<about><made>1968</made></about><net name=\"0V\""}}, made_1972},
    {"another value, original and marked", {{r2, R"(value="27k" pins="B 0V"><found marking="27K" status="original"/></part>)"}}, "value@R2", drawing, "marked-original", 'C'},
    {"another value, original and measured", {{r2, R"(value="27k" pins="B 0V"><found measured="27.2k" where="lifted" status="original"/></part>)"}}, "value@R2", drawing, "measured-original", 'A'},
    {"another value, said to be original", {{r2, R"(value="27k" pins="B 0V"><found status="original"/></part>)"}}, "value@R2", drawing, "original-value", 'E'},
    {"another value, marked, age unknown", {{r2, R"(value="27k" pins="B 0V"><found marking="27K" status="unknown"/></part>)"}}, "value@R2", open, "marked-unknown-age", 'C'},
    {"another value, nothing known", {{r2, R"(value="27k" pins="B 0V"/>)"}}, "value@R2", open, "nothing-speaks", 'E'},
    {"another value, replaced", {{r2, R"(value="27k" pins="B 0V"><found status="replaced" marking="27K"/></part>)"}}, "value@R2", repair, "replaced", 'C'},
    {"another value, replaced, dated later", {{r2, R"(value="27k" pins="B 0V"><found status="replaced" date-code="7932"/></part>)"}}, "value@R2", repair, "replaced-and-newer", 'C', {}, made_1972},
    {"another value, dated later", {{r2, R"(value="27k" pins="B 0V"><found date-code="7932"/></part>)"}}, "value@R2", repair, "newer", 'C', {}, made_1972},
    {"another value, dated with the unit", {{r2, R"(value="27k" pins="B 0V"><found date-code="7248" status="original" marking="27K"/></part>)"}}, "value@R2", drawing, "marked-original", 'C', {}, made_1972},
    {"nearest of the series, original", {{r5, R"(value="47k" pins="OUT 0V"><found marking="yellow violet orange silver" status="original"/></part>)"}}, "value@R5", production, "nearest-of-the-series", 'C'},
    {"nearest of the series, nothing known", {{r5, R"(value="47k" pins="OUT 0V"/>)"}}, "value@R5", open, "nearest-of-the-series-unknown", 'E'},
    {"two parts changed alike", {{r2, R"(value="27k" pins="B 0V"><found marking="27K" status="original"/></part>)"}, {r3, R"(value="27k" pins="V C"><found marking="27K" status="original"/></part>)"}}, "value@R2", production, "changed-alike", 'C',
     {{r3, R"(value="22k" pins="V C"/>)"}}},
    {"same on the other channels", {{r2, R"(value="27k" pins="B 0V"><found marking="27K" status="original" note="the same on channels 1 to 4"/></part>)"}}, "value@R2", production, "made-so-in-series", 'C'},
    {"notes tell of a later hand", {{r2, R"(value="27k" pins="B 0V"><found note="later hand, sleeving does not match"/></part>)"}}, "value@R2", modification, "later-hand", 'E'},
    {"another transistor, replaced", {{q1, R"(model="2N3904" pins="emitter=E base=B collector=C"><found status="replaced" note="legs crossed over"/></part>)"}}, "value@Q1", repair, "replaced", 'E'},
    {"another transistor, original and marked", {{q1, R"(model="2N3904" pins="emitter=E base=B collector=C"><found status="original" marking="2N3904"/></part>)"}}, "value@Q1", drawing, "marked-original", 'C'},
    // Kinds, orientation.
    {"a film block for an electrolytic, on all channels", {{R"(kind="electrolytic" value="10u" pins="plus=B minus=IN"/>)", R"(kind="capacitor" value="10u" pins="B IN"><found status="original" note="the same on channels 1 to 4"/></part>)"}}, "kind@C1", production, "made-so-in-series", 'E'},
    {"another kind, original", {{R"(kind="electrolytic" value="10u" pins="plus=B minus=IN"/>)", R"(kind="capacitor" value="10u" pins="B IN"><found status="original" marking="10u"/></part>)"}}, "kind@C1", drawing, "other-kind-original", 'C'},
    {"an electrolytic the other way about, original", {{c2, R"(pins="plus=0V minus=E"><found status="original" marking="47/10"/></part>)"}}, "reversed@C2", drawing, "turned-original", 'C'},
    {"an electrolytic the other way about, replaced", {{c2, R"(pins="plus=0V minus=E"><found status="replaced"/></part>)"}}, "reversed@C2", repair, "replaced", 'E'},
    {"a transistor's pins mirrored", {{q1, R"(model="BC109" pins="emitter=C base=B collector=E"><found status="original"/></part>)"}}, "reversed@Q1", tracing, "slip", 'E'},
    // Parts more and fewer.
    {"a part less, its place never filled", {{R"(<part ref="C3" kind="capacitor" value="1u" pins="C OUT"/>)", R"(<part ref="C3" kind="capacitor" fit="no" pins="C OUT"><found note="never fitted"/></part>)"}}, "missing@C3", production, "never-filled", 'C'},
    {"the capacitor from the mains to earth is gone", {{c9, ""}}, "missing@C9", modification, "mains-capacitor-gone", 'E'},
    {"a part less, nothing known", {{R"(<part ref="R1" kind="resistor" value="100k" pins="V B"/>)", ""}}, "missing@R1", open, "nothing-speaks", 'E'},
    {"a part more, added", {{c9, R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/><part ref="C8" kind="capacitor" value="47p" pins="C B"><found status="added" marking="47"/></part>)"}}, "extra@C8", modification, "added", 'C'},
    {"a part more, original factory work", {{c9, R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/><part ref="C8" kind="capacitor" value="47p" pins="C B"><found status="original" note="factory solder"/></part>)"}}, "extra@C8", drawing, "more-factory", 'E'},
    {"a part more, original", {{c9, R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/><part ref="C8" kind="capacitor" value="47p" pins="C B"><found status="original"/></part>)"}}, "extra@C8", drawing, "more-original", 'E'},
    {"a part more on a later unit", {{c9, R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/><part ref="C8" kind="capacitor" value="47p" pins="C B"><found status="original"/></part>)"}}, "extra@C8", production, "more-original-later-unit", 'E',
     {{"<net name=\"0V\"", "<about><made>1968</made></about><net name=\"0V\""}}, made_1972},
    {"a part in series, the track cut under it", {{c3, R"(value="1u" pins="C C3B"/><part ref="R8" kind="resistor" value="470" pins="C3B OUT"><found status="original" note="the track is cut under it"/></part>)"}}, "inserted@R8", production, "made-so-in-series", 'E'},
    // Wires.
    {"a pin elsewhere, continuity tested", {{c3, R"(value="1u" pins="E OUT"/>)"}, {c9, R"(<part ref="C9" kind="capacitor" value="4n7" pins="L PE"/><continuity><test from="C3.a" to="R4.a" beeps="yes"/></continuity>)"}}, "moved@C3.a", drawing, "connection-tested", 'B'},
    {"a pin elsewhere, original", {{c3, R"(value="1u" pins="E OUT"><found status="original"/></part>)"}}, "moved@C3.a", drawing, "moved-original", 'E'},
    {"a pin elsewhere, replaced", {{c3, R"(value="1u" pins="E OUT"><found status="replaced"/></part>)"}}, "moved@C3.a", repair, "replaced", 'E'},
    {"a pin that goes nowhere, at a corroded rivet", {{c3, R"(value="1u" pins="- OUT"><found note="white bloom on the rivet"/></part>)"}}, "moved@C3.a", specimen, "bad-joint", 'E'},
    {"a wire across the fuse", {{R"(<part ref="F1" kind="fuse" value="1A" pins="L N1"/>)", R"(<part ref="LK1" kind="link" pins="L N1"><found status="added"/></part>)"}}, "bypassed@F1", repair, "wire-for-a-fuse", 'E'},
    {"a pin not traced", {{c3, R"(value="1u" pins="? OUT"/>)"}}, "unverified@C3.a", open, "untraced", 'E'},
};

Assessment assessment_of(const EvidenceReport& report, const std::string& finding) {
    for (const Assessment& assessment : report.findings)
        if (assessment.finding == finding) return assessment;
    std::string known;
    for (const Assessment& assessment : report.findings) known += assessment.finding + " ";
    FAIL("no " << finding << " among " << known);
    return {};
}

EvidenceReport report_of(const Situation& situation) {
    const Circuit drawn = test::drawing(edited(workbench, situation.drawn));
    const Circuit found = board(situation.dates + edited(workbench, situation.found));
    return assess(drawn, found, compare(drawn, found));
}

}  // namespace

TEST_CASE("every situation leads to the decision that an experienced technician would take") {
    CHECK(situations.size() >= 40);
    for (const Situation& situation : situations) {
        INFO(situation.title);
        const Assessment assessment = assessment_of(report_of(situation), situation.finding);
        std::string lines;
        for (const std::string& line : assessment.evidence) lines += line + "; ";
        INFO(lines);
        CHECK(std::string(decision_word(assessment.suggestion)) == std::string(decision_word(situation.suggestion)));
        CHECK(assessment.rule == situation.rule);
        CHECK(grade_letter(assessment.grade) == situation.grade);
        CHECK_FALSE(assessment.reasons.empty());
        CHECK_FALSE(assessment.title.empty());
    }
}

TEST_CASE("one specimen is never called a correction as such") {
    for (const Situation& situation : situations) {
        for (const Assessment& assessment : report_of(situation).findings) {
            INFO(situation.title << ": " << assessment.title);
            CHECK(assessment.title.find("correction") == std::string::npos);
            if (assessment.title.find("corrected") != std::string::npos) {
                CHECK(assessment.grade != EvidenceGrade::E);
                CHECK(assessment.certainty != Certainty::weak);
            }
            if (assessment.suggestion == production) CHECK(assessment.title.find("alone") != std::string::npos);
        }
    }
}

TEST_CASE("every rule is told in the documentation with an example") {
    std::ifstream file(TALLYBOARD_SOURCE_DIR "/docs/evidence.md");
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    std::set<std::string_view> names;
    for (const EvidenceRule& rule : evidence_rules()) {
        INFO(rule.name);
        CHECK(text.find("| `" + std::string(rule.name) + "` |") != std::string::npos);
        CHECK(names.insert(rule.name).second);
    }
}

TEST_CASE("both readings of a tenfold value are offered") {
    const Situation* tenfold = nullptr;
    for (const Situation& situation : situations)
        if (std::string(situation.title) == "a factor of ten, nothing else known") tenfold = &situation;
    REQUIRE(tenfold);
    const Assessment assessment = assessment_of(report_of(*tenfold), "value@R2");
    REQUIRE(assessment.slip);
    CHECK(assessment.slip->says == "probably the tracing: look again at R2; 22k drawn and 220k found differ by exactly a factor of ten");
}

TEST_CASE("findings of one cause are told in one line") {
    const Circuit drawn = test::drawing(edited(workbench, {{r3, R"(value="22k" pins="V C"/>)"}}));
    const Circuit found = board(edited(workbench, {{r2, R"(value="27k" pins="B 0V"/>)"}, {r3, R"(value="27k" pins="V C"/>)"}}));
    const EvidenceReport report = assess(drawn, found, compare(drawn, found));
    REQUIRE(report.groups.size() == 1);
    CHECK(report.groups[0].says == "2 resistors drawn as 22k and found as 27k: R2 and R3");
    CHECK(report.summary == "17 parts drawn and 17 found compared: 15 agree, 2 differences; proved: nothing cheaper explains the board.");
}
