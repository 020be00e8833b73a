#include <catch2/catch.hpp>

#include <algorithm>
#include <random>

#include "base/text.h"

using namespace tallyboard;

TEST_CASE("white space is trimmed and collapsed as XML has it") {
    CHECK(trimmed(" \t a b \r\n") == "a b");
    CHECK(trimmed(" \n") == "");
    CHECK(collapsed("  4k7 \t\n 5 % ") == "4k7 5 %");
    CHECK(split_words(" a  b\tc ") == std::vector<std::string>{"a", "b", "c"});
    CHECK(split_words("").empty());
    // A no-break space is no white space of XML.
    CHECK(split_words("a\u00A0b").size() == 1);
}

TEST_CASE("pieces split and join again") {
    for (const char* text : {"", "a", "a,b", ",", "a,,b,"}) CHECK(join(split(text, ','), ",") == text);
    CHECK(split("a,,b", ',').size() == 3);
    CHECK(join_words({}) == "");
    CHECK(join_words({"R1"}) == "R1");
    CHECK(join_words({"R1", "R2"}) == "R1 and R2");
    CHECK(join_words({"R1", "R2", "R3"}, "or") == "R1, R2 or R3");
}

TEST_CASE("characters are counted, not bytes") {
    CHECK(count_characters("4µ7 Ω") == 5);
    CHECK(split_characters("aµ") == std::vector<std::string>{"a", "µ"});
    // Broken sequences stand alone and nothing is lost.
    for (const char* text : {"\xB5", "a\xC2", "\xFF\xFE", "\xE2\x82"}) CHECK(join(split_characters(text), "") == text);
}

TEST_CASE("well-formed UTF-8 is told from what is not") {
    for (const char* text : {"", "a", "µ", "Ω", "\u2126", "\U0001F50A", "\xF4\x8F\xBF\xBF"}) CHECK(is_valid_utf8(text));
    for (const char* text : {"\x80", "\xC0\x80", "\xC3", "\xE0\x80\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xF8\x88\x80\x80\x80", "\xE2\x82", "a\xFF"})
        CHECK_FALSE(is_valid_utf8(text));
}

TEST_CASE("R2 stands before R10") {
    CHECK(natural_less("R2", "R10"));
    CHECK_FALSE(natural_less("R10", "R2"));
    CHECK(natural_less("IC1A", "IC1B"));
    CHECK(natural_less("R1", "R1A"));
    CHECK(natural_less("C9", "R1"));
    CHECK_FALSE(natural_less("R1", "R1"));
    CHECK(natural_less("R01", "R1"));
    CHECK(natural_less("R99999999999999999999998", "R99999999999999999999999"));
}

TEST_CASE("natural order is a strict total order") {
    std::mt19937 random(3);
    const std::string signs = "019aRb-";
    std::vector<std::string> words;
    for (int i = 0; i < 60; ++i) {
        std::string word;
        for (std::size_t n = random() % 5; n > 0; --n) word += signs[random() % signs.size()];
        words.push_back(word);
    }
    for (const std::string& a : words)
        for (const std::string& b : words) {
            CHECK((natural_less(a, b) || natural_less(b, a)) == (a != b));
            CHECK_FALSE((natural_less(a, b) && natural_less(b, a)));
            if (natural_less(a, b))
                for (const std::string& c : words)
                    if (natural_less(b, c) && !natural_less(a, c)) FAIL(a + " " + b + " " + c);
        }
}

TEST_CASE("counted things take their plural") {
    CHECK(counted(1, "part") == "1 part");
    CHECK(counted(0, "part") == "0 parts");
    CHECK(counted(2, "capacity", "capacities") == "2 capacities");
}
