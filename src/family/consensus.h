#pragma once

#include <string>
#include <vector>

#include "family/identify.h"

namespace tallyboard {

// A drawing that follows from a family, and what could not be carried into it, in words.
struct FamilyDrawing { Circuit circuit; std::vector<std::string> remarks; };

// The drawing of a version: the base with every change before it carried out, and what all units have otherwise than drawn. Each
// place is taken over from a unit that shows it, the version's own first; what is one unit's own stays out. `variant`: index in
// FamilyHistory::variants. The circuit's source is its text as a file. Deterministic.
FamilyDrawing consensus_drawing(const GatheredFamily& family, const FamilyHistory& history, std::size_t variant, const KindTable& kinds);

// "47k to 1971, 56k from 1972": what stood at a place when. The years are those in which the old was last and the new was first
// surely made; by numbers where no date tells.
std::string year_note(const GatheredFamily& family, const FamilyHistory& history, std::size_t row);

// One drawing for the whole family: the base with what all units have otherwise than drawn, with every part that came in later, and at
// each place that production changed its years in place of the value. For drawing only: the texts are no values. `notes`: places that are no part's value, in words.
struct NotedDrawing { Circuit circuit; std::vector<std::string> notes, remarks; };
NotedDrawing noted_drawing(const GatheredFamily& family, const FamilyHistory& history, const KindTable& kinds);

}  // namespace tallyboard
