#pragma once

#include <string>

#include "values/value.h"

namespace tallyboard {

// The span from `low` to `high` (SI) for people, to as many digits as tell its ends apart, three at least and six at most:
// "228 V to 269 V", "13.31 V to 13.34 V"; one amount where six do not.
std::string span_text(double low, double high, Quantity quantity);

}  // namespace tallyboard
