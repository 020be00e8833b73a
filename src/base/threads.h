#pragma once

#include <cstddef>
#include <functional>

namespace tallyboard {

// Does work(0) … work(count - 1), several at once. Each writes only what is its own, so the result does not depend on `threads`
// (0: as many as the machine has). An exception of any is thrown again: that of the lowest number.
void for_each_number(std::size_t count, int threads, const std::function<void(std::size_t)>& work);

// The same, where each thread needs something of its own to work with: `worker` is called once on each thread and gives what it does.
void for_each_number_by(std::size_t count, int threads, const std::function<std::function<void(std::size_t)>()>& worker);

}  // namespace tallyboard
