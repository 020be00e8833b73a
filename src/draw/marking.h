// Marks on a composed sheet: what is missing, added, moved, by form and ink; numbered triangles in free space.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "draw/annotations.h"
#include "draw/compose.h"
#include "draw/furniture.h"

namespace tallyboard::detail {

// A sheet being marked: `page`, `places` and `scale` are those it was composed with; nothing is put where `field` is taken.
struct MarkedSheet { const Model* model = nullptr; const Page* page = nullptr; const std::vector<Place>* places = nullptr;
                     Scale scale; Sheet* sheet = nullptr; Field field; };

// Draws the marks whose place is on this sheet. Returns, for each mark drawn with a number, the number and where its triangle
// stands.
std::vector<std::pair<int, Point>> add_marks(const MarkedSheet& marked, const Annotations& annotations);

}  // namespace tallyboard::detail
