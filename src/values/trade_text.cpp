#include <cmath>
#include <string>

#include "base/number_text.h"
#include "values/value.h"

namespace tallyboard {

namespace {

struct Prefix { int power; const char* at_point; const char* written; };

constexpr Prefix prefixes[] = {
    {9, "G", "G"}, {6, "M", "M"}, {3, "k", "k"}, {0, "", ""}, {-3, "m", "m"}, {-6, "u", "µ"}, {-9, "n", "n"}, {-12, "p", "p"},
};

// The letter that stands at the decimal point: the prefix, or the unit's own where there is none.
std::string letter_of(const Prefix& prefix, Quantity quantity) {
    // A small m on a resistor may be read as mega; L is IEC 60062's letter for milliohms.
    if (quantity == Quantity::resistance && prefix.power == -3) return "L";
    if (prefix.power != 0) return prefix.at_point;
    return quantity == Quantity::resistance ? "R" : std::string(unit_symbol(quantity));
}

bool is_usual(const Prefix& prefix, Quantity quantity) {
    switch (quantity) {
        case Quantity::resistance: return prefix.power >= -3;
        case Quantity::capacitance: return prefix.power <= 0;
        case Quantity::inductance: return prefix.power <= 0 && prefix.power >= -9;
        case Quantity::voltage: return prefix.power <= 3 && prefix.power >= -9;
        case Quantity::current: return prefix.power <= 0;
        case Quantity::frequency: return prefix.power >= 0;
        case Quantity::power: return prefix.power <= 3 && prefix.power >= -6;
        case Quantity::none:
        case Quantity::ratio: break;
    }
    return true;
}

// The largest usual prefix that leaves a number of at least one; the smallest one for less.
const Prefix& prefix_for(int leading_place, Quantity quantity) {
    const Prefix* last = nullptr;
    for (const Prefix& prefix : prefixes) {
        if (!is_usual(prefix, quantity)) continue;
        last = &prefix;
        if (leading_place >= prefix.power) return prefix;
    }
    return *last;
}

// Power of ten of the leading digit.
int leading_place(const Decimal& number) {
    int place = number.exponent();
    for (std::int64_t rest = number.digits() / 10; rest != 0; rest /= 10) ++place;
    return place;
}

}  // namespace

std::string trade_text(const Decimal& number, Quantity quantity) {
    if (quantity == Quantity::none) return number.to_text();
    if (quantity == Quantity::ratio) return number.to_text() + ":1";
    const std::string unit(unit_symbol(quantity));
    if (number.is_zero()) return quantity == Quantity::resistance ? "0R" : "0" + unit;
    if (number < Decimal{}) return "-" + trade_text(Decimal(-number.digits(), number.exponent()), quantity);

    const bool below_one_ohm = quantity == Quantity::resistance && leading_place(number) < 0 && leading_place(number) >= -2;
    const Prefix& prefix = below_one_ohm ? prefixes[3] : prefix_for(leading_place(number), quantity);
    const std::string scaled = number.scaled(-prefix.power).to_text();
    const std::size_t point = scaled.find('.');
    const std::string whole = scaled.substr(0, point);
    const std::string behind = point == std::string::npos ? "" : scaled.substr(point + 1);
    // R, C and L are written with the letter at the point; so are volts and amperes without a prefix (6V3, 1A6). The others
    // read better with their unit behind.
    const bool at_point = quantity == Quantity::resistance || quantity == Quantity::capacitance ||
                          quantity == Quantity::inductance ||
                          (prefix.power == 0 && (quantity == Quantity::voltage || quantity == Quantity::current));
    if (!at_point) return scaled + prefix.at_point + unit;
    // A hundred farads and more stand apart from their unit: right behind three figures F is a tolerance.
    if (quantity == Quantity::capacitance && prefix.power == 0 && whole.size() > 2 && behind.empty()) return whole + " F";
    if (whole == "0" && quantity == Quantity::resistance) return letter_of(prefix, quantity) + behind;  // R47
    return whole + letter_of(prefix, quantity) + behind;
}

std::string engineering_text(double si, Quantity quantity, int digits) {
    if (quantity == Quantity::ratio) return rounded_text(si, digits) + ":1";
    const std::string unit(unit_symbol(quantity));
    const std::string gap = unit.empty() ? "" : " ";
    if (si == 0 || unit.empty()) return rounded_text(si, digits) + gap + unit;
    // Rounded first, so that 999.96 Ω to three digits is 1 kΩ and not 1000 Ω.
    const std::string rounded = rounded_text(std::abs(si), digits);
    int place = static_cast<int>(std::floor(std::log10(read_double(rounded).value_or(std::abs(si)) * (1 + 1e-12))));
    if (place < -12) place = -12;
    const Prefix* prefix = &prefixes[7];
    for (const Prefix& candidate : prefixes) {
        if (place < candidate.power) continue;
        prefix = &candidate;
        break;
    }
    return rounded_text(si / std::pow(10.0, prefix->power), digits) + gap + prefix->written + unit;
}

}  // namespace tallyboard
