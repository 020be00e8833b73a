// Placing one block: simulated annealing from several seeded starts, the cheapest kept. The number of starts and all else that
// matters is fixed by the model, so threads only share the work.
#pragma once

#include <atomic>
#include <functional>
#include <vector>

#include "draw/layout.h"

namespace tallyboard::detail {

struct PlacingOptions {
    int starts = 4;
    double effort = 0.5;               // moves: 12000 · N · max(1, √(N/25)) · effort
    int threads = 0;
    unsigned seed = 1;
    bool cool = false;                 // begin near the places given: T 5
    std::vector<Place> begin;          // by index in `items`; empty: from levels and potentials
    int stay = 0;                      // sixteenths a unit of displacement from `begin`
    std::vector<bool> fixed;           // by index in `items`; empty: none
    std::function<void(double best)> start_done;
    const std::atomic<bool>* stop = nullptr;
};

struct Placed { std::vector<Place> places; long long cost = 0; int overlaps = 0; };

// Places for `items` (indices in model.items), in their order. Deterministic whatever the threads, unless stopped.
Placed place_block(const Model& model, const std::vector<int>& items, const PlacingOptions& options);

}  // namespace tallyboard::detail
