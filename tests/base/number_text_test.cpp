#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>

#include "base/number_text.h"

using namespace tallyboard;

TEST_CASE("the shortest text reads back as the same double") {
    std::mt19937_64 random(5);
    for (int i = 0; i < 2000; ++i) {
        const double number = std::ldexp(static_cast<double>(random() >> 11), static_cast<int>(random() % 200) - 120);
        CHECK(read_double(shortest_text(number)) == number);
        CHECK(read_double(shortest_text(-number)) == -number);
    }
    CHECK(shortest_text(-0.0) == "0");
    CHECK_THROWS_AS(shortest_text(std::numeric_limits<double>::quiet_NaN()), std::logic_error);
    CHECK_THROWS_AS(shortest_text(std::numeric_limits<double>::infinity()), std::logic_error);
}

TEST_CASE("rounded numbers keep their figures and no exponent") {
    CHECK(rounded_text(0.00047, 3) == "0.00047");
    CHECK(rounded_text(1234567, 3) == "1230000");
    CHECK(rounded_text(3.14159, 3) == "3.14");
    CHECK(rounded_text(-2.50, 3) == "-2.5");
    CHECK(rounded_text(999.9, 3) == "1000");
    CHECK(rounded_text(0, 3) == "0");
}

TEST_CASE("fixed places never print a negative nought") {
    CHECK(fixed_text(-0.001, 2) == "0.00");
    CHECK(fixed_text(-0.01, 2) == "-0.01");
    CHECK(fixed_text(1.005, 1) == "1.0");
}

TEST_CASE("only whole numbers are read") {
    CHECK(read_double("+4.5") == 4.5);
    CHECK(read_double("1e3") == 1000.0);
    for (const char* text : {"", " 1", "1 ", "1,5", "inf", "nan", "0x10", "++1", "1e999"}) CHECK_FALSE(read_double(text));
    CHECK(read_integer("-12") == -12);
    for (const char* text : {"", "1.5", "12a", "99999999999999999999"}) CHECK_FALSE(read_integer(text));
}
