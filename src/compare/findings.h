#pragma once

#include <vector>

#include "compare/compare.h"
#include "compare/outcome.h"

namespace tallyboard::detail {

// Everything that differs under the outcome, costly findings first, then in natural order of id. Ids, places and costs are the
// format's.
std::vector<Finding> findings_of(const Outcome& outcome);

// Parts measured off what is marked: the format's rules for tolerance, meter and place of measurement.
std::vector<Finding> drift_findings(const Outcome& outcome);

std::vector<PartPair> part_pairs_of(const Outcome& outcome);
std::vector<NetPair> net_pairs_of(const Outcome& outcome);

}  // namespace tallyboard::detail
