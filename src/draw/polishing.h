// The last pass of placing: every small move is tried in turn and kept where it makes the drawing better. Annealing ends with random
// moves and leaves some of these undone.
#pragma once

#include <atomic>

#include "draw/layout.h"

namespace tallyboard::detail {

// Leaves the layout where no single shift, turn, slide of a straight row or push of a side makes it cheaper (or after a fixed number of
// rounds, or when stopped), then evens the gaps along rows and columns where that costs nothing.
void polish(Layout& layout, const std::atomic<bool>* stop);

}  // namespace tallyboard::detail
