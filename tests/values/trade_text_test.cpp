#include <catch2/catch.hpp>

#include <random>
#include <string>

#include "values/value.h"

using namespace tallyboard;

TEST_CASE("numbers print as the trade writes them") {
    CHECK(trade_text(Decimal(4700, 0), Quantity::resistance) == "4k7");
    CHECK(trade_text(Decimal(47, 3), Quantity::resistance) == "47k");
    CHECK(trade_text(Decimal(82, -1), Quantity::resistance) == "8R2");
    CHECK(trade_text(Decimal(47, -2), Quantity::resistance) == "R47");
    CHECK(trade_text(Decimal(47, -4), Quantity::resistance) == "4L7");
    CHECK(trade_text(Decimal(22, 5), Quantity::resistance) == "2M2");
    CHECK(trade_text(Decimal{}, Quantity::resistance) == "0R");
    CHECK(trade_text(Decimal(1, -7), Quantity::capacitance) == "100n");
    CHECK(trade_text(Decimal(47, -7), Quantity::capacitance) == "4u7");
    CHECK(trade_text(Decimal(33, -14), Quantity::capacitance) == "0p33");
    CHECK(trade_text(Decimal(22, -4), Quantity::capacitance) == "2m2");
    CHECK(trade_text(Decimal(12, 0), Quantity::voltage) == "12V");
    CHECK(trade_text(Decimal(63, -1), Quantity::voltage) == "6V3");
    CHECK(trade_text(Decimal(-63, -1), Quantity::voltage) == "-6V3");
    CHECK(trade_text(Decimal(5, -1), Quantity::current) == "500mA");
    CHECK(trade_text(Decimal(38, 3), Quantity::frequency) == "38kHz");
    CHECK(trade_text(Decimal(25, 0), Quantity::ratio) == "25:1");
}

TEST_CASE("measured numbers print to so many figures with their unit") {
    CHECK(engineering_text(4730, Quantity::resistance) == "4.73 kΩ");
    CHECK(engineering_text(91.8e-9, Quantity::capacitance) == "91.8 nF");
    CHECK(engineering_text(-0.12e-3, Quantity::current) == "-120 µA");
    CHECK(engineering_text(999.96, Quantity::resistance) == "1 kΩ");
    CHECK(engineering_text(0, Quantity::voltage) == "0 V");
    CHECK(engineering_text(1.0e-15, Quantity::capacitance) == "0.001 pF");
    CHECK(engineering_text(25.0, Quantity::ratio) == "25:1");
}

TEST_CASE("what is printed reads back as the same number") {
    std::mt19937 random(20240301);
    for (Quantity quantity : {Quantity::resistance, Quantity::capacitance, Quantity::inductance, Quantity::voltage, Quantity::current,
                              Quantity::frequency, Quantity::power, Quantity::ratio})
        for (int i = 0; i < 4000; ++i) {
            const auto digits = static_cast<std::int64_t>(random() % 99999 + 1);
            const int lowest = quantity == Quantity::capacitance ? -15 : quantity == Quantity::resistance ? -6 : -12;
            const int highest = quantity == Quantity::capacitance ? 0 : 12;
            const Decimal number(digits, lowest + static_cast<int>(random() % static_cast<unsigned>(highest - lowest)));
            const std::string text = trade_text(number, quantity);
            const auto read = read_value(text, quantity);
            INFO(text);
            if (!read) FAIL(read.error());
            CHECK(read->number == number);
            // A farad and more, and 2m2, are spelled with a word about what else they may mean; nothing else needs one.
            if (number.to_double() < 1e-3) CHECK(read->remarks.empty());
        }
}

TEST_CASE("reading any text ends with a value or a reason") {
    const std::string pieces[] = {"4", "7", "0", "k", "K", "M", "m", "u", "µ", "n", "p", "F", "Ω", "ohm", " ", ".", ",", "·", "/", "-", "+", "%", "½",
                                  "V", "W", "R", "E", "L", "l", "O", "B", "*", "(", ")", "±", "MFD", "SOT", ":", "red", "black", "gold", "body ",
                                  "\xff", "\xc2", "e", "H", "A", "T", "000", "104", "x", "X2", "\t"};
    std::mt19937 random(7);
    int values = 0;
    for (int i = 0; i < 60000; ++i) {
        std::string text;
        for (std::size_t n = random() % 7 + 1; n > 0; --n) text += pieces[random() % std::size(pieces)];
        ValueHabits habits;
        habits.capacitor = static_cast<CapacitorHabit>(random() % 3);
        habits.polarised = random() % 2 == 0;
        habits.marking = random() % 2 == 0;
        habits.thousands_comma = random() % 2 == 0;
        if (random() % 2 == 0) habits.year = 1930 + static_cast<int>(random() % 90);
        const auto quantity = static_cast<Quantity>(random() % 9);
        const auto value = read_value(text, quantity, habits);
        if (!value) {
            CHECK_FALSE(value.error().empty());
            continue;
        }
        ++values;
        CHECK(value->quantity == quantity);
        CHECK_FALSE(value->text.empty());
        // The number printed means the same again.
        if (value->number.exponent() > -20 && value->number.exponent() < 9 && !value->number.is_zero() && value->number > Decimal{}) {
            const auto again = read_value(trade_text(value->number, quantity), quantity);
            INFO(text << " → " << trade_text(value->number, quantity));
            REQUIRE(again);
            CHECK(again->number == value->number);
        }
    }
    CHECK(values > 1000);
}
