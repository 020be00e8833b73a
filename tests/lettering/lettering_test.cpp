#include <catch2/catch.hpp>

#include "lettering/lettering.h"

#include <set>

using namespace tallyboard;

namespace {
std::string whole(const std::vector<TextRun>& pieces) {
    std::string text;
    for (const TextRun& piece : pieces) text += piece.text;
    return text;
}
}  // namespace

TEST_CASE("the signs of the trade are set in the sheet's own lettering") {
    for (const std::string text : {"4k7", "100 Ω", "4µ7", "±5 %", "70 °C", "R4 – R7", "2 × 10", "é Ł ü"}) {
        const auto pieces = runs(text, Face::sheet);
        INFO(text);
        REQUIRE(pieces.size() == 1);
        CHECK(pieces[0].face == Face::sheet);
        CHECK(pieces[0].text == text);
    }
}

TEST_CASE("a glyph the sheet's lettering lacks comes from the text face, by runs") {
    const auto pieces = runs("R4→R7", Face::sheet);
    REQUIRE(pieces.size() == 3);
    CHECK(pieces[0].face == Face::sheet);
    CHECK(pieces[1].face == Face::text);
    CHECK(pieces[1].text == "→");
    CHECK(pieces[2].text == "R7");
    CHECK(runs("half √2 … “so” ✓", Face::text).size() == 1);
}

TEST_CASE("look-alikes become the sign that the fonts have") {
    CHECK(whole(runs("47 \u2126", Face::sheet)) == "47 \u03A9");
    CHECK(whole(runs("\u221215V", Face::sheet)) == "\u201315V");
    CHECK(whole(runs("\u221215V", Face::text)) == "\u221215V");
}

TEST_CASE("what no face has shows as a replacement sign, never as nothing") {
    CHECK(whole(runs("a\U0001F600b", Face::sheet)) == "a\uFFFDb");
    CHECK(whole(runs("\xFF", Face::text)) == "\uFFFD");
    CHECK(whole(runs("\xE2\x82", Face::text)) == "\uFFFD\uFFFD");
    CHECK(whole(runs("漢", Face::text_bold)) == "\uFFFD");
    CHECK(whole(runs("a\tb\n", Face::text)) == "a b ");
    CHECK(runs("", Face::text).empty());
}

TEST_CASE("widths add up and grow with the size") {
    for (const Face face : {Face::sheet, Face::text, Face::text_bold}) {
        CHECK(text_width("", face, 3) == 0);
        CHECK(text_width("R12", face, 3) == Approx(text_width("R", face, 3) + text_width("12", face, 3)));
        CHECK(text_width("R12", face, 6) == Approx(2 * text_width("R12", face, 3)));
        CHECK(text_width("R→", face, 3) > text_width("R", face, 3));
        CHECK(cap_height(face, 1) > 0.6);
        CHECK(cap_height(face, 1) < ascent(face, 1));
        CHECK(descent(face, 1) > 0.1);
        CHECK(cap_height(face, size_for_cap_height(face, 2.5)) == Approx(2.5));
    }
    CHECK(text_width("bold", Face::text_bold, 3) > text_width("bold", Face::text, 3));
}

TEST_CASE("a subset is a small font with the same bytes each time") {
    for (const Face face : {Face::sheet, Face::text, Face::text_bold}) {
        const std::string subset = font_subset(face, "R1 4k7 Ω µ ±");
        CHECK(subset == font_subset(face, "± µ Ω 4k7 R1 R1"));
        CHECK(subset != font_subset(face, "R1 4k7 Ω µ"));
        CHECK(subset.size() < 12000);
        CHECK(subset.substr(0, 4) == std::string("\0\1\0\0", 4));
    }
    CHECK(font_subset(Face::sheet, "").size() > 100);
    CHECK(font_file(Face::sheet).size() > font_subset(Face::sheet, "R").size());
}

TEST_CASE("a subset numbers the glyphs of its characters, each its own") {
    const auto numbers = glyph_numbers(font_subset(Face::sheet, "R1Ω"));
    REQUIRE(numbers.size() == 4);  // and the blank
    std::set<std::uint16_t> seen;
    for (const auto& [character, glyph] : numbers) {
        CHECK(std::u32string(U" 1RΩ").find(character) != std::u32string::npos);
        CHECK(glyph != 0);
        CHECK(seen.insert(glyph).second);
    }
}
