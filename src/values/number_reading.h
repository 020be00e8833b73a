#pragma once

#include <optional>
#include <string_view>

#include "values/value.h"

namespace tallyboard::detail {

// A number as written in a value: "47", ".047", "4,7", "22 000", "4,700", "1/4".
struct NumberReading {
    Decimal number;
    std::optional<Decimal> other;  // of a comma before three digits: the other of 4.7 and 4700, where nothing settles it
    bool plain_digits = false;     // digits alone: a letter may stand at the decimal point
    std::size_t end = 0;           // behind it in the text
};
// In a plain form from `at` on. Nothing: no number stands there, or one of more than 18 digits.
std::optional<NumberReading> read_number(std::string_view text, std::size_t at, Quantity quantity, const ValueHabits& habits);

// one / other, rounded to 18 digits; nothing where the other is 0.
std::optional<Decimal> quotient(const Decimal& one, const Decimal& other);

}  // namespace tallyboard::detail
