#include "values/number_reading.h"

#include <string>

#include "base/text.h"

namespace tallyboard::detail {

namespace {

std::size_t digits_end(std::string_view text, std::size_t at) {
    while (at < text.size() && is_digit(text[at])) ++at;
    return at;
}

// Whether exactly three digits follow `separator` at `at`.
bool group_at(std::string_view text, std::size_t at, char separator) {
    return at < text.size() && text[at] == separator && digits_end(text, at + 1) == at + 4;
}

// "22 000", but not the "10 350 V" of a capacitor and its rating.
bool blank_group_at(std::string_view text, std::size_t at, Quantity quantity) {
    if (!group_at(text, at, ' ')) return false;
    if (quantity == Quantity::voltage || quantity == Quantity::power) return true;
    std::size_t behind = at + 4;
    if (behind < text.size() && text[behind] == ' ') ++behind;
    return behind >= text.size() || (ascii_upper(text[behind]) != 'V' && ascii_upper(text[behind]) != 'W');
}

std::optional<NumberReading> made(const std::string& digits, std::size_t end) {
    const auto number = Decimal::read(digits);
    if (!number) return {};
    NumberReading reading;
    reading.number = *number;
    reading.end = end;
    return reading;
}

// "1/4" of a watt or ampere.
std::optional<NumberReading> read_fraction(std::string_view text, std::size_t at) {
    const std::size_t slash = digits_end(text, at);
    if (slash == at || slash > at + 2 || slash >= text.size() || text[slash] != '/') return {};
    const std::size_t end = digits_end(text, slash + 1);
    const auto above = Decimal::read(text.substr(at, slash - at));
    const auto below = Decimal::read(text.substr(slash + 1, end - slash - 1));
    if (!above || !below || below->is_zero() || end > slash + 3) return {};
    const auto share = quotient(*above, *below);
    if (!share) return {};
    NumberReading reading;
    reading.number = *share;
    reading.end = end;
    return reading;
}

// The comma at `whole_end`: decimal, or grouping thousands. A group of three behind one to three digits may be either;
// no one writes a decimal number with needless noughts behind it, so 22,000 and 4,700 are thousands.
std::optional<NumberReading> read_comma(std::string_view text, std::size_t at, std::size_t whole_end, const ValueHabits& habits) {
    const std::string whole(text.substr(at, whole_end - at));
    std::size_t end = whole_end;
    std::string grouped = whole;
    int groups = 0;
    for (; group_at(text, end, ','); end += 4, ++groups) grouped += text.substr(end + 1, 3);
    const bool may_group = groups > 0 && !whole.empty() && whole.size() <= 3 && whole.front() != '0';
    if (may_group && groups > 1) return made(grouped, end);
    const std::size_t behind_end = digits_end(text, whole_end + 1);
    const std::string behind(text.substr(whole_end + 1, behind_end - whole_end - 1));
    if (behind.empty()) return {};
    const auto as_decimal = made((whole.empty() ? "0" : whole) + "." + behind, behind_end);
    if (!may_group || !as_decimal) return as_decimal;
    auto as_thousands = made(grouped, end);
    if (!as_thousands) return as_decimal;
    if (habits.thousands_comma || behind == "000") return as_thousands;
    auto chosen = behind.back() == '0' ? as_thousands : as_decimal;
    chosen->other = behind.back() == '0' ? as_decimal->number : as_thousands->number;
    return chosen;
}

}  // namespace

std::optional<NumberReading> read_number(std::string_view text, std::size_t at, Quantity quantity, const ValueHabits& habits) {
    if (quantity == Quantity::power || quantity == Quantity::current)
        if (const auto fraction = read_fraction(text, at)) return fraction;
    std::size_t end = digits_end(text, at);
    if (end < text.size() && text[end] == ',') return read_comma(text, at, end, habits);
    std::string digits(text.substr(at, end - at));
    const bool may_group = !digits.empty() && digits.size() <= 3 && digits.front() != '0';
    bool grouped = false;
    while (may_group && blank_group_at(text, end, quantity)) {
        digits += text.substr(end + 1, 3);
        end += 4;
        grouped = true;
    }
    bool point = false;
    if (end < text.size() && text[end] == '.') {
        const std::size_t behind_end = digits_end(text, end + 1);
        if (digits.empty() && behind_end == end + 1) return {};
        point = true;
        digits += text.substr(end, behind_end - end);
        end = behind_end;
    }
    if (digits.empty()) return {};
    auto reading = made(digits, end);
    if (reading) reading->plain_digits = !point && !grouped;
    return reading;
}

std::optional<Decimal> quotient(const Decimal& one, const Decimal& other) {
    if (other.is_zero()) return {};
    if (one.is_zero()) return Decimal{};
    // Long division to nineteen figures, the last one rounds. Both signs are kept by dividing magnitudes.
    const bool negative = (one.digits() < 0) != (other.digits() < 0);
    __int128 rest = one.digits() < 0 ? -one.digits() : one.digits();
    const __int128 divisor = other.digits() < 0 ? -other.digits() : other.digits();
    int exponent = one.exponent() - other.exponent();
    __int128 digits = rest / divisor;
    rest %= divisor;
    constexpr __int128 full = 1'000'000'000'000'000'000;  // 10^18
    while (digits < full && !(rest == 0)) {
        rest *= 10;
        digits = digits * 10 + rest / divisor;
        rest %= divisor;
        --exponent;
    }
    while (digits >= full) {
        const bool up = digits % 10 >= 5;
        digits = digits / 10 + (up ? 1 : 0);
        ++exponent;
    }
    if (exponent > 40 || exponent < -60) return {};
    return Decimal(static_cast<std::int64_t>(negative ? -digits : digits), exponent);
}

}  // namespace tallyboard::detail
