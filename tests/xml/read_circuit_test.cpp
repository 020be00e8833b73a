#include <catch2/catch.hpp>

#include "support/text_circuit.h"

using namespace tallyboard;
using test::board;
using test::drawing;

namespace {

// Every error of a text, one "LINE:COLUMN: MESSAGE" a line.
std::string errors_of(const std::string& text) {
    try {
        read_circuit(SourceText("t.xml", text), built_in_kinds());
    } catch (const InputError& error) {
        std::string out;
        for (const Diagnostic& d : error.diagnostics())
            out += std::to_string(d.at.line) + ":" + std::to_string(d.at.column) + ": " + d.message + "\n";
        return out;
    }
    return "";
}

}  // namespace

TEST_CASE("a board is read as it is written") {
    Circuit c = board(R"(
  <about>
    <title>Tern T-12 replay amplifier</title>
    <maker>Oakhollow Audio Works</maker> <model>T-12</model> <serial>00731</serial>
    <made>1972?</made>
    <source>traced from the copper side, 2026-03-02</source>
  </about>
  <net name="0V" role="ground"/>
  <net name="+24V" role="supply"/>
  <part ref="R4" kind="resistor" value="47k" tol="10%" pins="BASE 0V">
    <found marking="yellow violet orange silver" measured="51.2k" where="lifted" status="original"/>
  </part>
  <part ref="Q1" kind="npn" model="BC109C" pins="c=C1 b=BASE e=E1"/>
  <part ref="C7" kind="electrolytic" value="10u" pins="plus=C1 minus=OUT"/>
  <part ref="C9" kind="capacitor" pins="C1 ?"/>)");
    CHECK(c.role == CircuitRole::board);
    CHECK(c.about.title == "Tern T-12 replay amplifier");
    REQUIRE(c.about.made);
    CHECK(c.about.made->uncertain);
    REQUIRE(c.parts.size() == 4);
    REQUIRE(c.nets.size() == 6);
    CHECK(c.nets[0].role == NetRole::ground);
    CHECK(c.nets[2].name == "BASE");
    CHECK(c.nets[2].pins == std::vector<PinId>{PinId{PartId{0}, 0}, PinId{PartId{1}, 1}});
    const Part& r4 = c.parts[0];
    REQUIRE(r4.value);
    CHECK(r4.value->si() == 47000);
    REQUIRE(r4.found.size() == 1);
    REQUIRE(r4.found[0].marked);
    CHECK(r4.found[0].marked->si() == 47000);
    CHECK(r4.found[0].measured == 51200);
    CHECK(r4.found[0].where == FoundWhere::lifted);
    CHECK(c.source.slice(c.nets[3].span) == "c=C1");
    CHECK(c.source.slice(r4.pins[1].span) == "0V");
    CHECK(c.source.slice(r4.value_span) == "47k");
    CHECK(c.parts[1].model == "BC109C");
    CHECK(c.parts[1].pins[0].name == "emitter");
    CHECK(c.parts[3].pins[1].state == PinState::untraced);
    CHECK(c.source.bytes().substr(c.children_end) == "</as-found>");
    CHECK(c.remarks.empty());
}

TEST_CASE("every error of a file is told at once, in the order of the text") {
    CHECK(errors_of("<as-found xmlns='urn:tallyboard:circuit:1'>\n<part ref='R1' kind='resistr' value='10k'/>\n"
                    "<part ref='R1' kind='resistor' colour='red' pins='A B C'/>\n<prat/></as-found>") ==
          "2:22: unknown kind \"resistr\"; did you mean \"resistor\"?\n"
          "3:12: there is already a part R1, on line 2\n"
          "3:32: <part> has no attribute \"colour\"\n"
          "3:55: a resistor has 2 pins; here are 3\n"
          "4:1: unknown element <prat> in <as-found>; did you mean <part>?\n");
}

TEST_CASE("a file that is wrong throughout is told in a hundred errors and a count") {
    // Enough that looking for likely words each time would take minutes.
    std::string text = "<as-found xmlns='urn:tallyboard:circuit:1'>";
    for (int i = 0; i < 20000; ++i)
        text += "<part ref='R1' kind='resistr' vlaue='10k' pins='A B C'/><part ref='R" + std::to_string(i) + "' kind='resistor' pins='A B'/>";
    text += "<bench>";
    for (int i = 0; i < 20000; ++i) text += "<reading what='voltage' at='X" + std::to_string(i) + "' to='R3000.q' is='1V'/>";
    text += "</bench></as-found>";
    try {
        read_circuit(SourceText("t.xml", text), built_in_kinds());
        FAIL("it is wrong");
    } catch (const InputError& error) {
        REQUIRE(error.diagnostics().size() == 101);
        CHECK(error.diagnostics()[0].message == "unknown kind \"resistr\"; did you mean \"resistor\"?");
        CHECK(error.diagnostics()[100].message == "and 99900 more errors");
    }
}

TEST_CASE("in a file of one long line the caret stands under the place") {
    for (int before : {0, 1, 40, 74, 75, 76, 77, 200, 3000})
        for (int behind : {0, 5, 3000}) {
            std::string text = "<as-found xmlns='urn:tallyboard:circuit:1'>" + std::string(3000, ' ');
            text.replace(43, 0, "<!--" + std::string(static_cast<std::size_t>(before), '=') + "-->");
            for (int i = 0; i < before; ++i) text += "<net name='\u00B5\u03A9\u2212" + std::to_string(i) + "'/>";
            text += "<net name='x' role='\u00B5'/>" + std::string(static_cast<std::size_t>(behind), ' ') + "</as-found>";
            try {
                read_circuit(SourceText("t.xml", text), built_in_kinds());
                FAIL("it is wrong");
            } catch (const InputError& error) {
                std::vector<std::string> lines;
                std::string told = error.what();
                for (std::size_t at = 0; at < told.size(); at = told.find('\n', at) + 1) lines.push_back(told.substr(at, told.find('\n', at) - at));
                REQUIRE(lines.size() == 3);
                std::size_t caret = lines[2].find('^');
                // Columns count characters; the line shown has signs of several bytes before the caret.
                std::size_t byte = 0;
                for (std::size_t column = 0; column < caret; ++column)
                    do ++byte; while (byte < lines[1].size() && (static_cast<unsigned char>(lines[1][byte]) & 0xC0) == 0x80);
                CHECK(lines[1].substr(byte, 3) == "\u00B5'");
            }
        }
}
