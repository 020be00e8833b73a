#include "xml/write_circuit.h"

#include <catch2/catch.hpp>

#include "support/text_circuit.h"
#include "xml/csv.h"
#include "xml/every_element.h"
#include "xml/same_circuit.h"
#include "xml/templates.h"

using namespace tallyboard;
using test::lines_of;

namespace {

Circuit read(const std::string& text) { return read_circuit(SourceText("t.xml", text), built_in_kinds()); }

// The parts and nets alone, which is all a table holds.
std::vector<std::string> parts_of(const Circuit& circuit) {
    std::vector<std::string> out;
    for (const std::string& line : lines_of(circuit))
        if (line.starts_with("part ") || line.starts_with("net ")) out.push_back(line);
    return out;
}

const std::string amplifier = R"(<circulated xmlns="urn:tallyboard:circuit:1">
  <part ref="R1" kind="resistor" value="4.7k" tol="5%" pins="IN A;1" note="says &quot;hot&quot;, here"/>
  <part ref="C1" kind="electrolytic" value="2.2u" pins="plus=A;1 minus=?"/>
  <part ref="Q1" kind="npn" model="BC109" pins="base=IN collector=- emitter=0V"/>
  <part ref="T1" kind="transformer" value="25:1" pins="p1=IN p2=0V s1=S1 s2=0V"/>
  <part ref="J1" kind="jack"/>
  <part ref="VR1" kind="potentiometer" value="10k" taper="log" half="12.5%" pins="ccw=0V wiper=S1 cw=IN"/>
</circulated>)";

}  // namespace

TEST_CASE("a circuit written and read again is the same") {
    for (const std::string& text : {test::full_drawing, test::full_board, amplifier}) {
        Circuit once = read(text);
        std::string written = write_circuit(once);
        INFO(written);
        Circuit again = read(written);
        CHECK(lines_of(once) == lines_of(again));
        CHECK(write_circuit(again) == written);
    }
}

TEST_CASE("every built-in kind is written and read again as it was") {
    const KindTable& kinds = built_in_kinds();
    std::string text = "<kinds xmlns=\"urn:tallyboard:circuit:1\">";
    for (std::uint32_t k = 0; k < kinds.size(); ++k) text += write_kind(kinds[KindId{k}]);
    KindTable again;
    add_kinds(SourceText("kinds.xml", text + "</kinds>"), again);
    REQUIRE(again.size() == kinds.size());
    for (std::uint32_t k = 0; k < kinds.size(); ++k) {
        CHECK(write_kind(again[KindId{k}]) == write_kind(kinds[KindId{k}]));
        CHECK(again[KindId{k}].ordered == kinds[KindId{k}].ordered);
    }
}

TEST_CASE("templates read without errors") {
    for (const std::string& name : template_names()) {
        SourceText text(name + ".xml", *template_text(name));
        CHECK(root_of(text) == name);
        if (name == "review") CHECK(read_review(text).decisions.size() == 1);
        else if (name == "family") CHECK(read_family(text).members.size() == 2);
        else CHECK(read_circuit(text, built_in_kinds()).parts.size() > 2);
    }
    CHECK_FALSE(template_text("board"));
}

TEST_CASE("what a template shows in comments reads too when the marks are taken away") {
    for (std::string name : {"as-found", "circulated"}) {
        std::string text = *template_text(name);
        for (std::string element : {"setup", "bench", "continuity"})
            for (std::size_t at = text.find("<!--"); at != std::string::npos; at = text.find("<!--", at + 1)) {
                std::size_t opens = text.find("\n  <" + element + ">", at), ends = text.find("-->", at);
                if (opens == std::string::npos || opens > ends) continue;
                text = text.substr(0, at) + text.substr(opens, ends - opens) + text.substr(ends + 3);
            }
        INFO(text);
        if (name == "circulated") {
            text.replace(text.find("ref=\"VR1\""), 9, "ref=\"R1\"");
            CHECK_THROWS_AS(read(text), InputError);  // a resistor has no setting: the example is of a potentiometer
            text.erase(text.find("<control"), text.find("/>", text.find("<control")) + 2 - text.find("<control"));
        }
        CHECK_NOTHROW(read(text));
    }
}

TEST_CASE("a table holds the parts and nets of a circuit, whichever way its rows go") {
    Circuit circuit = read(amplifier);
    for (CsvRows rows : {CsvRows::pins, CsvRows::parts})
        for (char delimiter : {',', ';', '\t'})
            for (bool decimal_comma : {false, true}) {
                std::string table = write_csv(circuit, {rows, delimiter, decimal_comma});
                INFO(table);
                Circuit again = read_csv(SourceText("t.csv", table), CircuitRole::drawing, built_in_kinds());
                std::vector<std::string> expected = parts_of(circuit), found = parts_of(again);
                if (decimal_comma)
                    for (std::string& line : found)
                        for (std::string from : {"4,7k", "2,2u"})
                            if (auto at = line.find(from); at != std::string::npos) line[at + 1] = '.';
                CHECK(found == expected);
            }
}

TEST_CASE("one row a pin is what a spreadsheet shows") {
    CHECK(write_csv(test::drawing("<part ref='R1' kind='resistor' value='4k7' pins='A B'/><part ref='Q1' kind='npn' model='BC109'/>")) ==
          "ref,kind,value,model,pin,net\r\nR1,resistor,4k7,,a,A\r\nR1,resistor,4k7,,b,B\r\nQ1,npn,,BC109,,\r\n");
}

TEST_CASE("rows with an empty reference go on with the part above") {
    Circuit c = read_csv(SourceText("t.csv", "Ref;Kind;Value;Pin;Net\nQ1;npn;BC109;c;OUT\n;;;b;IN\n;;;e;\n\nR1;resistor;\"4,7k\";a;IN\n"),
                         CircuitRole::board, built_in_kinds());
    REQUIRE(c.parts.size() == 2);
    CHECK(c.parts[0].model == "BC109");
    CHECK(c.parts[0].pins[0].state == PinState::untraced);
    CHECK(c.nets[c.parts[0].pins[1].net.index].name == "IN");
    CHECK(c.parts[1].value->si() == 4700);
}

TEST_CASE("a table's faults are told at their line and column") {
    auto error = [](const std::string& text) {
        try {
            read_csv(SourceText("t.csv", text), CircuitRole::drawing, built_in_kinds());
        } catch (const InputError& e) {
            std::string out;
            for (const Diagnostic& d : e.diagnostics())
                out += std::to_string(d.at.line) + ":" + std::to_string(d.at.column) + ": " + d.message + "\n";
            return out;
        }
        return std::string("none");
    };
    CHECK(error("") == "1:1: the table is empty; its first row names the columns: ref, kind, value, pin, net\n");
    CHECK(error("ref,kind,valeu\n") == "1:10: unknown column \"valeu\"; did you mean \"value\"?\n");
    CHECK(error("ref,kind,pin\nR1,resistor,a\n") == "1:1: the column net is missing\n");
    CHECK(error("ref,kind,pins\nR1,\"resistr\",A B\n") == "2:5: unknown kind \"resistr\"; did you mean \"resistor\"?\n");
    CHECK(error("ref,kind,pins\nR1,resistor,\"A B C\"\n") == "2:18: a resistor has 2 pins; here are 3\n");
    CHECK(error("ref,kind,pin,net\nQ1,npn,x,A\n") == "2:8: an npn transistor has no pin \"x\"; it has emitter, base and collector\n");
    CHECK(error("ref,kind,pin,net\nQ1,npn,b,A\nQ1,pnp,c,B\n") == "3:4: Q1 has kind \"pnp\" here and \"npn\" on line 2\n");
    CHECK(error("ref,kind,value\nR1,resistor,4,7k\n") ==
          "2:15: this row has 4 fields, the first row 3; is a field with a comma in it to be quoted?\n");
    CHECK(error("ref,kind,pins\nR1,resistor,\"A B\n") == "2:13: this quote is not closed\n");
    CHECK(error("ref,kind,pins\nR1,resistor,A B\nR1,resistor,A B\n") == "3:1: there is already a part R1, on line 2\n");
}
