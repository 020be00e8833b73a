#pragma once

#include "values/plain_form.h"
#include "values/value.h"

namespace tallyboard::detail {

// A value of `quantity` in trade notation, codes and colours aside. Failure: a short reason, without suggestions.
Result<Value> read_notation(const PlainForm& form, Quantity quantity, const ValueHabits& habits);

}  // namespace tallyboard::detail
