#pragma once

#include <cstddef>
#include <cstdint>
#include <compare>

namespace tallyboard {

// Index of something in a circuit, in file order; ids of different things do not mix.
template <class Tag>
struct Id {
    std::uint32_t index = 0;
    friend auto operator<=>(const Id&, const Id&) = default;
};

using PartId = Id<struct PartTag>;
using NetId = Id<struct NetTag>;
using KindId = Id<struct KindTag>;

// A pin of a part: the part and the pin's index in Part::pins.
struct PinId {
    PartId part;
    std::uint32_t pin = 0;
    friend auto operator<=>(const PinId&, const PinId&) = default;
};

}  // namespace tallyboard
