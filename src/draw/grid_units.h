// Lengths while a sheet is made. One grid unit (u) is the module of the sheet; symbols, pins and wires stand on whole units.
// Boxes are in sixteenths of a unit, so that every decision is made on integers and comes out alike everywhere.
#pragma once

#include <algorithm>
#include <cstdlib>
#include <vector>

namespace tallyboard::detail {

inline constexpr int sub = 16;                     // sixteenths in a grid unit
inline constexpr double lettering_size = 1.3;      // em size of references and values, in units
inline constexpr int line_height = 18;             // of one line of lettering, sixteenths
inline constexpr int line_pitch = 22;

struct Spot {
    int x = 0, y = 0;
    friend bool operator==(const Spot&, const Spot&) = default;
};

// Sixteenths; half open in spirit: areas that only touch do not overlap.
struct Area {
    int x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    int width() const { return x1 - x0; }
    int height() const { return y1 - y0; }
    bool empty() const { return x1 <= x0 || y1 <= y0; }
    Area grown(int by) const { return {x0 - by, y0 - by, x1 + by, y1 + by}; }
    Area moved(Spot units) const { return {x0 + units.x * sub, y0 + units.y * sub, x1 + units.x * sub, y1 + units.y * sub}; }
    bool overlaps(const Area& other) const { return x0 < other.x1 && other.x0 < x1 && y0 < other.y1 && other.y0 < y1; }
    void include(const Area& other) {
        x0 = std::min(x0, other.x0);
        y0 = std::min(y0, other.y0);
        x1 = std::max(x1, other.x1);
        y1 = std::max(y1, other.y1);
    }
    friend bool operator==(const Area&, const Area&) = default;
};

// The way a wire leaves a pin, in the order in which a quarter turn anticlockwise goes on by one.
enum class Way : unsigned char { right, up, left, down };
inline constexpr Spot step(Way way) {
    switch (way) {
        case Way::right: return {1, 0};
        case Way::up: return {0, -1};
        case Way::left: return {-1, 0};
        case Way::down: return {0, 1};
    }
    return {0, 0};
}
inline constexpr bool is_level(Way way) { return way == Way::right || way == Way::left; }
inline constexpr Way opposite(Way way) { return static_cast<Way>((static_cast<int>(way) + 2) % 4); }

// How a symbol stands (what symbol.h calls its turn, as an index): quarter turns anticlockwise (0 … 3) after an optional flip left-right (+4).
struct Pose {
    int index = 0;
    int quarter() const { return index % 4; }
    bool flipped() const { return index >= 4; }
    template <class T>
    void apply(T& x, T& y) const {
        if (flipped()) x = -x;
        for (int i = 0; i < quarter(); ++i) {
            const T old = x;
            x = y;
            y = -old;
        }
    }
    Way apply(Way way) const {
        int w = static_cast<int>(way);
        if (flipped() && w % 2 == 0) w = 2 - w;
        return static_cast<Way>((w + quarter()) % 4);
    }
    Area apply(Area a) const {
        apply(a.x0, a.y0);
        apply(a.x1, a.y1);
        return {std::min(a.x0, a.x1), std::min(a.y0, a.y1), std::max(a.x0, a.x1), std::max(a.y0, a.y1)};
    }
};

}  // namespace tallyboard::detail
