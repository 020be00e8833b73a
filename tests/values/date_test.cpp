#include <catch2/catch.hpp>

#include "values/date.h"

using namespace tallyboard;

namespace {

std::string span(const char* text) {
    const auto date = read_date(text);
    INFO(text);
    if (!date) FAIL(date.error());
    CHECK(date->text == text);
    return (date->earliest ? date->earliest->to_text() : "..") + " " + (date->latest ? date->latest->to_text() : "..");
}

std::string code(const char* text, std::optional<int> about = {}) {
    const auto date = read_date_code(text, about);
    return date ? date->text : "none";
}

}  // namespace

TEST_CASE("a date stands for its first and its last possible day") {
    CHECK(span("1972") == "1972-01-01 1972-12-31");
    CHECK(span("1972?") == "1972-01-01 1972-12-31");
    CHECK(span("1972~") == "1972-01-01 1972-12-31");
    CHECK(span("1972-02") == "1972-02-01 1972-02-29");
    CHECK(span("1973-02") == "1973-02-01 1973-02-28");
    CHECK(span("1972-06-15") == "1972-06-15 1972-06-15");
    CHECK(span("197X") == "1970-01-01 1979-12-31");
    CHECK(span("19X2") == "1902-01-01 1992-12-31");
    CHECK(span("1972-XX") == "1972-01-01 1972-12-31");
    CHECK(span("1972-0X") == "1972-01-01 1972-09-30");
    CHECK(span("1972-06-XX") == "1972-06-01 1972-06-30");
    CHECK(span("[1962,1972]") == "1962-01-01 1972-12-31");
    CHECK(span("[1965..1968, 1972]") == "1965-01-01 1972-12-31");
    CHECK(span("[..1968]") == ".. 1968-12-31");
    CHECK(span("1972/1974") == "1972-01-01 1974-12-31");
    CHECK(span("../1974") == ".. 1974-12-31");
    CHECK(span("/1974") == ".. 1974-12-31");
    CHECK(span("1972/..") == "1972-01-01 ..");
    // Winter, not week 24.
    CHECK(span("1972-24") == "1972-12-01 1973-02-28");
    CHECK(span("1972-21") == "1972-03-01 1972-05-31");
}

TEST_CASE("doubt about a date is kept") {
    CHECK(read_date("1972?")->uncertain);
    CHECK_FALSE(read_date("1972?")->approximate);
    CHECK(read_date("1972~")->approximate);
    CHECK(read_date("1972%")->approximate);
    CHECK(read_date("1972%")->uncertain);
    CHECK_FALSE(read_date("1972")->uncertain);
    CHECK(read_date("1972?/1974")->uncertain);
}

TEST_CASE("what is no date says how to write one") {
    for (const char* text : {"", "72", "1972-13", "1972-02-30", "1973-02-29", "june 1972", "1972-6", "1974/1972", "../..", "1972-", "[]",
                             "1972-24-01", "19722", "1972-06-15-1", "////", "[,]"})
        CHECK_FALSE(read_date(text));
    CHECK(read_date("1972-31").error().find("week code") != std::string::npos);
}

TEST_CASE("days and texts agree over four centuries") {
    Day day = Day::of(1800, 1, 1);
    const Day end = Day::of(2200, 1, 1);
    CHECK(Day::of(1970, 1, 1).number == 0);
    CHECK(Day::of(1972, 3, 1).number == 790);
    std::string before = day.to_text();
    for (; day < end; day.number += 1) {
        const std::string text = day.to_text();
        REQUIRE(before <= text);
        before = text;
        const auto read = read_date(text);
        REQUIRE(read);
        REQUIRE(read->earliest == day);
    }
}

TEST_CASE("date codes on parts give a month") {
    CHECK(code("7224") == "1972-06");
    CHECK(code("137-7224") == "1972-06");
    CHECK(code("1377224") == "1972-06");
    CHECK(code("1374-7224") == "1972-06");
    CHECK(code("137224", 1975) == "1972-06");
    CHECK(code("137-224", 1975) == "1972-06");
    CHECK(code("224", 1968) == "1972-06");
    CHECK(code("224", 1966) == "1962-06");
    CHECK(code("0912") == "2009-03");
    CHECK(code("C6", 1975) == "1972-06");
    CHECK(code("C6", 1990) == "1992-06");
    CHECK(code("CO", 1975) == "1972-10");
    CHECK(code("7401") == "1974-01");
}

TEST_CASE("what is no date code is not made one") {
    for (const char* text : {"7254", "7200", "x", "", "12345", "72-24-1", "I6", "C0", "abcd", "99999999999"}) CHECK(code(text, 1975) == "none");
    // One digit of the year needs the unit's date.
    CHECK(code("224") == "none");
    CHECK(code("C6") == "none");
}
