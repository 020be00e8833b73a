#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "values/value.h"

using namespace tallyboard;

TEST_CASE("tolerances read in every form") {
    const auto same = [](const char* text, double minus, double plus) {
        const auto tolerance = read_tolerance(text);
        INFO(text);
        REQUIRE(tolerance);
        CHECK(tolerance->minus == Approx(minus));
        CHECK(tolerance->plus == Approx(plus));
    };
    same("10%", 0.1, 0.1);
    same("±5 %", 0.05, 0.05);
    same("+/- 2%", 0.02, 0.02);
    same("-20/+80%", 0.2, 0.8);
    same("−20/+50 %", 0.2, 0.5);
    same("+100-10%", 0.1, 1);
    same("-20% +80%", 0.2, 0.8);
    same("0%", 0, 0);
    same("2,5 %", 0.025, 0.025);
    same("B", 0.001, 0.001);
    same("C", 0.0025, 0.0025);
    same("D", 0.005, 0.005);
    same("F", 0.01, 0.01);
    same("G", 0.02, 0.02);
    same("J", 0.05, 0.05);
    same("K", 0.1, 0.1);
    same("M", 0.2, 0.2);
    same("N", 0.3, 0.3);
    same("Q", 0.1, 0.3);
    same("T", 0.1, 0.5);
    same("S", 0.2, 0.5);
    same("Z", 0.2, 0.8);
    same("P", 0, 1);
    for (const char* text : {"", "10", "%", "A", "-20%", "10%%", "ten", "-20/-80%", "500%"}) CHECK_FALSE(read_tolerance(text));
}

TEST_CASE("shares are read in per cent and as fractions") {
    CHECK(*read_share("15%") == Approx(0.15));
    CHECK(*read_share("0.5") == Approx(0.5));
    CHECK(*read_share("0") == 0);
    CHECK(*read_share("100 %") == 1);
    for (const char* text : {"", "1.5", "150%", "-0.1", "half", "0.5x"}) CHECK_FALSE(read_share(text));
}

TEST_CASE("the E series have their lengths and rise") {
    for (int n : {6, 12, 24, 48, 96}) {
        const auto& series = e_series(n);
        CHECK(series.size() == static_cast<std::size_t>(n));
        CHECK(std::is_sorted(series.begin(), series.end()));
        CHECK(series.front() == 100);
    }
    // E48 and E96 follow the rounded formula.
    for (int i = 0; i < 96; ++i) CHECK(e_series(96)[static_cast<std::size_t>(i)] == std::lround(100 * std::pow(10.0, i / 96.0)));
    CHECK_THROWS_AS(e_series(7), std::logic_error);
}

TEST_CASE("the nearest member of a series is nearest in ratio") {
    CHECK(nearest_in_series(Decimal(50, 3), 12) == Decimal(47, 3));
    CHECK(nearest_in_series(Decimal(5, -8), 6) == Decimal(47, -9));
    CHECK(nearest_in_series(Decimal(98, 0), 6) == Decimal(100, 0));
    CHECK(nearest_in_series(Decimal(25, 3), 24) == Decimal(24, 3));
    CHECK(nearest_in_series(Decimal(250, 0), 12) == Decimal(270, 0));
    CHECK(nearest_in_series(Decimal{}, 12).is_zero());
}
