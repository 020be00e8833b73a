// What is placed and routed: items (sections with their symbols in every orientation), the nets between them, and the wishes
// that good drawing has for pairs of items. Built by prepare.h from a circuit; places come later.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/packages.h"
#include "draw/grid_units.h"

namespace tallyboard::detail {

// What a tie looks like: bars hanging below; the same in a circle for the protective earth; a bar standing above (or hanging below)
// with the net's name; a pointed box.
enum class TieForm { none, ground, earth, up, down, flag };
inline constexpr bool is_ground(TieForm form) { return form == TieForm::ground || form == TieForm::earth; }

struct PinSite { Spot at; Way way = Way::right; };

// The tie of a pin: a stub of `stub` units from the pin the pin's way, then the tie, which points `way`. `box` from the
// item's origin, sixteenths, stub left out.
struct TieSite { int pin = 0; int stub = 0; Spot at; Way way = Way::down; Area box; };

// One line of lettering: its box, from the item's origin.
struct LabelLine { Area box; int align = 0; };         // align: -1 left, 0 centred, 1 right

// An item in one of its orientations; everything from the item's origin.
struct Standpoint {
    Pose pose;
    int cost = 0;                                      // sixteenths of cost, the item's least is 0
    std::vector<PinSite> pins;                         // as Item::pins
    Area body;                                         // the symbol without leads
    std::vector<Area> leads;
    Area extent;                                       // body with leads
    std::vector<TieSite> ties;
    std::vector<LabelLine> label;                      // in the preferred place
    std::vector<Area> boxes;                           // what others stay out of: body and leads grown, labels and ties less so
    Area hull;                                         // of the boxes
    std::vector<Spot> hard_nodes, soft_nodes;          // grid nodes that wires avoid
};

// `tie`: the tie of a wire group, placed like a part.
enum class Role { tie, two_terminal, device, opamp, potentiometer, jack, terminal, transformer, contact, box, other };

struct ItemPin {
    std::string name;                                  // "R1.a"
    PinState state = PinState::nowhere;
    int net = -1;                                      // in Model::nets; -1: not connected
    bool tied = false;                                 // connected by a tie of its own, not by wire
    PinRole role = PinRole::plain;
    std::string kind_pin;                              // "a"
};

struct Item {
    std::uint32_t part = 0;                            // in Circuit::parts
    std::string ref, kind, label;                      // file's reference; section kind; what is printed: "IC1A"
    Role role = Role::other;
    bool active = false;                               // transistors, valves, op-amps, output transformers
    Symbol symbol;                                     // at 0°, what is not drawn left out
    std::vector<ItemPin> pins;                         // those with a connection point
    std::vector<std::string> lines;                    // lettering: reference, value
    std::vector<std::string> beside;                   // as `lines`: what is found instead; empty: the line stands as drawn
    std::vector<int> widths;                           // of `lines` with what stands beside, sixteenths
    std::vector<Standpoint> standpoints;               // allowed orientations, at least one
    std::optional<Stands> given;                       // <stands>
    int level = 0;                                     // sixteenths of a level, along the signal
    int block = 0;
};

struct ModelNet {
    std::string name;
    std::string printed;                               // the name, cut short where it is wider than a line may be
    TieForm form = TieForm::none;                      // of its ties where it is a rail or cut; `flag` for named ties
    bool rail = false;
    int level = 0;                                     // sixteenths
    double potential = 0;                              // 1 at the up rail, 0 at ground, -1 at the down rail
    bool quasi = false;                                // behaves like a rail: decoupled supply, bypassed tap
    bool named = false;                                // one of several grounds or earths: its bars have its name below them
    bool entrance = false, exit = false;               // the signal comes in or goes out here, and no connector shows it
    bool referred = false;                             // its ties may be on several sheets and tell where the others are
    std::vector<std::pair<int, int>> pins;             // (item, pin), all of them
    // What a tie has room for: the name, with a reference to another sheet where one may be needed; bars mostly have none.
    std::string tie_text() const { return is_ground(form) && !named ? std::string() : referred ? printed + " 8/D8" : printed; }
};

// Pins of one net that are joined by wires on a sheet. `needs_tie`: other pins of the net are elsewhere, so this group ends in
// a tie of its own as well.
struct WireGroup { int net = 0; std::vector<std::pair<int, int>> pins; bool needs_tie = false; int block = 0; };

// What good drawing wishes of up to four items; `weight` in sixteenths a unit, or as the kind says.
enum class WishKind {
    order,      // b at least `gap` right of a
    step,       // active b at least `gap` right of a, in the same row
    parallel,   // a and b lie or stand abreast
    twin,       // a and b alike: same orientation, a row or a column in common
    motif,      // offset a→b as c→d
    mirror,     // offset a→b as c→d with the height negated
    box,        // b's origin within the box `box` from a's, in units
};
struct Wish { WishKind kind = WishKind::order; int a = 0, b = 0, c = 0, d = 0; int gap = 0; int weight = sub; Area box; };

struct Model {
    std::vector<Item> items;
    std::vector<ModelNet> nets;
    std::vector<WireGroup> groups;
    std::vector<Wish> wishes;
    std::vector<std::pair<int, int>> steps;            // device to device, along the signal: for the measure of flow
    int blocks = 0;
    int parts = 0;                                     // items before this one are sections, those from it on ties of wire groups
    std::vector<bool> power_block;                     // by block
    std::vector<std::string> remarks;                  // what had to be cut short
};

struct Place { int x = 0, y = 0, standpoint = 0; };

}  // namespace tallyboard::detail
