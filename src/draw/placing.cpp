#include "draw/placing.h"

#include <algorithm>
#include <mutex>

#include "base/threads.h"
#include "draw/annealing.h"

namespace tallyboard::detail {

namespace {

// Left to right by level, top to bottom by potential, with some jitter; each item in its cheapest orientation.
std::vector<Place> first_places(const Model& model, const Layout& layout, Dice& dice) {
    std::vector<Place> places;
    int most = sub;
    for (int i = 0; i < layout.size(); ++i) most = std::max(most, layout.item(i).level);
    const int width = layout.field_width() / 2, height = layout.field_height() / 3;
    for (int i = 0; i < layout.size(); ++i) {
        const Item& item = layout.item(i);
        double potential = 0;
        int pins = 0;
        for (const ItemPin& pin : item.pins)
            if (pin.net >= 0) potential += model.nets[pin.net].potential, ++pins;
        if (pins > 0) potential /= pins;
        Place place;
        place.x = layout.field_width() / 4 + width * item.level / most + dice.between(-4, 4);
        place.y = layout.field_height() / 2 - static_cast<int>(height * (potential - 0.4)) + dice.between(-6, 6);
        for (std::size_t s = 0; s < item.standpoints.size(); ++s)
            if (item.standpoints[s].cost < item.standpoints[place.standpoint].cost) place.standpoint = static_cast<int>(s);
        places.push_back(place);
    }
    return places;
}

// The extent of the items where they stand, in whole units.
Area extent_of(const Model& model, const std::vector<int>& items, const std::vector<Place>& places) {
    Area all;
    for (std::size_t k = 0; k < items.size(); ++k) {
        const Area hull = model.items[items[k]].standpoints[places[k].standpoint].hull.moved({places[k].x, places[k].y});
        if (k == 0) all = hull;
        else all.include(hull);
    }
    return {all.x0 / sub - 1, all.y0 / sub - 1, all.x1 / sub + 1, all.y1 / sub + 1};
}

Placed one_start(const Model& model, const std::vector<int>& items, const PlacingOptions& options, int start) {
    Dice dice(options.seed * 1000003ULL + static_cast<unsigned>(start) * 7919ULL + items.size());
    if (options.begin.empty()) {
        Layout layout(model, items);
        layout.set_places(first_places(model, layout, dice));
        return anneal(layout, options, dice);
    }
    // Round places given: they keep their coordinates, whatever the field's.
    constexpr int room = 24;
    const Area extent = extent_of(model, items, options.begin);
    Layout layout(model, items, {extent.width() + 2 * room, extent.height() + 2 * room});
    const Spot shift{(layout.field_width() - extent.width()) / 2 - extent.x0, (layout.field_height() - extent.height()) / 2 - extent.y0};
    std::vector<Place> begin = options.begin;
    for (Place& place : begin) place.x += shift.x, place.y += shift.y;
    layout.set_places(begin);
    layout.stay_near(layout.places(), options.stay);
    for (std::size_t i = 0; i < options.fixed.size(); ++i)
        if (options.fixed[i]) layout.fix(static_cast<int>(i));
    Placed placed = anneal(layout, options, dice);
    for (Place& place : placed.places) place.x -= shift.x, place.y -= shift.y;
    return placed;
}

// Runs `count` jobs on as many threads as make sense; results by job.
std::vector<Placed> share(int count, int threads, const std::function<Placed(int)>& job) {
    std::vector<Placed> results(count);
    for_each_number(results.size(), threads, [&](std::size_t k) { results[k] = job(static_cast<int>(k)); });
    return results;
}

}  // namespace

PlacingOptions usual_effort(std::size_t items) {
    constexpr std::size_t few = 48;
    PlacingOptions options;
    if (items > few) return options;
    options.starts = 20;
    options.refined = 4;
    options.refining = 0.8;
    return options;
}

Placed place_block(const Model& model, const std::vector<int>& items, const PlacingOptions& options) {
    std::mutex telling;
    double best = -1;
    const auto tell = [&](const Placed& placed) {
        if (!options.start_done) return;
        const std::lock_guard<std::mutex> lock(telling);
        const double cost = static_cast<double>(placed.cost) / sub;
        best = best < 0 ? cost : std::min(best, cost);
        options.start_done(best);
    };
    std::vector<Placed> starts = share(options.starts, options.threads, [&](int start) {
        Placed placed = one_start(model, items, options, start);
        tell(placed);
        return placed;
    });
    const auto by_cost = [](const Placed& a, const Placed& b) { return a.cost < b.cost; };
    std::stable_sort(starts.begin(), starts.end(), by_cost);
    // By the cost with the wires as they are routed; by the rough cost where none can be routed.
    const auto best_of = [&](const std::vector<Placed>& placed) {
        std::optional<std::pair<long long, std::size_t>> best_routed;
        for (std::size_t k = 0; k < placed.size() && options.routed; ++k)
            if (const auto wires = options.routed(placed[k].places)) {
                const std::pair<long long, std::size_t> cost{placed[k].cost - placed[k].wires + *wires, k};
                if (!best_routed || cost < *best_routed) best_routed = cost;
            }
        return placed[best_routed ? best_routed->second : 0];
    };
    const int refined = std::min(options.refined, options.starts);
    if (refined == 0 || options.cool) return best_of(starts);
    std::vector<Placed> results = share(refined, options.threads, [&](int k) {
        PlacingOptions again = options;
        again.begin = starts[k].places;
        again.cool = true;
        again.effort = options.refining;
        Placed placed = one_start(model, items, again, options.starts + k);
        tell(placed);
        return placed;
    });
    results.push_back(starts.front());
    std::stable_sort(results.begin(), results.end(), by_cost);
    return best_of(results);
}

}  // namespace tallyboard::detail
