#include <limits>

#include <fmt/format.h>

#include "draw/arranger.h"

namespace tallyboard::detail {

// Places given on top of one another, or so far off that no sheet holds them, are told and sought anew.
void Arranger::drop_impossible() {
    std::map<int, std::vector<std::pair<Area, int>>> bodies;   // by sheet
    std::vector<int> xs, ys;
    for (int i = 0; i < model_.parts; ++i)
        if (model_.items[i].given) xs.push_back(given_place(i).x), ys.push_back(given_place(i).y);
    if (xs.empty()) return;
    std::nth_element(xs.begin(), xs.begin() + static_cast<std::ptrdiff_t>(xs.size() / 2), xs.end());
    std::nth_element(ys.begin(), ys.begin() + static_cast<std::ptrdiff_t>(ys.size() / 2), ys.end());
    const Spot middle{xs[xs.size() / 2], ys[ys.size() / 2]};
    constexpr int far_x = 180, far_y = 125;               // what A3 holds at the smallest module
    bool dropped = false;
    const auto drop = [&](int i, std::string why) {
        arrangement_.remarks.push_back(std::move(why));
        model_.items[i].given.reset();
        dropped = true;
    };
    for (int i = 0; i < model_.parts; ++i) {
        Item& item = model_.items[i];
        if (!item.given) continue;
        const Place place = given_place(i);
        if (std::abs(place.x - middle.x) > far_x || std::abs(place.y - middle.y) > far_y) {
            drop(i, fmt::format("{} is placed off the sheet (x {}, y {}): placed anew", item.label, place.x, place.y));
            continue;
        }
        const Area body = item.standpoints.front().extent.moved({place.x, place.y});
        auto& others = bodies[std::max(1, item.given->sheet)];
        const auto under = std::find_if(others.begin(), others.end(), [&](const auto& other) { return other.first.grown(-1).overlaps(body); });
        if (under != others.end())
            drop(i, fmt::format("{} is placed on top of {} (x {}, y {}): placed anew", item.label, model_.items[under->second].label, place.x, place.y));
        else others.push_back({body, i});
    }
    if (dropped) rebuild(model_, circuit_);
}

void Arranger::take_given() {
    arrangement_.places.assign(model_.items.size(), {});
    std::map<int, std::vector<int>> sheets;
    for (int i = 0; i < model_.parts; ++i) {
        arrangement_.places[i] = given_place(i);
        sheets[std::max(1, model_.items[i].given->sheet)].push_back(i);
    }
    on_sheet_.clear();
    for (auto& [number, items] : sheets) {
        // The ties of these parts' wires find their places round them.
        std::set<int> here(items.begin(), items.end());
        std::vector<int> ties;
        for (const WireGroup& group : model_.groups)
            if (group.needs_tie && here.count(group.pins.front().first)) ties.push_back(group.pins.back().first);
        if (!ties.empty()) {
            items.insert(items.end(), ties.begin(), ties.end());
            PlacingOptions placing;
            placing.starts = 1;
            const Placed placed = place_given_block(items, placing);
            for (std::size_t k = 0; k < items.size(); ++k) arrangement_.places[items[k]] = placed.places[k];
        }
        on_sheet_.push_back(std::move(items));
    }
}

namespace {

// The standpoint of `item` in which its nets meet it where they meet its namesake `twin`, or nearest to that: the same pose, unless
// pins are exchanged or the kind is another.
int standpoint_like(const Model& model, const Item& twin, int standpoint, const Model& now, const Item& item) {
    const Standpoint& before = twin.standpoints[standpoint];
    int best = 0, least = std::numeric_limits<int>::max();
    for (std::size_t s = 0; s < item.standpoints.size(); ++s) {
        const Standpoint& stand = item.standpoints[s];
        int away = stand.pose.index == before.pose.index ? 0 : 1;
        for (std::size_t p = 0; p < item.pins.size(); ++p)
            for (std::size_t q = 0; q < twin.pins.size(); ++q)
                if (item.pins[p].net >= 0 && twin.pins[q].net >= 0 && now.nets[item.pins[p].net].name == model.nets[twin.pins[q].net].name)
                    away += 2 * (std::abs(stand.pins[p].at.x - before.pins[q].at.x) + std::abs(stand.pins[p].at.y - before.pins[q].at.y));
        if (away < least) least = away, best = static_cast<int>(s);
    }
    return best;
}

}  // namespace

// Every item begins where its namesake stands, a new one in the middle of its neighbours, and stays near: a cool pass makes room.
void Arranger::settle_near_homes() {
    const Arrangement& old = *homes_.arrangement;
    const int count = static_cast<int>(model_.items.size());
    std::vector<Place> begin(count);
    std::vector<int> sheet_of(count, -1);
    std::map<std::pair<std::string, int>, std::pair<int, int>> namesakes;   // by label and how many before; (item, sheet)
    std::map<std::string, int> seen;
    for (std::size_t s = 0; s < old.sheets.size(); ++s)
        for (int i : old.sheets[s].page.items) {
            const std::string& label = homes_.model->items[i].label;
            namesakes[{label, seen[label]++}] = {i, static_cast<int>(s)};
        }
    seen.clear();
    for (int i = 0; i < count; ++i) {
        const auto found = namesakes.find({model_.items[i].label, seen[model_.items[i].label]++});
        if (found == namesakes.end()) continue;
        const auto [twin, sheet] = found->second;
        begin[i] = old.places[twin];
        begin[i].standpoint = standpoint_like(*homes_.model, homes_.model->items[twin], old.places[twin].standpoint, model_, model_.items[i]);
        sheet_of[i] = sheet;
    }
    for (int i = 0; i < count; ++i) {
        if (sheet_of[i] >= 0) continue;
        int x = 0, y = 0, near = 0, sheet = 0;
        for (const ItemPin& pin : model_.items[i].pins) {
            if (pin.net < 0) continue;
            for (auto [j, q] : model_.nets[pin.net].pins)
                if (j != i && sheet_of[j] >= 0 && !model_.nets[pin.net].rail && (near == 0 || sheet_of[j] == sheet)) {
                    sheet = sheet_of[j];
                    x += begin[j].x;
                    y += begin[j].y;
                    ++near;
                }
        }
        begin[i].x = near ? x / near : 0;
        begin[i].y = near ? y / near + 3 : -12;
        sheet_of[i] = sheet;
    }
    arrangement_.places.assign(count, {});
    on_sheet_.assign(old.sheets.size(), {});
    for (int i = 0; i < count; ++i) on_sheet_[sheet_of[i]].push_back(i);
    for (const auto& items : on_sheet_) {
        if (items.empty()) continue;
        PlacingOptions placing;
        placing.starts = options_.draft ? 1 : 2;
        placing.effort = options_.draft ? 0.05 : 0.2;
        placing.threads = options_.threads;
        placing.stop = options_.stop;
        placing.cool = true;
        placing.warm = 2;
        placing.stay = 16;
        for (int i : items) placing.begin.push_back(begin[i]);
        const Placed placed = place_block(model_, items, placing);
        for (std::size_t k = 0; k < items.size(); ++k) arrangement_.places[items[k]] = placed.places[k];
    }
}

// Blocks with places given make one: they share their coordinates.
void Arranger::merge_given_blocks() {
    int first = -1;
    std::set<int> given;
    for (const Item& item : model_.items)
        if (item.given) given.insert(item.block);
    for (int block : given) {
        if (first < 0) first = block;
        for (Item& item : model_.items)
            if (item.block == block) item.block = first;
    }
    if (given.size() > 1) rebuild(model_, circuit_);
}

Placed Arranger::place_given_block(const std::vector<int>& items, PlacingOptions options) const {
    // Those without a place begin in the middle of their given neighbours.
    std::vector<Place> begin(items.size());
    Area given;
    bool any = false;
    for (std::size_t k = 0; k < items.size(); ++k) {
        options.fixed.push_back(model_.items[items[k]].given.has_value());
        if (!options.fixed.back()) continue;
        begin[k] = given_place(items[k]);
        const Area spot{begin[k].x, begin[k].y, begin[k].x, begin[k].y};
        if (any) given.include(spot);
        else given = spot;
        any = true;
    }
    for (std::size_t k = 0; k < items.size(); ++k) {
        if (options.fixed[k]) continue;
        int x = 0, y = 0, count = 0;
        for (const ItemPin& pin : model_.items[items[k]].pins) {
            if (pin.net < 0 || pin.tied) continue;
            for (auto [j, q] : model_.nets[pin.net].pins)
                if (model_.items[j].given) x += given_place(j).x, y += given_place(j).y, ++count;
        }
        begin[k].x = count ? x / count : given.x1 + 6;
        begin[k].y = count ? y / count + 3 : (given.y0 + given.y1) / 2;
    }
    options.begin = begin;
    options.cool = true;
    return place_block(model_, items, options);
}

}  // namespace tallyboard::detail
