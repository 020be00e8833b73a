// values: trade notation, exact decimals, quantities and units, tolerances, colour bands, dates. It knows nothing of parts
// and nets.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace tallyboard {

// An exact decimal number: digits × 10^exponent, kept without trailing zeros, so that equal numbers have equal members.
// "The same number" is decided on these: with doubles 0.0022e-6 and 2.2e-9 differ.
class Decimal {
public:
    Decimal() = default;
    // digits × 10^exponent. std::logic_error beyond 18 digits or |exponent| > 60 after normalising.
    Decimal(std::int64_t digits, int exponent);
    // "47", ".047", "-4.7": plain digits with a decimal point, at most 18 significant digits; else nothing.
    static std::optional<Decimal> read(std::string_view text);

    std::int64_t digits() const { return digits_; }
    int exponent() const { return exponent_; }
    bool is_zero() const { return digits_ == 0; }
    Decimal scaled(int power_of_ten) const { return Decimal(digits_, exponent_ + power_of_ten); }
    // Nearest double.
    double to_double() const;
    // Plain notation: 0.0047, 4700.
    std::string to_text() const;

    friend bool operator==(const Decimal&, const Decimal&) = default;
    friend std::strong_ordering operator<=>(const Decimal& a, const Decimal& b);
    // Exact; nothing where the sum needs more than 18 digits.
    static std::optional<Decimal> sum(const Decimal& a, const Decimal& b);

private:
    std::int64_t digits_ = 0;
    int exponent_ = 0;
};

}  // namespace tallyboard
