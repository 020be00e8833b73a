// One sheet in grid units, finished but for its furniture: places, wires, ties, lettering.
#pragma once

#include <string>
#include <vector>

#include "draw/labels.h"
#include "draw/model.h"
#include "draw/routing.h"

namespace tallyboard::detail {

struct PageWire { int net = 0; std::vector<Spot> spots; };
// `text`: what is printed; empty: the net's name.
struct PageTie { int net = 0; TieForm form = TieForm::ground; Spot at; Way way = Way::down; std::string text; };
struct Page {
    std::vector<int> items;
    std::vector<PageWire> wires;
    std::vector<std::pair<int, Spot>> junctions;       // net, place
    std::vector<PageTie> ties;
    std::vector<std::vector<LabelLine>> lettering;     // as `items`, absolute
    std::vector<Area> boxes;                           // all that takes room, absolute: for fitting onto the paper
    // What could not be done: nets without a way or without room for their tie; items whose lettering touches something.
    std::vector<int> unrouted_nets, crowded_items;
};

// Routes and letters the items where they stand (`places` by item of the model). Wire groups that only partly lie on these
// items are taken with the pins that do.
Page make_page(const Model& model, const std::vector<int>& items, const std::vector<Place>& places);

}  // namespace tallyboard::detail
