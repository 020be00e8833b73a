#include "xml/edit.h"

#include <catch2/catch.hpp>

#include <stdexcept>

#include "support/text_circuit.h"

using namespace tallyboard;

namespace {

const std::string head = "<circulated xmlns=\"urn:tallyboard:circuit:1\">";

std::string drawing_of(const std::string& children) { return head + children + "</circulated>"; }

Circuit read(const std::string& text) { return read_circuit(SourceText("t.xml", text), built_in_kinds()); }

// `text` after one edit made from its circuit.
template <class Make>
std::string after(const std::string& text, Make&& make) {
    Circuit circuit = read(text);
    std::string out = spliced(circuit.source, {make(circuit)});
    read(out);
    return out;
}

}  // namespace

TEST_CASE("an attribute is changed in place and everything round it stays") {
    std::string before = drawing_of("\n  <!-- bias --><part  ref = 'R1'\tkind=\"resistor\"   value='10k' pins=\"A&amp;1 B\" /> \n");
    std::string text = after(before, [](const Circuit& c) { return set_attribute(c.source, c.parts[0].span, "ref", "R'1"); });
    CHECK(text == drawing_of("\n  <!-- bias --><part  ref = 'R&apos;1'\tkind=\"resistor\"   value='10k' pins=\"A&amp;1 B\" /> \n"));
}

TEST_CASE("a new attribute stands behind the last one, before the slash") {
    CHECK(after(drawing_of("<part ref=\"R1\" kind=\"resistor\" />"), [](const Circuit& c) {
              return set_attribute(c.source, c.parts[0].span, "note", "a<b & \"c\"");
          }) == drawing_of("<part ref=\"R1\" kind=\"resistor\" note=\"a&lt;b &amp; &quot;c&quot;\" />"));
}

TEST_CASE("an attribute is taken out with the white space before it") {
    CHECK(after(drawing_of("<part ref=\"R1\"\n   value=\"1k\" kind=\"resistor\"/>"), [](const Circuit& c) {
              return remove_attribute(c.source, c.parts[0].span, "value");
          }) == drawing_of("<part ref=\"R1\" kind=\"resistor\"/>"));
}

TEST_CASE("an element is taken out with the white space before it") {
    CHECK(after(drawing_of("\n  <part ref=\"R1\" kind=\"resistor\"/>\n  <part ref=\"R2\" kind=\"resistor\"/>\n"), [](const Circuit& c) {
              return remove_element(c.source, c.parts[0].span);
          }) == drawing_of("\n  <part ref=\"R2\" kind=\"resistor\"/>\n"));
}

TEST_CASE("a child is added to an empty tag, to no children, to one line and to many lines") {
    auto add_found = [](const Circuit& c) { return append_child(c.source, c.parts[0].span, "<found status=\"original\"/>"); };
    CHECK(after(drawing_of("\n  <part ref=\"R1\" kind=\"resistor\"/>\n"), add_found) ==
          drawing_of("\n  <part ref=\"R1\" kind=\"resistor\">\n    <found status=\"original\"/>\n  </part>\n"));
    CHECK(after(drawing_of("\n  <part ref=\"R1\" kind=\"resistor\">\n  </part>\n"), add_found) ==
          drawing_of("\n  <part ref=\"R1\" kind=\"resistor\">\n    <found status=\"original\"/>\n  </part>\n"));
    CHECK(after(drawing_of("<part ref=\"R1\" kind=\"resistor\"><stands x=\"1\" y=\"2\"/></part>"), add_found) ==
          drawing_of("<part ref=\"R1\" kind=\"resistor\"><stands x=\"1\" y=\"2\"/><found status=\"original\"/></part>"));
    CHECK(after(drawing_of("\n\t<part ref=\"R1\" kind=\"resistor\">\n\t\t<stands x=\"1\" y=\"2\"/> <!-- here -->\n\t</part>\n"),
                add_found) ==
          drawing_of("\n\t<part ref=\"R1\" kind=\"resistor\">\n\t\t<stands x=\"1\" y=\"2\"/> <!-- here -->\n"
                     "\t\t<found status=\"original\"/>\n\t</part>\n"));
}

TEST_CASE("what is added keeps the file's line ends, marks and tabs") {
    std::string text = "\xEF\xBB\xBF" + head + "\r\n\t<part ref=\"R1\" kind=\"resistor\"/>\r\n</circulated>\r\n";
    CHECK(after(text, [](const Circuit& c) { return append_child(c.source, c.root_span, "<net name=\"A\"/>"); }) ==
          "\xEF\xBB\xBF" + head + "\r\n\t<part ref=\"R1\" kind=\"resistor\"/>\r\n\t<net name=\"A\"/>\r\n</circulated>\r\n");
    CHECK(after(text, [](const Circuit& c) {
              return insert_behind(c.source, c.parts[0].span, "<part ref=\"R2\" kind=\"resistor\">\n  <stands x=\"0\" y=\"0\"/>\n</part>");
          }) == "\xEF\xBB\xBF" + head +
                    "\r\n\t<part ref=\"R1\" kind=\"resistor\"/>\r\n\t<part ref=\"R2\" kind=\"resistor\">\r\n\t  <stands x=\"0\" y=\"0\"/>"
                    "\r\n\t</part>\r\n</circulated>\r\n");
}

TEST_CASE("marks that look like tags do not mislead an edit") {
    std::string text = drawing_of("\n  <part ref=\"R1\" kind=\"resistor\" note=\"a > b\"><!-- </part> --><x:y xmlns:x=\"u\">"
                                  "<![CDATA[</part>]]></x:y></part>\n");
    CHECK(after(text, [](const Circuit& c) { return append_child(c.source, c.parts[0].span, "<stands x=\"1\" y=\"1\"/>"); }) ==
          drawing_of("\n  <part ref=\"R1\" kind=\"resistor\" note=\"a > b\"><!-- </part> --><x:y xmlns:x=\"u\">"
                     "<![CDATA[</part>]]></x:y><stands x=\"1\" y=\"1\"/></part>\n"));
}

TEST_CASE("edits are carried out in any order, insertions at one place in theirs") {
    SourceText text("t", "0123456789");
    CHECK(spliced(text, {{{8, 9}, "E"}, {{2, 4}, "-"}, {{4, 4}, "a"}, {{4, 4}, "b"}, {{4, 5}, "F"}}) == "01-abF567E9");
    CHECK(spliced(text, {}) == "0123456789");
    CHECK_THROWS_AS(spliced(text, {{{2, 5}, ""}, {{4, 6}, ""}}), std::logic_error);
    CHECK_THROWS_AS(spliced(text, {{{8, 11}, ""}}), std::logic_error);
}

TEST_CASE("a pin's item in the file is found behind escapes and line ends") {
    for (std::string pins : {"c=A&amp;1 b=B e=E", "\r\n  c=A&#38;1\r\n b=B &#x65;=E\t", "c=&#937; b=B e=E", "  c=A b=B e=E"}) {
        Circuit c = read(drawing_of("<part ref=\"Q1\" kind=\"npn\" pins=\"" + pins + "\"/>"));
        CHECK(c.source.slice(c.parts[0].pins[1].span) == "b=B");
        std::string e(c.source.slice(c.parts[0].pins[0].span));
        CHECK((e == "e=E" || e == "&#x65;=E"));
        std::string text = spliced(c.source, {{c.parts[0].pins[2].span, "c=X"}});
        CHECK(read(text).net("X").has_value());
    }
}
