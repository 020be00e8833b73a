// The places of one block's items while they are being sought, and what they cost: rough wires, overlaps, wishes, the page.
// Moves are made, judged by the difference, and kept or taken back.
#pragma once

#include <array>
#include <vector>

#include "draw/model.h"
#include "draw/rough.h"

namespace tallyboard::detail {

// Where an item is put by a move.
struct Change { int item = 0; Place to; };

class Layout {
public:
    // `items`: indices in model.items; everything below counts within that list. `least`: the field is at least so wide and
    // high. The model must outlive the layout.
    Layout(const Model& model, const std::vector<int>& items, Spot least = {});

    int size() const { return static_cast<int>(items_.size()); }
    const Item& item(int i) const { return *items_[i]; }
    const Standpoint& stand(int i) const { return items_[i]->standpoints[places_[i].standpoint]; }
    const std::vector<Place>& places() const { return places_; }
    const std::vector<std::vector<std::pair<int, int>>>& nets() const { return nets_; }   // (item, pin) of wired nets
    const std::vector<int>& nets_of(int i) const { return nets_of_[i]; }
    Spot pin_at(int i, int pin) const {
        const Spot at = stand(i).pins[pin].at;
        return {places_[i].x + at.x, places_[i].y + at.y};
    }
    int field_width() const { return field_.width(); }
    int field_height() const { return field_.height(); }
    bool fixed(int i) const { return fixed_[i]; }
    // Groups of two to twelve loose items that hang on the rest by one net alone, each once.
    const std::vector<std::vector<int>>& branches() const { return branches_; }
    void fix(int i) { fixed_[i] = true; }
    // Items would rather stay near these places: `weight` sixteenths a unit. Empty: no such wish.
    void stay_near(std::vector<Place> homes, int weight) { homes_ = std::move(homes); stay_ = weight; }

    // Sets all places (kept within the field) and works everything out anew.
    void set_places(const std::vector<Place>& places);
    // Routes every net anew against the others and adds everything up.
    void refresh();
    // 256: overlaps at their full cost.
    void set_overlap_weight(int weight) { overlap_weight_ = weight; }

    // Makes the changes and gives the difference in cost. Refused, with nothing changed (false): a place out of the field, a
    // fixed item, or a difference that is sure to be above `limit` before the wires are even routed.
    bool move(const std::vector<Change>& changes, int limit, int& difference);
    // Takes back the last move.
    void take_back();
    long long cost() const { return cost_; }
    // The cost of overlaps alone: 0 where nothing overlaps.
    int overlaps() const;
    // Of the cost, what the wires are, with all that stands in their way.
    long long wires();
    Area extent() const;

private:
    struct Saved { int net = 0; RoughRoute route; };
    struct UprightTie { Spot at; bool hanging = true; };

    void find_branches();
    bool within(int i, const Place& place) const;
    void put(int i, const Place& place);
    int item_wires(int i) const;
    void mark_item(int i, int sign);
    void gather_pins(int net);
    int unmark_net(int net);
    int route_net(int net);
    int overlap(int a, int b) const;
    int tie_rows(int a, int b) const;
    int pair_cost(int a, int b) const;
    int wish_cost(const Wish& wish) const;
    int lone_cost(int i) const;
    int around(const std::vector<Change>& changes);
    int page_cost() const;

    const Model& model_;
    std::vector<const Item*> items_;
    std::vector<Place> places_, homes_;
    int stay_ = 0;
    std::vector<bool> fixed_;
    std::vector<std::vector<int>> branches_;
    std::vector<Area> hulls_;                              // where they stand, sixteenths
    std::vector<std::vector<UprightTie>> upright_ties_;    // likewise
    std::vector<int> tied_items_;                          // those with ties in some orientation
    std::vector<std::vector<std::pair<int, int>>> nets_;
    std::vector<std::vector<int>> nets_of_;
    std::vector<std::vector<RoughPin>> pins_;              // by net, as marked
    std::vector<RoughRoute> routes_;
    std::vector<Wish> wishes_;                             // with items as counted here
    std::vector<std::vector<int>> wishes_of_;
    std::vector<std::pair<int, bool>> edge_items_;         // jacks and terminals: item, belongs at the left
    WireField field_;
    int overlap_weight_ = 256;
    int page_factor_ = 0, page_ = 0, page_before_ = 0;     // the page's cost, now and before the last move
    long long cost_ = 0;

    // The last move, to take it back.
    std::vector<Change> back_;
    std::vector<Saved> saved_;
    long long cost_before_ = 0;
    // Scratch, kept to spare the allocation.
    std::vector<int> item_stamp_, net_stamp_, wish_stamp_, touched_nets_;
    int stamp_ = 0;
};

}  // namespace tallyboard::detail
