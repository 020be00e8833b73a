#include "values/digit_code.h"

#include "base/text.h"
#include "values/tolerance.h"

namespace tallyboard::detail {

namespace {

// EIA-96: the code 01 … 96 is the place in E96; the letter multiplies.
std::optional<Decimal> read_eia96(std::string_view code) {
    if (code.size() != 3 || !is_digit(code[0]) || !is_digit(code[1])) return {};
    const int place = (code[0] - '0') * 10 + (code[1] - '0');
    if (place < 1 || place > 96) return {};
    constexpr std::pair<char, int> multipliers[] = {{'Z', -3}, {'Y', -2}, {'R', -2}, {'X', -1}, {'S', -1}, {'A', 0},
                                                    {'B', 1},  {'H', 1},  {'C', 2},  {'D', 3},  {'E', 4},  {'F', 5}};
    for (const auto& [letter, power] : multipliers)
        if (letter == code[2]) return Decimal(e_series(96)[static_cast<std::size_t>(place - 1)], power);
    return {};
}

// Digits and a last one that counts zeros; 8 is ×0.01 and 9 is ×0.1.
Decimal read_zeros_code(std::string_view digits) {
    std::int64_t number = 0;
    for (char c : digits.substr(0, digits.size() - 1)) number = number * 10 + (c - '0');
    const int last = digits.back() - '0';
    return Decimal(number, last == 8 ? -2 : last == 9 ? -1 : last);
}

// 4R7, R47, 47R: the letter at the decimal point, in code units.
std::optional<Decimal> read_point_code(std::string_view code) {
    const std::size_t point = code.find('R');
    if (point == std::string_view::npos) return {};
    std::string text(code);
    text[point] = '.';
    return Decimal::read(text);
}

}  // namespace

int code_unit_power(Quantity quantity) {
    return quantity == Quantity::capacitance ? -12 : quantity == Quantity::inductance ? -6 : 0;
}

std::optional<Value> read_digit_code(std::string_view plain, Quantity quantity, const ValueHabits& habits) {
    if (quantity != Quantity::resistance && quantity != Quantity::capacitance && quantity != Quantity::inductance) return {};
    std::string_view code = plain;
    Value value;
    value.quantity = quantity;
    if (quantity == Quantity::resistance)
        if (const auto number = read_eia96(code)) {
            value.number = *number;
            return value;
        }
    // A voltage code, "2A104J": a digit and a letter before three digits and a letter.
    if (quantity == Quantity::capacitance && code.size() == 6 && is_digit(code[0]) && code[1] >= 'A' && code[1] <= 'Z' &&
        is_digit(code[2]) && is_digit(code[3]) && is_digit(code[4])) {
        value.rating = std::string(code.substr(0, 2));
        code.remove_prefix(2);
    }
    char letter = 0;
    if (code.size() >= 3 && code.back() >= 'A' && code.back() <= 'Z' && code.back() != 'R') {
        letter = code.back();
        code.remove_suffix(1);
    }
    // On resistors K, M and G are multipliers before they are tolerances: 100K is 100 kΩ.
    if (quantity == Quantity::resistance && (letter == 'K' || letter == 'M' || letter == 'G' || letter == 'E')) return {};
    if (letter != 0 && !tolerance_letter(letter, {})) return {};

    std::size_t digits = 0;
    while (digits < code.size() && is_digit(code[digits])) ++digits;
    const int unit = code_unit_power(quantity);
    if (digits == code.size() && (digits == 3 || (digits == 4 && quantity == Quantity::resistance))) {
        const bool plain_too = code.back() == '0' && code != "000" && code != "0000";
        // On an electrolytic 100 … 990 is a number of microfarads: none is made of 10 pF.
        if (plain_too && habits.polarised) return {};
        value.number = read_zeros_code(code).scaled(unit);
        if (plain_too) value.other_readings.push_back(Decimal::read(code)->scaled(unit));
    } else if (quantity != Quantity::resistance && code.size() <= 6) {
        const auto number = read_point_code(code);
        if (!number) return {};
        value.number = number->scaled(habits.polarised ? -6 : unit);
    } else {
        return {};
    }
    if (letter != 0) {
        const bool farads = quantity == Quantity::capacitance;
        value.tolerance = tolerance_letter(letter, farads ? std::optional(value.si()) : std::nullopt);
    }
    if (!value.other_readings.empty())
        value.remarks.push_back({"marked " + std::string(plain) + ": " + trade_text(value.number, quantity) +
                                     " as a code, or plainly " + trade_text(value.other_readings.front(), quantity),
                                 "", true});
    return value;
}

}  // namespace tallyboard::detail
