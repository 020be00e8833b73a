// Placing one block: simulated annealing from many short seeded starts; the cheapest are annealed again, much longer, and the
// cheapest of those is kept. Starts differ by a fifth in cost and more, whatever their length, so choosing among many and then
// refining few is better spent than a few long ones. Numbers of starts and moves are fixed by the model, threads only share the
// work.
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <vector>

#include "draw/layout.h"

namespace tallyboard::detail {

struct PlacingOptions {
    int starts = 12;
    double effort = 0.1;               // of each start. Moves: 12000 · N · max(1, √(N/25)) · effort
    int refined = 2;                   // so many of the cheapest go on from a middling temperature …
    double refining = 0.9;             // … with this effort
    int threads = 0;
    unsigned seed = 1;
    double hot = 20, warm = 6, cold = 0.5;  // temperatures in units of cost: of a start, of refining and of places given, at the end
    bool cool = false;                 // begin warm, near the places in `begin`
    std::vector<Place> begin;          // by index in `items`; empty: from levels and potentials
    int stay = 0;                      // sixteenths a unit of displacement from `begin`
    std::vector<bool> fixed;           // by index in `items`; empty: none
    // What the wires cost as they are really routed (sixteenths); nothing where one finds no way. Decides between the results, in place
    // of the rough wires; may be empty.
    std::function<std::optional<long long>(const std::vector<Place>&)> routed;
    std::function<void(double best)> start_done;
    const std::atomic<bool>* stop = nullptr;
};

// The usual effort for a block of so many items: small ones are given more, for what little time they take.
PlacingOptions usual_effort(std::size_t items);

// `wires`: of the cost, what the rough wires are.
struct Placed { std::vector<Place> places; long long cost = 0; int overlaps = 0; long long wires = 0; };

// Places for `items` (indices in model.items), in their order. Deterministic whatever the threads, unless stopped.
Placed place_block(const Model& model, const std::vector<int>& items, const PlacingOptions& options);

}  // namespace tallyboard::detail
