#pragma once

#include <cstddef>
#include <optional>

#include "values/plain_form.h"
#include "values/value.h"

namespace tallyboard::detail {

// What may stand before a number and belongs to the whole: "T" of a slow fuse, "A" of a potentiometer's law, "*" or "SOT".
// Returns where the number begins.
std::size_t take_leading_marks(const PlainForm& form, Value& value);

// What stands behind the number from `at` on: tolerance, ratings ("400V", "½W", "X2"), the speed of a fuse, remarks in
// words or brackets, marks of "chosen at test". Fills tolerance, rating and chosen_at_test of `value`, whose quantity and number
// are known; `bare`: it has no unit. Failure: something that is none of these.
std::optional<Failure> take_rest(const PlainForm& form, std::size_t at, bool bare, Value& value);

// Words that say a place is not fitted, or its value is chosen at test, in place of a value ("DNP", "SOT").
bool says_not_fitted(std::string_view plain);
bool says_chosen_at_test(std::string_view plain);

}  // namespace tallyboard::detail
