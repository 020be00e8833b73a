#include "base/threads.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace tallyboard {

void for_each_number(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
    for_each_number_by(count, threads, [&] { return work; });
}

void for_each_number_by(std::size_t count, int threads, const std::function<std::function<void(std::size_t)>()>& worker) {
    const std::size_t wanted = threads > 0 ? static_cast<std::size_t>(threads) : std::max(1u, std::thread::hardware_concurrency());
    std::vector<std::exception_ptr> failures(count);
    std::atomic<std::size_t> next{0};
    const auto run = [&] {
        std::function<void(std::size_t)> work;
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                if (!work) work = worker();
                work(i);
            } catch (...) {
                failures[i] = std::current_exception();
            }
        }
    };
    std::vector<std::jthread> helpers;
    for (std::size_t t = 1; t < std::min(wanted, count); ++t) helpers.emplace_back(run);
    run();
    helpers.clear();
    for (const std::exception_ptr& failure : failures)
        if (failure) std::rethrow_exception(failure);
}

}  // namespace tallyboard
