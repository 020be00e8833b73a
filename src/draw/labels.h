// Lettering after routing: each item's lines set where they touch nothing, in the preferred place if that is free.
#pragma once

#include <vector>

#include "draw/model.h"

namespace tallyboard::detail {

// `taken`: everything lettering must keep clear of, absolute, sixteenths (bodies, leads, wires, ties, signs); entry i of `own`
// lists nothing of the item's own that it may touch: an item's own body is in `taken` like all others.
// Returns absolute lines for each item of `items` (empty for those without lettering) and the items still in conflict.
struct Lettered { std::vector<std::vector<LabelLine>> lines; std::vector<int> conflicts; };
Lettered place_labels(const Model& model, const std::vector<int>& items, const std::vector<Place>& places,
                      const std::vector<Area>& taken);

}  // namespace tallyboard::detail
