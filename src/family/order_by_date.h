#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "values/date.h"

namespace tallyboard::detail {

// What the units show at one place, with the date of each where it is known and can be trusted.
struct DatedUnit { std::size_t unit = 0; std::optional<Date> made; bool production = false; };
using States = std::map<std::string, std::vector<DatedUnit>>;   // by what is there

// The states of a place in the order that dates prove, where no numbers give one.
struct DateOrder {
    std::vector<std::string> states;      // earliest first: of two units or more, drawn, or decided; empty where the dates do not settle it
    std::string why_not;                  // in words, where they do not
    // Of one unit alone and not drawn: made between units that show others, and so that unit's own; before or behind all others; neither.
    std::vector<std::string> own, first, last, unplaced;
};

// One state came before another where some unit of it was surely made before one of the other; a production change goes one way,
// so that the reverse may not hold of other units. `drawn`: what the drawing shows, which needs no second unit.
DateOrder order_by_date(const States& states, const std::string& drawn);

// Of these units the one that is made latest by its first possible day, or earliest by its last. At least one unit has a date.
std::size_t made_latest(const std::vector<DatedUnit>& units);
std::size_t made_earliest(const std::vector<DatedUnit>& units);

}  // namespace tallyboard::detail
