#include "values/decimal.h"

#include <algorithm>
#include <cstdlib>
#include <stdexcept>

#include "base/number_text.h"
#include "base/text.h"

namespace tallyboard {

namespace {

constexpr int max_digits = 18;
constexpr int max_exponent = 60;

int count_digits(std::int64_t number) {
    int count = 0;
    for (; number != 0; number /= 10) ++count;
    return count;
}

// number × 10^power, which must fit.
__int128 raised(std::int64_t number, int power) {
    __int128 result = number;
    for (int i = 0; i < power; ++i) result *= 10;
    return result;
}

}  // namespace

Decimal::Decimal(std::int64_t digits, int exponent) : digits_(digits), exponent_(digits == 0 ? 0 : exponent) {
    while (digits_ != 0 && digits_ % 10 == 0) {
        digits_ /= 10;
        ++exponent_;
    }
    if (count_digits(digits_) > max_digits || std::abs(exponent_) > max_exponent)
        throw std::logic_error("a decimal out of range");
}

std::optional<Decimal> Decimal::read(std::string_view text) {
    const bool negative = !text.empty() && text.front() == '-';
    if (negative) text.remove_prefix(1);
    const std::size_t point = text.find('.');
    const std::string_view whole = text.substr(0, point);
    const std::string_view behind = point == std::string_view::npos ? std::string_view{} : text.substr(point + 1);
    std::string digits(whole);
    digits += behind;
    if (digits.empty() || digits.size() > 100) return {};
    for (char c : digits)
        if (!is_digit(c)) return {};

    int exponent = -static_cast<int>(behind.size());
    while (!digits.empty() && digits.back() == '0') {
        digits.pop_back();
        ++exponent;
    }
    const std::size_t first = digits.find_first_not_of('0');
    if (first == std::string::npos) return Decimal{};
    digits.erase(0, first);
    // Within 40 places of one a prefix of any unit can still be applied; nothing in the trade is larger or smaller.
    if (digits.size() > max_digits || std::abs(exponent) > 40) return {};
    std::int64_t number = 0;
    for (char c : digits) number = number * 10 + (c - '0');
    return Decimal(negative ? -number : number, exponent);
}

double Decimal::to_double() const {
    // Through the text, so that the nearest double comes out whatever the power of ten.
    return read_double(std::to_string(digits_) + "e" + std::to_string(exponent_)).value_or(0.0);
}

std::string Decimal::to_text() const {
    std::string digits = std::to_string(digits_ < 0 ? -digits_ : digits_);
    if (exponent_ >= 0) {
        digits.append(static_cast<std::size_t>(exponent_), '0');
    } else {
        const auto behind = static_cast<std::size_t>(-exponent_);
        if (digits.size() <= behind) digits.insert(0, behind + 1 - digits.size(), '0');
        digits.insert(digits.size() - behind, ".");
    }
    return digits_ < 0 ? "-" + digits : digits;
}

std::strong_ordering operator<=>(const Decimal& a, const Decimal& b) {
    const auto sign = [](const Decimal& d) { return d.digits_ == 0 ? 0 : d.digits_ < 0 ? -1 : 1; };
    if (sign(a) != sign(b) || sign(a) == 0) return sign(a) <=> sign(b);
    // The same sign: the place of the leading digit decides, and only where that is equal the digits do, which then differ
    // by at most 17 powers of ten.
    const int a_place = count_digits(a.digits_) + a.exponent_;
    const int b_place = count_digits(b.digits_) + b.exponent_;
    if (a_place != b_place) return sign(a) > 0 ? a_place <=> b_place : b_place <=> a_place;
    const int least = std::min(a.exponent_, b.exponent_);
    const __int128 a_scaled = raised(a.digits_, a.exponent_ - least);
    const __int128 b_scaled = raised(b.digits_, b.exponent_ - least);
    return a_scaled < b_scaled   ? std::strong_ordering::less
           : a_scaled > b_scaled ? std::strong_ordering::greater
                                 : std::strong_ordering::equal;
}

std::optional<Decimal> Decimal::sum(const Decimal& a, const Decimal& b) {
    if (a.is_zero()) return b;
    if (b.is_zero()) return a;
    int least = std::min(a.exponent_, b.exponent_);
    if (a.exponent_ - least > max_digits || b.exponent_ - least > max_digits) return {};
    __int128 total = raised(a.digits_, a.exponent_ - least) + raised(b.digits_, b.exponent_ - least);
    for (; total != 0 && total % 10 == 0; total /= 10) ++least;
    const __int128 limit = raised(1, max_digits);
    if (total >= limit || total <= -limit || std::abs(least) > max_exponent) return {};
    return Decimal(static_cast<std::int64_t>(total), least);
}

}  // namespace tallyboard
