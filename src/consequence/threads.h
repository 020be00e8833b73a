#pragma once

#include <functional>

namespace tallyboard::detail {

// Does work(0) … work(count - 1), several at once. Each writes only what is its own, so the result does not depend on `threads`
// (0: as many as the machine has). An exception of any is thrown again: that of the lowest number.
void for_each_number(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

}  // namespace tallyboard::detail
