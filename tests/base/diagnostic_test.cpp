#include <catch2/catch.hpp>

#include <stdexcept>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "base/result.h"

using namespace tallyboard;

TEST_CASE("a place is a line and a column in characters") {
    const SourceText text("a.xml", "one\r\nµµx\rthree\n\nlast");
    CHECK(text.position(0) == TextPosition{1, 1});
    CHECK(text.position(text.bytes().find('x')) == TextPosition{2, 3});
    CHECK(text.position(text.bytes().find("three")) == TextPosition{3, 1});
    CHECK(text.position(text.bytes().find("last")) == TextPosition{5, 1});
    CHECK(text.position(9999) == TextPosition{5, 5});
    CHECK(text.line(2) == "µµx");
    CHECK(text.line(4) == "");
    CHECK(text.line(5) == "last");
    CHECK(text.line(0) == "");
    CHECK(text.line(99) == "");
    CHECK(SourceText("b.xml", "\xEF\xBB\xBFone").position(3) == TextPosition{1, 1});
    CHECK(SourceText().position(0) == TextPosition{1, 1});
}

TEST_CASE("a diagnostic shows its line and a caret under the column") {
    const SourceText text("a.xml", "<part ref=\"µ1\" kind=\"resitor\"/>\n");
    const Diagnostic diagnostic = diagnostic_at(Severity::error, text, text.bytes().find("resitor"), "no kind resitor");
    CHECK(format(diagnostic) ==
          "a.xml:1:22: error: no kind resitor\n"
          "  <part ref=\"µ1\" kind=\"resitor\"/>\n"
          "                       ^\n");
    CHECK(format({Severity::warning, "a.xml", {}, "empty", ""}) == "a.xml: warning: empty\n");
}

TEST_CASE("the caret of a long line stays in sight") {
    const SourceText text("a.xml", std::string(300, 'a') + "X" + std::string(300, 'b'));
    const std::string shown = format(diagnostic_at(Severity::error, text, 300, "here"));
    const std::size_t line = shown.find('\n') + 1, caret_line = shown.find('\n', line) + 1;
    const std::string source = shown.substr(line, caret_line - line - 1), caret = shown.substr(caret_line);
    CHECK(source.size() < 90);
    // The ellipsis before the X is three bytes in one column.
    CHECK(source.find('X') - 2 == caret.find('^'));
}

TEST_CASE("an input error holds every diagnostic") {
    const InputError error({{Severity::error, "a.xml", {1, 2}, "first", ""}, {Severity::error, "a.xml", {3, 4}, "second", ""}});
    CHECK(std::string(error.what()) == "a.xml:1:2: error: first\na.xml:3:4: error: second\n");
    CHECK(std::string(CommandError("x.pdf", "cannot be written").what()) == "x.pdf: error: cannot be written");
    CHECK(std::string(CommandError("", "no").what()) == "tallyboard: error: no");
}

TEST_CASE("the nearest word is offered where it is near enough") {
    const std::vector<std::string> known{"resistor", "capacitor", "npn", "pnp", "link"};
    CHECK(nearest_word("resitor", known) == "resistor");
    CHECK(nearest_word("Resistor", known) == "resistor");
    CHECK(nearest_word("capcaitor", known) == "capacitor");
    CHECK(nearest_word("lnik", known) == "link");
    CHECK(nearest_word("transformer", known) == "");
    CHECK(nearest_word("", known) == "");
    CHECK(nearest_word("x", {}) == "");
}

TEST_CASE("a failed result has a reason and no value") {
    const Result<int> failed = Failure{"because"};
    CHECK_FALSE(failed);
    CHECK(failed.error() == "because");
    CHECK_THROWS_AS(failed.value(), std::logic_error);
    const Result<int> worked = 4;
    CHECK(worked);
    CHECK(*worked == 4);
}
