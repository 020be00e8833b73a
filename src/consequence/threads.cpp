#include "consequence/threads.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace tallyboard::detail {

void for_each_number(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
    const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : std::max(1u, std::thread::hardware_concurrency());
    std::vector<std::exception_ptr> failures(count);
    std::atomic<std::size_t> next{0};
    const auto run = [&] {
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                work(i);
            } catch (...) {
                failures[i] = std::current_exception();
            }
        }
    };
    std::vector<std::thread> helpers;
    for (std::size_t t = 1; t < std::min(wanted, count); ++t) helpers.emplace_back(run);
    run();
    for (std::thread& helper : helpers) helper.join();
    for (const std::exception_ptr& failure : failures)
        if (failure) std::rethrow_exception(failure);
}

}  // namespace tallyboard::detail
