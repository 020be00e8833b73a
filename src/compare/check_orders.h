#pragma once

#include <map>
#include <string>
#include <vector>

#include "circuit/circuit.h"

// The checker's own reading of the format on pin orders and on what adds up; it shares nothing with the search's tables.
namespace tallyboard::detail {

// Two units (a part, or the sections of a package) as they are compared: which kind each is seen as, and for each of the
// kind's pins the written pins that stand for it.
struct Seen {
    bool can_pair = false;                        // one kind, or two with as many pins
    bool same_kind = false;
    const KindTable* drawn_kinds = nullptr;
    const KindTable* found_kinds = nullptr;
    KindId drawn, found;
    std::vector<std::string> drawn_names, found_names;
    std::vector<std::vector<PinId>> drawn_pins, found_pins;
    std::vector<char> drawn_stands, found_stands;  // whether the pin has a terminal: traced, or known to go nowhere
};
Seen seen_as(const Circuit& drawing, const std::vector<PartId>& drawn, const Circuit& board, const std::vector<PartId>& found);

// Every order of pins between the two (drawn kind's pin -> found kind's pin, -1 where it has none): those that say the same as
// drawn, and those that count as reversed.
struct PinOrders { std::vector<std::vector<int>> allowed, reversed; };
PinOrders pin_orders(const Seen& seen);

// What the format asks for taking the drawn pins to the found ones as `to` says: 0, 1 (reversed), -1 (not to be had).
int order_cost(const Seen& seen, const std::map<PinId, PinId>& to);

// Whether the several, in series or in parallel, come to the single part's value: to the last digit that a double has, or
// within the drawn part's tolerance (the single one's if `single_is_drawn`, else the widest of the several).
bool comes_to(const Circuit& several_file, const std::vector<PartId>& several, bool parallel, const Circuit& single_file,
              PartId single, bool single_is_drawn);

}  // namespace tallyboard::detail
