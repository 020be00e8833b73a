// Lettering after routing: each item's lines set where they touch nothing, in the preferred place if that is free.
#pragma once

#include <vector>

#include "draw/model.h"

namespace tallyboard::detail {

// `taken`: everything lettering keeps clear of, absolute, sixteenths: symbols with their leads, wires, ties.
// Returns absolute lines for each item of `items` (none for those without lettering) and the items still in conflict.
struct Lettered { std::vector<std::vector<LabelLine>> lines; std::vector<int> conflicts; };
Lettered place_labels(const Model& model, const std::vector<int>& items, const std::vector<Place>& places,
                      const std::vector<Area>& taken);

}  // namespace tallyboard::detail
