// One start of the placing: random moves that draughtsmen would try, at falling temperature.
#pragma once

#include <cstdint>

#include "draw/placing.h"

namespace tallyboard::detail {

// PCG32 (O'Neill 2014): small, fast, and the same everywhere.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : state_(0), step_((seed << 1) | 1) {
        next();
        state_ += 0x853c49e6748fea9bULL + seed;
        next();
    }
    std::uint32_t next() {
        const std::uint64_t old = state_;
        state_ = old * 6364136223846793005ULL + step_;
        const std::uint32_t shifted = static_cast<std::uint32_t>(((old >> 18) ^ old) >> 27);
        const std::uint32_t turn = static_cast<std::uint32_t>(old >> 59);
        return (shifted >> turn) | (shifted << ((32 - turn) & 31));
    }
    // 0 … n-1
    int below(int n) { return static_cast<int>((static_cast<std::uint64_t>(next()) * static_cast<std::uint32_t>(n)) >> 32); }
    int between(int low, int high) { return low + below(high - low + 1); }

private:
    std::uint64_t state_, step_;
};

// Anneals the layout in place; returns the best full state seen.
Placed anneal(Layout& layout, const PlacingOptions& options, Dice dice);

}  // namespace tallyboard::detail
