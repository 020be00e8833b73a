// The geometry of one item in each of its orientations, worked out once: boxes, nodes that wires avoid, ties, lettering.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/model.h"

namespace tallyboard::detail {

// Width of lettering of the sheet's usual size, sixteenths, rounded up.
int lettering_width(std::string_view text);
// The text, or as much of it as one line of lettering may be wide, with an ellipsis.
std::string fitting_line(std::string_view text);

// The box of a tie whose pin is at the origin, pointing `way`.
Area tie_box(TieForm form, Way way, std::string_view net);

// Draws the leads of pins that lie within the symbol's extent out to its edge, so that no wire runs over the symbol.
void lead_out(Symbol& symbol);

// The item as it stands turned by `pose`; `cost` is taken over.
Standpoint standpoint_of(const Item& item, Pose pose, int cost, const std::vector<ModelNet>& nets);

// The ways to set an item's lettering round its body, the preferred one for its role and orientation first where `variant`
// is 0. The number of variants is the same for all.
inline constexpr int label_variants = 15;
std::vector<LabelLine> label_at(const Item& item, const Standpoint& stand, int variant);
// How much worse than the preferred one a variant looks, tenths: both lines beside, above or below 6, corners 8, in one line 12.
int label_price(const Item& item, const Standpoint& stand, int variant);

// Grid nodes within `area` grown by `grow` sixteenths.
std::vector<Spot> nodes_in(const Area& area, int grow);

}  // namespace tallyboard::detail
