// notation: the values that test circuits use, as numbers, and other ways to write them. Apart from the program's own reader of
// values, so that it can be tested with it.
#pragma once

#include <optional>
#include <string>

#include "support/draft.h"

namespace tallyboard::test {

// digits × 10^exponent of the SI base unit.
struct PlainNumber {
    long long digits = 0;
    int exponent = 0;
};

// "4k7", "100n", "10", "2M2": what the makers of test circuits write on parts of this kind; nothing for other texts and kinds.
std::optional<PlainNumber> plain_number(const std::string& text, const std::string& kind);

// The number as "2.35k", "0.0000001" scaled by the letter that suits it.
std::string number_text(PlainNumber number, const std::string& kind);

// The same value written in another way that the trade uses; the text itself where it is no number.
std::string other_notation(const std::string& text, const std::string& kind, Random& random);

// Another value of the same kind; never the same number.
std::string other_value(const std::string& text, const std::string& kind, Random& random);

}  // namespace tallyboard::test
