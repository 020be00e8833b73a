#include <catch2/catch.hpp>

#include <algorithm>

#include "base/text.h"
#include "review/corrected.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// A file as someone keeps it: comments, uneven spacing, single quotes, a foreign element, Windows line ends in one place.
const std::string kept = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- sheet 412, third generation -->
<circulated xmlns="urn:tallyboard:circuit:1" xmlns:own="urn:workshop">
  <about><title>Stage</title></about>
  <net name="0V" role="ground"/>
  <own:note>keep &amp; care</own:note>
  <part  ref="R1"   kind="resistor" value="100k"
         pins="V B" tol="10%" />   <!-- first -->
  <part ref='R2' kind='resistor' value='22k' pins='B 0V'/>
  <part ref="Q1" kind="npn" value="BC109" pins="b=B e=E c=C"/>
	<part ref="R3" kind="resistor" value="4k7 1W" pins="V C"/>
  <part ref="R4" kind="resistor" value="1k" pins="E 0V"/>
  <part ref="C3" kind="capacitor" value=".1" pins="C OUT"/>
  <part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>
  <part ref="J1" kind="jack" pins="tip=V sleeve=0V"/>
</circulated>
)";

Circuit kept_drawing() { return read_circuit(SourceText("kept.xml", kept), built_in_kinds(), CircuitRole::drawing); }

std::string found_parts() {
    return R"(<part ref="R1" kind="resistor" value="100k" pins="V B"/><part ref="R2" kind="resistor" value="22k" pins="B 0V"/>
<part ref="Q1" kind="npn" model="BC109" pins="b=B e=E c=C"/><part ref="R3" kind="resistor" value="4k7" pins="V C"/>
<part ref="R4" kind="resistor" value="1k" pins="E 0V"/><part ref="C3" kind="capacitor" value="100n" pins="C OUT"/>
<part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/><part ref="J1" kind="jack" pins="tip=V sleeve=0V"/>)";
}

std::string with(std::string text, const std::string& passage, const std::string& other) {
    const std::size_t at = text.find(passage);
    REQUIRE(at != std::string::npos);
    return text.replace(at, passage.size(), other);
}

struct Lines { std::vector<std::string> gone, come; };
// Lines of one text that the other lacks.
Lines difference(const std::string& before, const std::string& after) {
    std::vector<std::string> a = split(before, '\n'), b = split(after, '\n');
    Lines lines;
    for (const std::string& line : a)
        if (std::count(b.begin(), b.end(), line) < std::count(a.begin(), a.end(), line)) lines.gone.push_back(line);
    for (const std::string& line : b)
        if (std::count(a.begin(), a.end(), line) < std::count(b.begin(), b.end(), line)) lines.come.push_back(line);
    return lines;
}

std::string correct(const std::string& found, const std::set<std::string>* accepted = nullptr, const std::optional<RevisionNote>& revision = {}) {
    const Circuit one = kept_drawing(), other = board(found);
    const std::string text = corrected_drawing(one, other, compare(one, other), accepted, revision);
    read_corrected(text);
    return text;
}

}  // namespace

TEST_CASE("a drawing that agrees stays byte for byte") {
    CHECK(correct(found_parts()) == kept);
    const std::set<std::string> nothing;
    CHECK(correct(with(found_parts(), "100k", "120k"), &nothing) == kept);
}

TEST_CASE("a value corrected changes one line and adds its revision") {
    const RevisionNote note{"", "2026-03-04", "E. Vance", "R1 was 100k; marked & measured <120k>"};
    const Lines lines = difference(kept, correct(with(found_parts(), "100k", "120k"), nullptr, note));
    CHECK(lines.gone == std::vector<std::string>{R"(  <part  ref="R1"   kind="resistor" value="100k")"});
    CHECK(lines.come == std::vector<std::string>{
                            R"(  <part  ref="R1"   kind="resistor" value="120k")",
                            R"(  <revision letter="A" date="2026-03-04" by="E. Vance">R1 was 100k; marked &amp; measured &lt;120k&gt;</revision>)"});
}

TEST_CASE("revisions accumulate over the letters that may be used") {
    const Circuit found = board(found_parts());
    std::string text = kept;
    std::string letters;
    for (int i = 0; i < 22; ++i) {
        const Circuit drawn = read_circuit(SourceText("kept.xml", text), built_in_kinds(), CircuitRole::drawing);
        text = corrected_drawing(drawn, found, compare(drawn, found), nullptr, RevisionNote{"", "2026", "", "looked over"});
        letters += read_corrected(text).revisions.back().letter + " ";
    }
    CHECK(letters == "A B C D E F G H J K L M N P R T U V W Y AA AB ");
    CHECK(read_corrected(text).revisions.size() == 22);
}

TEST_CASE("a type number is corrected where it stands, in value or model") {
    const Lines lines = difference(kept, correct(with(found_parts(), "BC109", "BC184")));
    CHECK(lines.come == std::vector<std::string>{R"(  <part ref="Q1" kind="npn" value="BC184" pins="b=B e=E c=C"/>)"});
}

TEST_CASE("a corrected value keeps the drawn rating, quotes and notation of its neighbours") {
    CHECK(difference(kept, correct(with(found_parts(), "4k7", "5600"))).come ==
          std::vector<std::string>{"\t<part ref=\"R3\" kind=\"resistor\" value=\"5600 1W\" pins=\"V C\"/>"});
    CHECK(difference(kept, correct(with(found_parts(), "22k", "27k"))).come ==
          std::vector<std::string>{"  <part ref='R2' kind='resistor' value='27k' pins='B 0V'/>"});
    // 47 without a unit is microfarads on no capacitor of this sheet.
    CHECK(difference(kept, correct(with(found_parts(), "100n", ".22"))).come ==
          std::vector<std::string>{R"(  <part ref="C3" kind="capacitor" value=".22" pins="C OUT"/>)"});
}

TEST_CASE("a value that the board writes by its own sheet's habit is written out") {
    const Circuit drawn = kept_drawing();
    const Circuit found = board(R"(<defaults capacitor="uF"/>)" + with(found_parts(), "100n", "4"));
    const std::string text = corrected_drawing(drawn, found, compare(drawn, found));
    CHECK(difference(kept, text).come == std::vector<std::string>{R"(  <part ref="C3" kind="capacitor" value="4u" pins="C OUT"/>)"});
}

TEST_CASE("a value known from its marking alone is written as the trade does") {
    const std::string found = with(found_parts(), R"(value="22k" pins="B 0V"/>)", R"(pins="B 0V"><found marking="orange orange orange gold"/></part>)");
    CHECK(difference(kept, correct(found)).come == std::vector<std::string>{"  <part ref='R2' kind='resistor' value='33k' pins='B 0V'/>"});
}

TEST_CASE("a moved pin changes its own item alone") {
    const std::string found = with(found_parts(), R"(value="100n" pins="C OUT")", R"(value="100n" pins="E OUT")");
    CHECK(difference(kept, correct(found)).come == std::vector<std::string>{R"(  <part ref="C3" kind="capacitor" value=".1" pins="E OUT"/>)"});
}

TEST_CASE("a part the board lacks is taken out with its line") {
    const std::string found = with(found_parts(), R"(<part ref="R4" kind="resistor" value="1k" pins="E 0V"/>)", "");
    const Lines lines = difference(kept, correct(found));
    CHECK(lines.come.empty());
    CHECK(lines.gone == std::vector<std::string>{R"(  <part ref="R4" kind="resistor" value="1k" pins="E 0V"/>)"});
}

TEST_CASE("an extra part is added behind its neighbour, with a reference that is free") {
    const std::string found = found_parts() + R"(<part ref="C1" kind="electrolytic" value="47u" pins="plus=E minus=0V"/>)";
    CHECK(difference(kept, correct(found)).come == std::vector<std::string>{R"(  <part ref="C1" kind="electrolytic" value="47u" pins="plus=E minus=0V"/>)"});
    // R3 is taken on the drawing; the next free number of its letters is R5.
    const std::string second = with(with(found_parts(), "ref=\"R3\"", "ref=\"R9\""), "<part ref=\"R4\"",
                                    R"(<part ref="R3" kind="resistor" value="10k" pins="C 0V"/><part ref="R4")");
    const Lines lines = difference(kept, correct(second));
    REQUIRE(lines.come.size() == 1);
    CHECK(lines.come[0].find("ref=\"R5\" kind=\"resistor\" value=\"10k\" pins=\"C 0V\"") != std::string::npos);
}

TEST_CASE("pins of an extra part that are not traced are left out") {
    const std::string found = found_parts() + R"(<part ref="Q7" kind="npn" model="BC109" pins="b=E c=C"/>)";
    CHECK(difference(kept, correct(found)).come == std::vector<std::string>{R"(  <part ref="Q7" kind="npn" model="BC109" pins="base=E collector=C"/>)"});
}

TEST_CASE("an added part takes the drawing's net names, not the board's") {
    std::string found = found_parts() + R"(<part ref="C1" kind="capacitor" value="47p" pins="C B"/>)";
    for (const auto& [name, other] : {std::pair{" B", " nb"}, {"b=B", "b=nb"}, {"\"B ", "\"nb "}, {"c=C", "c=nc"}, {"\"C ", "\"nc "}, {" C\"", " nc\""}})
        for (std::size_t at = 0; (at = found.find(name, at)) != std::string::npos; at += 4) found.replace(at, std::string(name).size(), other);
    CHECK(difference(kept, correct(found)).come == std::vector<std::string>{R"(  <part ref="C1" kind="capacitor" value="47p" pins="C B"/>)"});
}

TEST_CASE("a part in series takes a new net named as on the board") {
    const std::string found = with(found_parts(), R"(value="100n" pins="C OUT"/>)", R"(value="100n" pins="C X1"/><part ref="R7" kind="resistor" value="1k5" pins="X1 OUT"/>)");
    const std::string text = correct(found);
    const Circuit again = read_corrected(text);
    CHECK(again.net("X1"));
    CHECK(compare(again, board(found)).agree);
}

TEST_CASE("a name of the board that means another net on the drawing is made unique") {
    // The board calls the new net between C3 and R7 "B".
    std::string found = with(found_parts(), R"(value="100n" pins="C OUT"/>)", R"(value="100n" pins="C HELP"/><part ref="R7" kind="resistor" value="1k5" pins="HELP OUT"/>)");
    for (const auto& [name, other] : {std::pair{" B\"", " BASE\""}, {"b=B", "b=BASE"}, {"\"B ", "\"BASE "}, {"HELP", "B"}})
        for (std::size_t at = 0; (at = found.find(name, at)) != std::string::npos; at += 4) found.replace(at, std::string(name).size(), other);
    const Circuit again = read_corrected(correct(found));
    CHECK(again.net("B-2"));
    CHECK(compare(again, board(found)).agree);
}

TEST_CASE("joined nets take the name that has a role, and its element stays") {
    const std::string drawn = R"(<net name="SCR"/><net name="0V" role="ground"/>
<part ref="R1" kind="resistor" value="1k" pins="A SCR"/><part ref="R2" kind="resistor" value="2k" pins="B SCR"/><part ref="R3" kind="resistor" value="3k" pins="D SCR"/>
<part ref="R4" kind="resistor" value="4k" pins="A 0V"/><part ref="R5" kind="resistor" value="5k" pins="B 0V"/><part ref="R6" kind="resistor" value="6k" pins="D 0V"/>
<setup><supply plus="A" minus="SCR" voltage="9V"/></setup>)";
    std::string found = R"(<part ref="R1" kind="resistor" value="1k" pins="A G"/><part ref="R2" kind="resistor" value="2k" pins="B G"/><part ref="R3" kind="resistor" value="3k" pins="D G"/>
<part ref="R4" kind="resistor" value="4k" pins="A G"/><part ref="R5" kind="resistor" value="5k" pins="B G"/><part ref="R6" kind="resistor" value="6k" pins="D G"/>)";
    const std::string text = fully_corrected(drawn, found);
    CHECK(text.find("SCR") == std::string::npos);
    CHECK(text.find(R"(<net name="0V" role="ground"/>)") != std::string::npos);
    CHECK(text.find(R"(minus="0V")") != std::string::npos);
}

TEST_CASE("places that named a part taken out name its net instead") {
    const std::string more = R"(<setup><supply plus="V" minus="0V" voltage="12V"/><control ref="VR1" at="0.3"/></setup>
<bench><reading what="voltage" at="VR1.wiper" to="0V" is="3V"/><reading what="resistance" at="R1.a" to="0V" is="1k" without="VR1 R1"/>
<reading what="current" through="VR1.ccw" is="1mA"/></bench>)";
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="R2" kind="resistor" value="2k" pins="A 0V"/>
<part ref="R3" kind="resistor" value="3k" pins="V 0V"/><part ref="C1" kind="capacitor" value="1u" pins="A V"/>)";
    const std::string text = fully_corrected(parts + R"(<part ref="VR1" kind="potentiometer" value="10k" pins="ccw=0V wiper=A cw=V"/>)" + more, parts);
    const Circuit again = read_corrected(text);
    CHECK(again.setup->controls.empty());
    REQUIRE(again.bench.readings.size() == 2);
    CHECK(again.bench.readings[0].at->text == "A");
    CHECK(again.bench.readings[1].without.size() == 1);
}

TEST_CASE("a net that the setup names stays when its last part goes") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="R2" kind="resistor" value="2k" pins="A 0V"/>
<part ref="R3" kind="resistor" value="3k" pins="V 0V"/>)";
    const std::string text = fully_corrected(parts + R"(<part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/><setup><source net="IN" return="0V" resistance="600"/></setup>)", parts);
    CHECK(read_corrected(text).setup->source);
}

TEST_CASE("a part found turned about is turned on the drawing") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="R2" kind="resistor" value="2k" pins="A 0V"/>)";
    const std::string text = fully_corrected(parts + R"(<part ref="D1" kind="diode" model="1N4148" pins="anode=A k=0V"/>)",
                                             parts + R"(<part ref="D1" kind="diode" model="1N4148" pins="cathode=A anode=0V"/>)");
    CHECK(text.find(R"(pins="anode=0V k=A")") != std::string::npos);
}

TEST_CASE("a part of another kind takes the kind, its pins' names and its value") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="R2" kind="resistor" value="2k" pins="A 0V"/>)";
    fully_corrected(parts + R"(<part ref="C1" kind="capacitor" value="10" pins="A 0V"/>)", parts + R"(<part ref="C1" kind="electrolytic" value="10u" pins="plus=A minus=0V"/>)");
    fully_corrected(parts + R"(<part ref="C1" kind="electrolytic" value="10" pins="plus=A minus=0V"/>)", parts + R"(<part ref="C1" kind="capacitor" value="10u" pins="A 0V"/>)");
    fully_corrected(parts + R"(<part ref="Q1" kind="npn" model="BC109" pins="e=A b=0V c=V"/>)", parts + R"(<part ref="Q1" kind="njfet" model="2N3819" pins="s=A g=0V d=V"/>)");
    fully_corrected(parts + R"(<part ref="D1" kind="resistor" value="10k" pins="A 0V"/>)", parts + R"(<part ref="D1" kind="diode" model="1N4148" pins="anode=0V cathode=A"/>)");
}

TEST_CASE("packages are corrected however either side writes them") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/><part ref="R2" kind="resistor" value="2k" pins="B C"/>
<part ref="R3" kind="resistor" value="3k" pins="D E"/><part ref="R4" kind="resistor" value="4k" pins="E F"/><part ref="R5" kind="resistor" value="5k" pins="P M"/>
<part ref="C1" kind="capacitor" value="1n" pins="A D"/>)";
    const std::string sections = R"(<part ref="IC1A" package="IC1" kind="opamp" model="TL072" pins="out=C in-=B in+=A v+=P v-=M"/>
<part ref="IC1B" package="IC1" kind="opamp" model="TL072" pins="out=F in-=E in+=D v+=P v-=M"/>)";
    const auto whole = [](const char* out, const char* model) {
        return std::string(R"(<part ref="U9" kind="dual-opamp" model=")") + model + R"(" pins="1=)" + out + R"( 2=B 3=A 4=M 5=D 6=E 7=F 8=P"/>)";
    };
    fully_corrected(parts + sections, parts + whole("D", "TL072"));
    fully_corrected(parts + whole("C", "TL072"), parts + whole("D", "NE5532"));
    fully_corrected(parts + whole("D", "TL072"), parts + sections);
    fully_corrected(parts + sections, parts + whole("C", "NE5532"));
    fully_corrected(parts, parts + sections);
    fully_corrected(parts, parts + whole("C", "TL072"));
    fully_corrected(parts + sections, parts);
    fully_corrected(parts + with(with(sections, "v+=P v-=M", "v+=M v-=P"), "v+=P v-=M", "v+=M v-=P"), parts + whole("C", "TL072"));
}

TEST_CASE("an equivalent enters the drawing only where it is decided so") {
    const std::string parts = R"(<part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="R2" kind="resistor" value="2k" pins="A 0V"/>
<part ref="C1" kind="capacitor" value="1n" pins="V 0V"/>)";
    const std::string drawn = parts + R"(<part ref="R9" kind="resistor" value="30k" pins="V 0V"/>)";
    const std::string found = parts + R"(<part ref="R7" kind="resistor" value="10k" pins="V X"/><part ref="R8" kind="resistor" value="20k" pins="X 0V"/>)";
    const Circuit one = drawing(drawn), other = board(found);
    // What stands in both files first has the same numbers in both.
    Comparison comparison = compare(drawing(parts), board(parts));
    Finding made_up;
    made_up.id = "equivalent@R9";
    made_up.what = What::equivalent;
    made_up.drawing_parts = {*one.part("R9")};
    made_up.board_parts = {*other.part("R7"), *other.part("R8")};
    comparison.findings.push_back(made_up);
    CHECK(corrected_drawing(one, other, comparison) == one.source.bytes());
    const std::set<std::string> accepted{"equivalent@R9"};
    const Circuit again = read_corrected(corrected_drawing(one, other, comparison, &accepted));
    const Comparison after = compare(again, other);
    CHECK(after.cost == 0);
    CHECK(std::none_of(after.findings.begin(), after.findings.end(), [](const Finding& f) { return f.what == What::equivalent; }));
}

TEST_CASE("a finding not accepted leaves its bytes alone") {
    const std::string found = with(with(found_parts(), "100k", "120k"), "22k", "27k");
    const std::set<std::string> accepted{"value@R2"};
    const Lines lines = difference(kept, correct(found, &accepted));
    CHECK(lines.come == std::vector<std::string>{"  <part ref='R2' kind='resistor' value='27k' pins='B 0V'/>"});
}

TEST_CASE("the revision's text says what stood there") {
    const Circuit one = kept_drawing(), other = board(with(found_parts(), "100k", "120k"));
    CHECK(revision_text(one, other, compare(one, other), nullptr) == "R1 was 100k, is 120k");
    const auto text = [&](const std::string& passage, const std::string& instead) {
        const Circuit found = board(with(found_parts(), passage, instead));
        return revision_text(one, found, compare(one, found), nullptr);
    };
    CHECK(text(R"(value="100n" pins="C OUT")", R"(value="100n" pins="E OUT")") == "C3.a moved from C to E");
    CHECK(text(R"(value="100n" pins="C OUT")", R"(value="100n" pins="C X1"/><part ref="R7" kind="resistor" value="1k5" pins="X1 OUT")") == "R7 put in series in OUT");
    CHECK(text(R"(<part ref="R4" kind="resistor" value="1k" pins="E 0V"/>)", "") == "R4 taken out");
}
