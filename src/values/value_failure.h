#pragma once

#include "values/plain_form.h"
#include "values/value.h"

namespace tallyboard::detail {

// Why a text is no value of `quantity`, with the likely slip or the right place for it: look-alike signs of a scan (l0k), a
// type number, another quantity, "not fitted". `reason`: the reader's own words, where nothing better is found.
Failure explain_failure(const PlainForm& form, Quantity quantity, const ValueHabits& habits, const std::string& reason);

}  // namespace tallyboard::detail
