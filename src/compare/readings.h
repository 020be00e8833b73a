#pragma once

#include <memory>
#include <vector>

#include "compare/problem.h"

namespace tallyboard::detail {

// Series and parallel groups of two or three like parts, on either side, that come to the value of a part on the other: exactly,
// or within the drawn part's tolerance. In order of side and parts. Parts bound by hand are in none.
// `complete`: no further group could be made of twins of those listed.
std::vector<Group> find_groups(const Problem& problem, bool& complete);

// Choices of groups that do not share a part, each to be tried as a reading of its own; without the choice of none. At most
// `most`: `all` tells whether there are no more.
std::vector<std::vector<int>> choices_of(const std::vector<Group>& groups, std::size_t most, bool& all);

// The problem in which each of these groups stands as one part that must be paired with one it comes to.
std::unique_ptr<Problem> with_groups(const Problem& problem, const std::vector<Group>& groups);

// What a reading can save at most against the same pairing without it: the single paired with one of the several at another
// value, the others left over.
int greatest_saving(const Group& group);

}  // namespace tallyboard::detail
