#include <catch2/catch.hpp>

#include "values/colour_code.h"

using namespace tallyboard;

namespace {

std::vector<BandReading> bands(const char* text) {
    const auto readings = read_bands(split_colours(text));
    INFO(text);
    if (!readings) FAIL(readings.error());
    return *readings;
}

}  // namespace

TEST_CASE("bands read as their number and tolerance") {
    CHECK(bands("yellow violet orange silver").front().ohms == Decimal(47, 3));
    CHECK(bands("red red brown").front().ohms == Decimal(220, 0));
    CHECK(bands("red red brown").front().tolerance == Tolerance{0.2, 0.2});
    CHECK(bands("red red brown none").front().tolerance == Tolerance{0.2, 0.2});
    CHECK(bands("brown black black red brown").front().ohms == Decimal(10, 3));
    CHECK(bands("brown black black red brown").front().tolerance == Tolerance{0.01, 0.01});
    CHECK(bands("yellow violet gold gold").front().ohms == Decimal(47, -1));
    CHECK(bands("orange white silver gold").front().ohms == Decimal(39, -2));
    CHECK(bands("BN BK RD GD").front().ohms == Decimal(1, 3));
    CHECK(bands("black").front().ohms.is_zero());
    const BandReading six = bands("red violet yellow brown brown red").front();
    CHECK(six.ohms == Decimal(2740, 0));
    CHECK(six.ppm == 50);
}

TEST_CASE("bands that make a series value from both ends are read both ways") {
    const auto both = bands("brown red orange brown");
    REQUIRE(both.size() == 2);
    CHECK(both[0].ohms == Decimal(12, 3));
    CHECK(both[1].ohms == Decimal(1300, 0));
    CHECK(both[1].from_other_end);
}

TEST_CASE("gold or silver is never a digit and settles the direction") {
    CHECK(bands("brown black orange gold").size() == 1);
    const auto reversed = bands("gold orange black brown");
    REQUIRE(reversed.size() == 1);
    CHECK(reversed[0].from_other_end);
    CHECK(reversed[0].ohms == Decimal(10, 3));
    CHECK_FALSE(read_bands(split_colours("gold black gold")));
}

TEST_CASE("a gold fourth band and a plain fifth may be an old part's reliability band") {
    const auto readings = bands("red violet yellow gold red");
    REQUIRE(readings.size() == 2);
    CHECK(readings[0].ohms == Decimal(274, -1));
    CHECK(readings[1].ohms == Decimal(27, 4));
    CHECK(readings[1].tolerance == Tolerance{0.05, 0.05});
}

TEST_CASE("body, tip and dot read as the early code") {
    CHECK(read_colour_marking("body green tip green dot green", Quantity::resistance)->number == Decimal(55, 5));
    CHECK(read_colour_marking("body green", Quantity::resistance)->number == Decimal(55, 5));
    const auto value = read_colour_marking("body yellow tip violet dot orange end silver", Quantity::resistance);
    REQUIRE(value);
    CHECK(value->number == Decimal(47, 3));
    CHECK(value->tolerance == Tolerance{0.1, 0.1});
}

TEST_CASE("a colour mistaken for its neighbour is offered with its value") {
    const auto mistaken = mistaken_bands(split_colours("yellow violet orange silver"));
    const auto has = [&](const Decimal& ohms, const char* says) {
        for (const MistakenBand& band : mistaken)
            if (band.ohms == ohms) return band.says == says;
        return false;
    };
    CHECK(has(Decimal(4700, 0), "third band red, not orange"));
    CHECK(has(Decimal(470, 0), "third band brown, not orange"));
}

TEST_CASE("words that are no colours are no bands") {
    CHECK(split_colours("yellow violet ochre").empty());
    CHECK_FALSE(is_colour_marking("4k7"));
    CHECK_FALSE(is_colour_marking(""));
    CHECK_FALSE(read_bands(split_colours("red red")));
    CHECK_FALSE(read_colour_marking("brown black orange", Quantity::capacitance));
}
