// The symbols of part kinds: those of the kinds data, and generated ones for kinds whose pins depend on the part
// (transformers with any windings, selectors, integrated circuits) or that have no symbol of their own (a box with named
// pins). All in grid units, y down; a module turns them into millimetres.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/kind.h"
#include "draw/sheet.h"

namespace tallyboard {

// How a symbol stands: first flipped left-right, then turned by quarter turns anticlockwise as seen.
struct Turn {
    int quarter = 0;  // any whole number; 4 is 0
    bool flipped = false;
    friend bool operator==(const Turn&, const Turn&) = default;
};

// The symbol of a part of `kind` at 0°. `pins`: the names of the pins to be drawn, the kind's own names, in the part's order.
// A pin that may be left out and is not among them is left out with its lead; every other pin of a fixed kind is in the
// symbol, drawn or not. Open kinds get exactly the pins named. All pins stand on whole grid units, no two on one place.
// `habit`: "zigzag" takes the alternative forms of the kinds that have them.
Symbol symbol_for(const KindTable& kinds, KindId kind, const std::vector<std::string>& pins, std::string_view habit = {});

// A box with the pins named inside: inputs left, outputs right, supplies above and below where the roles say so, or the names do
// for pins without a role. `roles` is as long as `pins`, or empty.
Symbol box_symbol(const std::vector<std::string>& pins, const std::vector<PinRole>& roles = {});

// The symbol turned: pins, leaving directions and shapes; texts move but stay upright.
Symbol turned(const Symbol& symbol, Turn turn);
std::pair<double, double> turned(double x, double y, Turn turn);

// The rectangle round pins, shapes and signs, in grid units (line widths left out).
Box extent_of(const Symbol& symbol);

// Widths of lines on a sheet of that module (millimetres a grid unit), never thinner than prints well.
double line_width(Weight weight, double module);

// The symbol's shapes as items of a sheet, its origin at `at`. `stronger` scales the line widths (1.8: a part added).
std::vector<Item> symbol_items(const Symbol& symbol, Point at, double module, Ink ink = Ink::normal, double stronger = 1,
                               Dash dash = Dash::solid);

}  // namespace tallyboard
