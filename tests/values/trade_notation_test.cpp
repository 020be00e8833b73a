#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include "values/span_text.h"
#include "values/value.h"

using namespace tallyboard;

namespace {

constexpr auto R = Quantity::resistance;
constexpr auto C = Quantity::capacitance;
constexpr auto L = Quantity::inductance;
constexpr auto V = Quantity::voltage;
constexpr auto A = Quantity::current;
constexpr auto F = Quantity::frequency;
constexpr auto P = Quantity::power;

const ValueHabits plain;
const ValueHabits polarised{.polarised = true};
const ValueHabits marking{.marking = true};

enum class Said { nothing, once, each };  // what is told about the reading: per drawing, or for every value

struct Row {
    const char* written;
    Quantity quantity;
    std::int64_t digits;
    int exponent;
    Said said = Said::nothing;
    ValueHabits habits = plain;
};

const std::vector<Row> rows{
    // The letter at the decimal point, IEC 60062.
    {"4k7", R, 47, 2}, {"4K7", R, 47, 2}, {"47k", R, 47, 3}, {"47K", R, 47, 3}, {"2M2", R, 22, 5}, {"6R8", R, 68, -1},
    {"R47", R, 47, -2}, {"1k0", R, 1, 3}, {"L10", R, 1, -4}, {"4L7", R, 47, -4}, {"8r2", R, 82, -1}, {"k47", R, 470, 0},
    {"p33", C, 33, -14}, {"4n7", C, 47, -10}, {"1µ5", C, 15, -7}, {"1μ5", C, 15, -7}, {"1u5", C, 15, -7}, {"10n", C, 10, -9},
    {"2m2", C, 22, -4, Said::each}, {"2p2", C, 22, -13},
    {"2m2", L, 22, -4}, {"47m", L, 47, -3}, {"100u", L, 100, -6}, {"4H", L, 4, 0}, {"0.5H", L, 5, -1}, {"4H7", L, 47, -1},
    {"30 Hy", L, 30, 0}, {"10 MH", L, 10, -3, Said::each}, {"100 µH", L, 1, -4},
    // Plain numbers on resistors.
    {"100", R, 100, 0}, {"22 000", R, 22000, 0}, {"22 000", R, 22000, 0}, {"47000", R, 47000, 0}, {"22,000", R, 22000, 0},
    {"1,000,000", R, 1, 6}, {"8", R, 8, 0}, {"8 ohm", R, 8, 0}, {"8R", R, 8, 0}, {"15Ω", R, 15, 0}, {"15\u2126", R, 15, 0},
    {"15 ω", R, 15, 0}, {"15 ohms", R, 15, 0},
    // Old drawings.
    {"470 K", R, 470, 3}, {".47 M", R, 47, 4}, {"2.2 MEG", R, 22, 5}, {"1 MEGOHM", R, 1, 6}, {"1MΩ", R, 1, 6},
    {"4.7 kΩ", R, 47, 2}, {"4.7 kilo-ohms", R, 47, 2}, {"4,7k", R, 47, 2}, {"4·7k", R, 47, 2}, {"0,47", R, 47, -2},
    {"100 E", R, 100, 0}, {"4E7", R, 47, -1},
    // Capacitors without a unit.
    {".05", C, 5, -8, Said::once}, {".0047", C, 47, -10, Said::once}, {"0.1", C, 1, -7, Said::once}, {"8", C, 8, -12, Said::each},
    {"16", C, 16, -12}, {"100", C, 1, -10}, {"8", C, 8, -6, Said::once, polarised}, {"16", C, 16, -6, Said::once, polarised},
    {"100", C, 1, -4, Said::once, polarised}, {"8", C, 8, -6, Said::nothing, {.capacitor = CapacitorHabit::microfarad}},
    {".5", C, 5, -13, Said::nothing, {.capacitor = CapacitorHabit::picofarad}},
    {"100", C, 1, -4, Said::nothing, {.capacitor = CapacitorHabit::microfarad}},
    // Microfarads and picofarads of all periods.
    {".1 MF", C, 1, -7}, {".1 MFD", C, 1, -7}, {".1 mfd", C, 1, -7}, {".1 mF", C, 1, -7}, {"0.1 µF", C, 1, -7}, {"0.1uF", C, 1, -7},
    {"0.1 UF", C, 1, -7}, {"8 mike", C, 8, -6}, {"8 MFD", C, 8, -6}, {"1 MF", C, 1, -6, Said::each},
    {"1 MF", C, 1, -6, Said::nothing, {.year = 1952}}, {"10 m", C, 1, -2, Said::each}, {"10 m", C, 1, -5, Said::nothing, {.year = 1952}},
    {"10m", C, 1, -2, Said::nothing, {.year = 1991}},
    {"250 MMF", C, 25, -11}, {"250 mmf", C, 25, -11}, {"250 MMFD", C, 25, -11}, {"250 µµF", C, 25, -11}, {"250 uuF", C, 25, -11},
    {"250 UUF", C, 25, -11}, {"250 mickey-mike", C, 25, -11}, {"250 puff", C, 25, -11}, {"4,7 nF", C, 47, -10}, {"0.47F", C, 47, -2},
    {"10F", C, 10, 0, Said::each}, {"4n7F", C, 47, -10}, {"4µF7", C, 47, -7},
    // A letter behind a plain number of picofarads is a tolerance on a drawing.
    {"104K", C, 104, -12, Said::each}, {"220K", C, 22, -11, Said::each}, {"47K", C, 47, -12, Said::each}, {".1K", C, 1, -7, Said::each},
    {"100F", C, 1, -10, Said::each}, {"10M", C, 10, -12, Said::each}, {"10M", C, 10, -6, Said::each, polarised},
    // Codes on parts.
    {"104K", C, 1, -7, Said::nothing, marking}, {"104", C, 1, -7, Said::nothing, marking}, {"473J", C, 47, -9, Said::nothing, marking},
    {"221K", C, 22, -11, Said::nothing, marking}, {"4R7", C, 47, -13, Said::nothing, marking}, {"479", C, 47, -13, Said::nothing, marking},
    {"228", C, 22, -14, Said::nothing, marking}, {"220K", C, 22, -12, Said::each, marking}, {"100", C, 10, -12, Said::each, marking},
    {"104K 100V", C, 1, -7, Said::nothing, marking}, {"473K/400V", C, 47, -9, Said::nothing, marking}, {"103 50V", C, 1, -8, Said::nothing, marking},
    {"2A104J", C, 1, -7, Said::nothing, marking}, {"4700", C, 47, -10, Said::nothing, marking},
    {"106", C, 10, -6, Said::nothing, {.polarised = true, .marking = true}},
    {"100", C, 1, -4, Said::once, {.polarised = true, .marking = true}}, {"4R7", C, 47, -7, Said::nothing, {.polarised = true, .marking = true}},
    {"1003", R, 1, 5, Said::nothing, marking}, {"4992", R, 499, 2, Said::nothing, marking}, {"01C", R, 1, 4, Said::nothing, marking},
    {"103", R, 1, 4, Said::nothing, marking}, {"100K", R, 1, 5, Said::nothing, marking}, {"4k7J", R, 47, 2, Said::nothing, marking},
    {"101", L, 1, -4, Said::nothing, marking}, {"000", R, 0, 0, Said::nothing, marking},
    {"yellow violet orange silver", R, 47, 3, Said::nothing, marking}, {"YE VT OG SR", R, 47, 3, Said::nothing, marking},
    {"black", R, 0, 0, Said::nothing, marking},
    // Links drawn as resistors.
    {"0", R, 0, 0}, {"0R", R, 0, 0}, {"0R0", R, 0, 0}, {"000", R, 0, 0},
    // Ratings, tolerances and laws are no part of the number.
    {"10/50", C, 10, -6, Said::once, polarised}, {"10µ/50", C, 10, -6}, {"10 MFD 50 V", C, 10, -6}, {"10-50", C, 10, -6, Said::once, polarised},
    {"25+25 µF/350 V", C, 25, -6, Said::each}, {"47K ½W", R, 47, 3}, {"47K½W", R, 47, 3}, {"10k 2W", R, 10, 3}, {"10k 1/4 W", R, 10, 3},
    {"100n 250 V~", C, 1, -7}, {"100n 275 V X2", C, 1, -7}, {"100n/400V", C, 1, -7}, {"4k7J", R, 47, 2}, {"4k7 5%", R, 47, 2},
    {"4k7 ±5 %", R, 47, 2}, {"100n K", C, 1, -7}, {"100nK", C, 1, -7}, {"22p NP0", C, 22, -12}, {"22u bipolar", C, 22, -6},
    {"500KA", R, 5, 5}, {"A500K", R, 5, 5}, {"10kB", R, 10, 3, Said::each}, {"100K log", R, 1, 5}, {"50k lin", R, 50, 3},
    {"10k*", R, 10, 3}, {"*10k", R, 10, 3}, {"10k SOT", R, 10, 3}, {"SELECT 10k", R, 10, 3}, {"10k AOT", R, 10, 3}, {"10k NOM", R, 10, 3},
    // Small m and commas.
    {"1 m", R, 1, 6, Said::each}, {"4.7 m", R, 47, 5, Said::each}, {"4.7 mΩ", R, 47, -4, Said::each},
    {"4,700", R, 4700, 0, Said::each}, {"4,725", R, 4725, -3, Said::each}, {"4,725", R, 4725, 0, Said::nothing, {.thousands_comma = true}},
    {"0,100", R, 1, -1}, {"1,5", R, 15, -1},
    // Volts, amperes, hertz, watts, turns.
    {"6V3", V, 63, -1}, {"12V", V, 12, 0}, {"6.3V", V, 63, -1}, {"400 V", V, 400, 0}, {"24", V, 24, 0}, {"-3.92V", V, -392, -2},
    {"−15 V", V, -15, 0}, {"+24V", V, 24, 0}, {"200mV", V, 2, -1}, {"1.5 kV", V, 15, 2}, {"6.3 V AC", V, 63, -1},
    {"1A", A, 1, 0}, {"T500mA", A, 5, -1}, {"2A F", A, 2, 0}, {"1A6", A, 16, -1}, {"500 mA T", A, 5, -1}, {"8.1mA", A, 81, -4},
    {"500 MA", A, 5, -1, Said::each}, {"1/4 A", A, 25, -2}, {"T 3.15A 250V", A, 315, -2}, {"1.6AT", A, 16, -1}, {"-40µA", A, -4, -5},
    {"38kHz", F, 38, 3}, {"1M0", F, 1, 6}, {"10.7 MHz", F, 107, 5}, {"50 c/s", F, 50, 0}, {"455 kc/s", F, 455, 3}, {"1000", F, 1000, 0},
    {"½ W", P, 5, -1}, {"1/4W", P, 25, -2}, {"0W5", P, 5, -1}, {"250mW", P, 25, -2},
    {"9V PP3", V, 9, 0}, {"6.3V 150mA", V, 63, -1}, {"25:1", Quantity::ratio, 25, 0}, {"1:2", Quantity::ratio, 5, -1}, {"25 : 1", Quantity::ratio, 25, 0},
};

Said said(const Value& value) {
    Said most = Said::nothing;
    for (const ValueRemark& remark : value.remarks) most = std::max(most, remark.always ? Said::each : Said::once);
    return most;
}

Value read(const char* text, Quantity quantity, const ValueHabits& habits = plain) {
    auto value = read_value(text, quantity, habits);
    INFO(text);
    if (!value) FAIL(value.error());
    return *value;
}

std::string failure(const char* text, Quantity quantity, const ValueHabits& habits = plain) {
    const auto value = read_value(text, quantity, habits);
    INFO(text);
    REQUIRE_FALSE(value);
    return value.error();
}

}  // namespace

TEST_CASE("every notation of the trade reads as its number and says what it assumed") {
    for (const Row& row : rows) {
        INFO(row.written << " as " << quantity_name(row.quantity));
        const auto value = read_value(row.written, row.quantity, row.habits);
        if (!value) {
            FAIL_CHECK(value.error());
            continue;
        }
        CHECK(value->number.to_text() == Decimal(row.digits, row.exponent).to_text());
        std::string remarks;
        for (const ValueRemark& remark : value->remarks) remarks += remark.says + "; ";
        INFO(remarks);
        CHECK(said(*value) == row.said);
        CHECK(value->quantity == row.quantity);
        for (const ValueRemark& remark : value->remarks) CHECK(remark.always == remark.habit.empty());
    }
}

TEST_CASE("a value written another way agrees") {
    const std::vector<std::vector<const char*>> same_ohms{{"4k7", "4.7k", "4700", "4,7k", "4.7 kOhm", "4K7", "4.7 KΩ", "4 700", "0.0047M"},
                                                         {"1M", "1 MEG", "1000k", "1 megohm", "1000000", "1M0"}};
    for (const auto& texts : same_ohms)
        for (const char* text : texts) CHECK(read(text, R).number == read(texts[0], R).number);
    for (const char* text : {"0.1u", "100n", "100000p", ".1", "0,1 µF", "100 nF", ".1 MFD"})
        CHECK(read(text, C).number == Decimal(1, -7));
}

TEST_CASE("tolerances and ratings are read beside the number") {
    CHECK(read("4k7J", R).tolerance == Tolerance{0.05, 0.05});
    CHECK(read("4k7 ±10 %", R).tolerance == Tolerance{0.1, 0.1});
    CHECK(read("100u -20/+80%", C).tolerance == Tolerance{0.2, 0.8});
    CHECK(read("104K", C, marking).tolerance == Tolerance{0.1, 0.1});
    CHECK(read("220K", C).tolerance == Tolerance{0.1, 0.1});
    CHECK(read("yellow violet orange silver", R, marking).tolerance == Tolerance{0.1, 0.1});
    CHECK_FALSE(read("4k7", R).tolerance);
    // Below 10 pF the letters are absolute.
    CHECK(read("5p D", C).tolerance->plus == Approx(0.1));
    CHECK(read("47K½W", R).rating == "½W");
    CHECK(read("47K ½ W", R).rating == "½ W");
    CHECK(read("10/50", C, polarised).rating == "50");
    CHECK(read("25+25 µF/350 V", C).rating == "350 V");
    CHECK(read("100n 275 V X2", C).rating == "275 V X2");
    CHECK(read("500KA", R).rating == "A");
    CHECK(read("T500mA", A).rating == "T");
    CHECK(read("T 3.15A 250V", A).rating == "T 250V");
}

TEST_CASE("values chosen at test are told from others") {
    for (const char* text : {"10k*", "*10k", "10k SOT", "SELECT 10k", "10k AOT", "10k FSV", "10k *"}) CHECK(read(text, R).chosen_at_test);
    CHECK_FALSE(read("10k", R).chosen_at_test);
}

TEST_CASE("what else a text may mean stands beside the reading") {
    CHECK(read("220K", C).other_readings == std::vector<Decimal>{Decimal(22, -12)});
    CHECK(read("220K", C, marking).other_readings == std::vector<Decimal>{Decimal(22, -11)});
    CHECK(read("104K", C).other_readings == std::vector<Decimal>{Decimal(1, -7)});
    CHECK(read("104K", C, marking).other_readings.empty());
    CHECK(read("8", C).other_readings == std::vector<Decimal>{Decimal(8, -6)});
    CHECK(read("4,700", R).other_readings == std::vector<Decimal>{Decimal(47, -1)});
    CHECK(read("1 m", R).other_readings == std::vector<Decimal>{Decimal(1, -3)});
    // Brown from either end makes two values of the series.
    const Value bands = read("brown red orange brown", R, marking);
    CHECK(bands.number == Decimal(12, 3));
    CHECK(bands.other_readings == std::vector<Decimal>{Decimal(1300, 0)});
}

TEST_CASE("the remark names both readings in words to copy") {
    const Value value = read("8", C);
    REQUIRE(value.remarks.size() == 1);
    CHECK(value.remarks[0].says == "8 read as 8 pF; write 8 µF if meant");
    const Value small = read(".05", C);
    REQUIRE(small.remarks.size() == 1);
    CHECK(small.remarks[0].habit == "capacitors without a unit, below 1, read as µF");
}

TEST_CASE("a letter that a scan confused with a digit is named") {
    const auto names = [](const char* text, const char* slip, const char* mended) {
        const std::string why = failure(text, R);
        INFO(why);
        CHECK(why.find(slip) != std::string::npos);
        CHECK(why.find(mended) != std::string::npos);
    };
    names("l0k", "a letter l for the digit 1", "10k");
    names("1OOK", "a letter O for the digit 0", "100K");
    names("6B8", "a letter B for the digit 8", "688");
    names("5Ol", "a letter O for the digit 0", "501");
    names("lk5", "a letter l for the digit 1", "1k5");
}

TEST_CASE("what is no value says what it seems to be") {
    const auto has = [](const std::string& why, const char* word) {
        INFO(why);
        CHECK(why.find(word) != std::string::npos);
    };
    has(failure("BC109", R), "type number");
    has(failure("1N4148", R), "type number");
    has(failure("10 mfx", C), "x is no tolerance letter");
    has(failure("100mA", Quantity::voltage), "is a current; a voltage is wanted");
    has(failure("24V", R), "is a voltage; a resistance is wanted");
    has(failure("10 frogs", C), "not understood");
    has(failure("400V", R), "a voltage");
    has(failure("4k7", C), "a resistance");
    has(failure("100n", R), "a capacitance");
    has(failure("n.c.", R), "fit=\"no\"");
    has(failure("SOT", R), "10k*");
    has(failure("1e3", R), "4k7");
    has(failure("100", L), "µH");
    has(failure("0.5", L), "H");
    has(failure("1:1+1", Quantity::ratio), "winding");
    has(failure("25", Quantity::ratio), "25:1");
    has(failure("16+32 µF", C), "package=");
    has(failure("4R7", C), "code printed on parts");
    has(failure("47k", C), "K");
    has(failure("red black", C, marking), "several systems");
    for (const char* text : {"", "   ", "k", "4k7k", "4.7.1", "4.7k2", "-", "abc", "?", "-4k7", "47kfoo", "10 000 00"})
        CHECK_FALSE(read_value(text, R));
    CHECK_FALSE(read_value(std::string(5000, '1'), R));
    CHECK_FALSE(read_value("1" + std::string(30, '0') + "k5", C));
}

TEST_CASE("a span is told to as many digits as tell its ends apart") {
    CHECK(span_text(228.4, 268.9, Quantity::voltage) == "228 V to 269 V");
    CHECK(span_text(13.31, 13.34, Quantity::voltage) == "13.31 V to 13.34 V");
    CHECK(span_text(0.98, 1.02, Quantity::voltage) == "980 mV to 1.02 V");
    CHECK(span_text(9.0, 9.0000001, Quantity::voltage) == "9 V");
}
