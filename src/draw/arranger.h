// The work of arranging, shared between arranging.cpp (blocks, packing, sheets) and given_places.cpp (places that are given or
// kept).
#pragma once

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "draw/arranging.h"
#include "draw/packing.h"
#include "draw/placing.h"
#include "draw/prepare.h"

namespace tallyboard::detail {

class Arranger {
public:
    Arranger(Model& model, const Circuit& circuit, const DrawOptions& options, const Homes& homes)
        : model_(model), circuit_(circuit), options_(options), homes_(homes) {}

    Arrangement run();

private:
    std::vector<Paper> papers() const {
        if (!options_.paper.empty()) return {paper_named(options_.paper)};
        return {paper_named("A4"), paper_named("A3")};
    }
    std::vector<int> items_of(int block) const {
        std::vector<int> items;
        for (int i = 0; i < static_cast<int>(model_.items.size()); ++i)
            if (model_.items[i].block == block) items.push_back(i);
        return items;
    }
    bool all_given() const {
        return std::all_of(model_.items.begin(), model_.items.end(), [](const Item& item) { return item.given || item.role == Role::tie; });
    }
    Place given_place(int i) const {
        const Stands& stands = *model_.items[i].given;
        return {static_cast<int>(std::lround(stands.x)), static_cast<int>(std::lround(stands.y)), 0};
    }
    void drop_impossible();
    void take_given();
    void settle_near_homes();
    void merge_given_blocks();
    void split(int block);
    void place_blocks();
    Placed place_given_block(const std::vector<int>& items, PlacingOptions options) const;
    void share_out();
    bool finish(bool last);
    void explode();
    bool fits(const std::vector<int>& blocks) const;
    void lay_out(const std::vector<int>& blocks);
    std::vector<Spot> best_packing(const std::vector<Spot>& sizes) const;

    Model& model_;
    const Circuit& circuit_;
    const DrawOptions& options_;
    const Homes& homes_;
    Arrangement arrangement_;
    std::vector<std::vector<int>> on_sheet_;           // items of each sheet
    std::map<int, Area> extents_;                      // of placed blocks
    std::set<int> stale_;                              // blocks to be placed again
    std::map<int, Placed> placed_;
    bool placed_once_ = false;
    int attempt_ = 0;
};

}  // namespace tallyboard::detail
