#pragma once

// What a finding costs. The figures are the format's; the reasons are why they stand as they do.
namespace tallyboard::costs {

constexpr int value = 1;     // the part is there and wired right: the least a difference can be
constexpr int kind = 1;      // likewise; another kind and another value are two findings
constexpr int reversed = 1;  // turned about: cheaper than moving its two pins
constexpr int moved = 2;     // one terminal: dearer than a value, so that a part is not moved to explain a value
constexpr int part = 3;      // missing, extra: cheaper than moving both pins of a two-pin part
constexpr int piece = 3;     // split, joined: cheaper than moving two terminals, dearer than moving one
constexpr int series = 4;    // inserted, bypassed: the part and the join, cheaper than telling them apart (6)

// From this many terminals on, a pair of nets is worth keeping whatever else its nets hold: 2 * 3 >= 3 + 3.
constexpr int always_kept = 3;

// More than any comparison costs: the price of leaving over what must be paired.
constexpr int never = 1 << 20;

}  // namespace tallyboard::costs
