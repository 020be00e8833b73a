#include <catch2/catch.hpp>

#include <random>

#include "values/value.h"

using namespace tallyboard;

TEST_CASE("equal numbers are equal decimals whatever their noughts") {
    CHECK(Decimal(47, 2) == Decimal(4700, 0));
    CHECK(Decimal::read("0.0047") == Decimal(47, -4));
    CHECK(Decimal::read("004700.00") == Decimal(47, 2));
    CHECK(Decimal::read(".1")->scaled(-6) == Decimal::read("100")->scaled(-9));
    CHECK(Decimal::read("0") == Decimal(0, 7));
}

TEST_CASE("decimals read plain digits only") {
    for (const char* text : {"", ".", "-", "4.7.1", "4e3", " 47", "47 ", "+47", "x", "1234567890123456789"})
        CHECK_FALSE(Decimal::read(text));
    CHECK(Decimal::read("-4.7") == Decimal(-47, -1));
    CHECK(Decimal::read("123456789012345678000000") == Decimal(123456789012345678, 6));
    CHECK_FALSE(Decimal::read(std::string(50, '9')));
    CHECK_FALSE(Decimal::read("1" + std::string(60, '0')));
}

TEST_CASE("decimals are ordered by size") {
    std::mt19937 random(11);
    const auto any = [&] {
        const auto digits = static_cast<std::int64_t>(random() % 2001) - 1000;
        return Decimal(digits, static_cast<int>(random() % 13) - 6);
    };
    for (int i = 0; i < 5000; ++i) {
        const Decimal a = any(), b = any();
        const double x = a.to_double(), y = b.to_double();
        CHECK((a < b) == (x < y));
        CHECK((a == b) == (x == y));
        const auto sum = Decimal::sum(a, b);
        REQUIRE(sum);
        CHECK(sum->to_double() == Approx(x + y).margin(1e-9));
        CHECK(Decimal::read(a.to_text()) == a);
    }
}

TEST_CASE("a sum that needs more than 18 digits is none") {
    CHECK_FALSE(Decimal::sum(Decimal(1, 20), Decimal(1, 0)));
    CHECK(Decimal::sum(Decimal(999999999999999999, 0), Decimal(1, 0)) == Decimal(1, 18));
    CHECK(Decimal::sum(Decimal(5, 20), Decimal{}) == Decimal(5, 20));
}
