#include "values/tolerance.h"

#include <optional>
#include <string>

#include "base/number_text.h"
#include "base/text.h"
#include "values/plain_form.h"
#include "values/value.h"

namespace tallyboard {

namespace {

struct ToleranceLetter {
    char letter;
    Tolerance relative;
    double picofarads;  // below 10 pF the letter is absolute: ± so many pF; 0: it is not
};

// IEC 60062; P, "guaranteed minimum", is the EIA's.
constexpr ToleranceLetter letters[] = {
    {'B', {0.001, 0.001}, 0.1}, {'C', {0.0025, 0.0025}, 0.25}, {'D', {0.005, 0.005}, 0.5}, {'F', {0.01, 0.01}, 1},
    {'G', {0.02, 0.02}, 2},     {'J', {0.05, 0.05}, 0},        {'K', {0.1, 0.1}, 0},       {'M', {0.2, 0.2}, 0},
    {'N', {0.3, 0.3}, 0},       {'Q', {0.1, 0.3}, 0},          {'T', {0.1, 0.5}, 0},       {'S', {0.2, 0.5}, 0},
    {'Z', {0.2, 0.8}, 0},       {'P', {0, 1}, 0},
};

// Digits with a decimal point or comma from `at` on; moves `at` behind them.
std::optional<double> take_number(std::string_view text, std::size_t& at) {
    std::string digits;
    std::size_t i = at;
    for (; i < text.size() && (is_digit(text[i]) || text[i] == '.' || text[i] == ','); ++i)
        digits += text[i] == ',' ? '.' : text[i];
    if (digits.size() > 12) return {};
    if (!digits.empty() && digits.front() == '.') digits.insert(0, "0");
    const auto number = read_double(digits);
    if (number) at = i;
    return number;
}

void skip_blanks(std::string_view text, std::size_t& at) {
    while (at < text.size() && text[at] == ' ') ++at;
}

bool take(std::string_view text, std::size_t& at, std::string_view word) {
    if (text.substr(at).substr(0, word.size()) != word) return false;
    at += word.size();
    return true;
}

// "-20", "+80" with its sign.
struct Signed { char sign; double number; };
std::optional<Signed> take_signed(std::string_view text, std::size_t& at) {
    std::size_t i = at;
    if (i >= text.size() || (text[i] != '+' && text[i] != '-')) return {};
    const char sign = text[i++];
    const auto number = take_number(text, i);
    if (!number) return {};
    at = i;
    return Signed{sign, *number};
}

// "-20/+80 %", "+80-20%", "-20% +80%".
std::optional<Tolerance> take_two_sided(std::string_view text, std::size_t& at) {
    std::size_t i = at;
    const auto one = take_signed(text, i);
    if (!one) return {};
    skip_blanks(text, i);
    take(text, i, "%");
    skip_blanks(text, i);
    if (!take(text, i, "/")) take(text, i, "...");
    skip_blanks(text, i);
    const auto other = take_signed(text, i);
    if (!other || other->sign == one->sign) return {};
    skip_blanks(text, i);
    if (!take(text, i, "%")) return {};
    at = i;
    const double minus = one->sign == '-' ? one->number : other->number;
    const double plus = one->sign == '-' ? other->number : one->number;
    return Tolerance{minus / 100, plus / 100};
}

// "10%", "+/-5 %", "+-5%".
std::optional<Tolerance> take_symmetric(std::string_view text, std::size_t& at) {
    std::size_t i = at;
    if (!take(text, i, "+/-")) take(text, i, "+-");
    skip_blanks(text, i);
    const auto number = take_number(text, i);
    if (!number) return {};
    skip_blanks(text, i);
    if (!take(text, i, "%") && !take(text, i, "per cent") && !take(text, i, "pct")) return {};
    at = i;
    return Tolerance{*number / 100, *number / 100};
}

}  // namespace

namespace detail {

std::optional<Tolerance> tolerance_letter(char letter, std::optional<double> farads) {
    for (const ToleranceLetter& row : letters) {
        if (row.letter != letter) continue;
        if (farads && *farads > 0 && *farads < 9.9999e-12 && row.picofarads > 0) {
            const double share = row.picofarads * 1e-12 / *farads;
            return Tolerance{share, share};
        }
        return row.relative;
    }
    return {};
}

std::optional<Tolerance> take_percent_tolerance(std::string_view plain, std::size_t& at) {
    if (const auto both = take_two_sided(plain, at)) return both;
    return take_symmetric(plain, at);
}

}  // namespace detail

Result<Tolerance> read_tolerance(std::string_view text) {
    const detail::PlainForm form = detail::plain_form(text);
    const std::string& plain = form.text;
    if (plain.size() == 1)
        if (const auto tolerance = detail::tolerance_letter(plain[0], {})) return *tolerance;
    std::size_t at = 0;
    const auto tolerance = detail::take_percent_tolerance(plain, at);
    if (!tolerance || at != plain.size())
        return Failure{"“" + form.written + "” is no tolerance; write it like 10%, -20/+80% or a letter such as J"};
    if (tolerance->minus > 1 || tolerance->plus > 10)
        return Failure{"“" + form.written + "” is more than a tolerance can be"};
    return *tolerance;
}

Result<double> read_share(std::string_view text) {
    const detail::PlainForm form = detail::plain_form(text);
    std::size_t at = 0;
    auto number = take_number(form.text, at);
    skip_blanks(form.text, at);
    if (number && take(form.text, at, "%")) *number /= 100;
    if (!number || at != form.text.size() || *number > 1)
        return Failure{"“" + form.written + "” is no share; write it from 0 to 1, or like 15%"};
    return *number;
}

}  // namespace tallyboard
