#include "draw/symbol.h"

#include "base/text.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace tallyboard {
namespace {

// Names inside a box, in capital heights of grid units: 1.8 mm at the smallest module.
constexpr double name_size = 0.9;

double name_width(std::string_view name) {
    return text_width(name, Face::sheet, size_for_cap_height(Face::sheet, name_size));
}

SymbolLine line(std::vector<std::pair<double, double>> points, Weight weight = Weight::normal) {
    return {std::move(points), weight, false, false};
}

// Where a pin of a box goes.
enum class Side { left, right, above, below };

// What a name tells where no role does: the usual names of supplies and outputs.
Side side_by_name(std::string_view name) {
    static const std::set<std::string, std::less<>> above{"v+", "vcc", "vdd", "vs", "vs+", "vb", "ht", "b+", "supply", "vin"};
    static const std::set<std::string, std::less<>> below{"v-", "vee", "vss", "vs-", "gnd", "ground", "0v", "adj", "com", "common"};
    const std::string plain = ascii_lower(name);
    if (above.count(plain)) return Side::above;
    if (below.count(plain)) return Side::below;
    if (plain.rfind("out", 0) == 0 || plain.rfind("vout", 0) == 0 || plain == "o" || plain == "q" || plain == "y") return Side::right;
    return Side::left;
}

Side side_of(std::string_view name, PinRole role) {
    switch (role) {
        case PinRole::control: return Side::left;
        case PinRole::output: return Side::right;
        case PinRole::supply:
        case PinRole::supply_plus: return Side::above;
        case PinRole::supply_minus: return Side::below;
        case PinRole::common: return Side::below;
        case PinRole::plain: break;
    }
    return side_by_name(name);
}

bool all_numbers(const std::vector<std::string>& names) {
    return std::all_of(names.begin(), names.end(),
                       [](const std::string& name) { return std::all_of(name.begin(), name.end(), is_digit); });
}

using Sides = std::map<Side, std::vector<std::string>>;

// Numbered pins without roles stand as on the package seen from above: down the left, up the right.
Sides sides_of_package(const std::vector<std::string>& pins) {
    Sides sides;
    const std::size_t half = (pins.size() + 1) / 2;
    sides[Side::left].assign(pins.begin(), pins.begin() + static_cast<std::ptrdiff_t>(half));
    sides[Side::right].assign(pins.rbegin(), pins.rbegin() + static_cast<std::ptrdiff_t>(pins.size() - half));
    return sides;
}

Sides sides_by_meaning(const std::vector<std::string>& pins, const std::vector<PinRole>& roles) {
    Sides sides;
    for (std::size_t i = 0; i < pins.size(); ++i)
        sides[side_of(pins[i], i < roles.size() ? roles[i] : PinRole::plain)].push_back(pins[i]);
    // Pins of no known meaning pile up on the left: the later ones go across until the sides are level.
    auto& left = sides[Side::left];
    auto& right = sides[Side::right];
    std::vector<std::string> across;
    while (left.size() > right.size() + across.size() + 1) {
        const auto plain = std::find_if(left.rbegin(), left.rend(), [&](const std::string& name) {
            const std::size_t i = static_cast<std::size_t>(std::find(pins.begin(), pins.end(), name) - pins.begin());
            return (i >= roles.size() || roles[i] == PinRole::plain) && ascii_lower(name).rfind("in", 0) != 0;
        });
        if (plain == left.rend()) break;
        across.insert(across.begin(), *plain);
        left.erase(std::next(plain).base());
    }
    right.insert(right.end(), across.begin(), across.end());
    return sides;
}

double widest(const std::vector<std::string>& names) {
    double width = 0;
    for (const std::string& name : names) width = std::max(width, name_width(name));
    return width;
}

// ---- windings ----

// A column of half circles with its taps, from `top` down; the coil bulges towards x = 0.
void add_winding(Symbol& symbol, const std::vector<std::string>& taps, double x_pin, double top) {
    const double x_coil = x_pin / 2;
    const bool on_left = x_pin < 0;
    const double pitch = taps.size() == 2 ? 4 : 2;
    for (std::size_t i = 0; i < taps.size(); ++i) {
        const double y = top + pitch * static_cast<double>(i);
        symbol.pins.push_back({taps[i], x_pin, y, on_left ? 'l' : 'r'});
        symbol.shapes.push_back(line({{x_pin, y}, {x_coil, y}}));
    }
    const double height = pitch * static_cast<double>(std::max<std::size_t>(taps.size(), 2) - 1);
    for (double y = top + 0.5; y < top + height; y += 1)
        symbol.shapes.push_back(SymbolArc{x_coil, y, 0.5, on_left ? -90.0 : 90.0, on_left ? 90.0 : 270.0, Weight::normal});
}

double winding_height(const std::vector<std::string>& taps) {
    return taps.size() <= 2 ? 4 : 2.0 * static_cast<double>(taps.size() - 1);
}

// Windings one above the other, 2 units apart, centred on y = 0. Returns the half height.
double add_column(Symbol& symbol, const std::vector<std::vector<std::string>>& windings, double x_pin) {
    double total = 0;
    for (const auto& taps : windings) total += winding_height(taps) + 2;
    total -= 2;
    double top = -total / 2;
    for (const auto& taps : windings) {
        add_winding(symbol, taps, x_pin, top);
        top += winding_height(taps) + 2;
    }
    return total / 2;
}

// Primary at the left, all others at the right, two lines for the core between them. Where no winding is the primary, the first
// named is at the left.
Symbol transformer_symbol(const std::vector<std::string>& pins) {
    std::vector<std::pair<std::string, std::vector<std::string>>> windings;
    for (const std::string& pin : pins) {
        const std::string letter = pin.substr(0, pin.find_first_of("0123456789"));
        auto at = std::find_if(windings.begin(), windings.end(), [&](const auto& winding) { return winding.first == letter; });
        if (at == windings.end()) at = windings.insert(windings.end(), {letter, {}});
        at->second.push_back(pin);
    }
    std::stable_sort(windings.begin(), windings.end(), [](const auto& a, const auto& b) { return (a.first == "p") > (b.first == "p"); });
    std::vector<std::vector<std::string>> left, right;
    for (auto& [letter, taps] : windings) {
        std::sort(taps.begin(), taps.end(), natural_less);
        (left.empty() ? left : right).push_back(taps);
    }
    Symbol symbol;
    double half = 0;
    if (!left.empty()) half = add_column(symbol, left, -2);
    if (!right.empty()) half = std::max(half, add_column(symbol, right, 2));
    for (const double x : {-0.18, 0.18}) symbol.shapes.push_back(line({{x, -half}, {x, half}}));
    return symbol;
}

// ---- contacts ----

Symbol selector_symbol(const std::vector<std::string>& pins) {
    std::vector<std::string> contacts;
    Symbol symbol;
    for (const std::string& pin : pins)
        if (pin != "common") contacts.push_back(pin);
    std::sort(contacts.begin(), contacts.end(), natural_less);
    symbol.pins.push_back({"common", -2, 0, 'l'});
    symbol.shapes.push_back(line({{-2, 0}, {-1.2, 0}}));
    symbol.shapes.push_back(SymbolCircle{-1, 0, 0.2, Weight::normal, false});
    const double top = -(static_cast<double>(contacts.size()) - 1);
    for (std::size_t i = 0; i < contacts.size(); ++i) {
        const double y = top + 2.0 * static_cast<double>(i);
        symbol.pins.push_back({contacts[i], 2, y, 'r'});
        symbol.shapes.push_back(line({{2, y}, {1.2, y}}));
        symbol.shapes.push_back(SymbolCircle{1, y, 0.2, Weight::normal, false});
        symbol.shapes.push_back(SymbolText{1.6, y - 0.8, name_size, contacts[i]});
    }
    if (!contacts.empty()) {  // the blade lies on the first contact
        const double length = std::hypot(2, top);
        symbol.shapes.push_back(line({{-1 + 0.4 / length, 0.2 * top / length}, {1 - 0.4 / length, top - 0.2 * top / length}}));
    }
    return symbol;
}

// ---- fixed kinds ----

bool has_pin(const Symbol& symbol, std::string_view name) {
    return std::any_of(symbol.pins.begin(), symbol.pins.end(), [&](const SymbolPin& pin) { return pin.name == name; });
}

// Pins that must be in the symbol: all that may not be left out, and those to be drawn.
std::vector<std::string> pins_needed(const Kind& kind, const std::vector<std::string>& drawn) {
    std::vector<std::string> needed;
    for (const KindPin& pin : kind.pins)
        if (!pin.may_be_left_out || std::find(drawn.begin(), drawn.end(), pin.name) != drawn.end()) needed.push_back(pin.name);
    return needed;
}

// The symbol of the habit (else of the usual form) that has all pins needed and the fewest others; none: nothing.
const Symbol* fitting_symbol(const Kind& kind, const std::vector<std::string>& needed, std::string_view habit) {
    const Symbol* best = nullptr;
    for (const std::string_view wanted : {habit, std::string_view{}}) {
        for (const Symbol& symbol : kind.symbols) {
            if (symbol.habit != wanted) continue;
            if (!std::all_of(needed.begin(), needed.end(), [&](const std::string& pin) { return has_pin(symbol, pin); })) continue;
            if (!best || symbol.pins.size() < best->pins.size()) best = &symbol;
        }
        if (best) return best;
    }
    return best;
}

// Takes out the pins not needed, with the lines that begin at them.
Symbol without_others(Symbol symbol, const std::vector<std::string>& needed) {
    std::vector<SymbolPin> gone;
    std::erase_if(symbol.pins, [&](const SymbolPin& pin) {
        if (std::find(needed.begin(), needed.end(), pin.name) != needed.end()) return false;
        gone.push_back(pin);
        return true;
    });
    std::erase_if(symbol.shapes, [&](const SymbolShape& shape) {
        const auto* lead = std::get_if<SymbolLine>(&shape);
        return lead && !lead->closed && !lead->points.empty() && std::any_of(gone.begin(), gone.end(), [&](const SymbolPin& pin) {
            return lead->points.front() == std::pair(pin.x, pin.y);
        });
    });
    return symbol;
}

char turned(char leaves, Turn turn) {
    static constexpr std::string_view round = "ruld";  // anticlockwise from the right
    std::size_t at = round.find(leaves);
    if (turn.flipped && at % 2 == 0) at = 2 - at;
    return round[(at + static_cast<std::size_t>((turn.quarter % 4 + 4) % 4)) % 4];
}

struct Bounds {
    double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
    void take(double x, double y, double r = 0) {
        left = std::min(left, x - r);
        right = std::max(right, x + r);
        top = std::min(top, y - r);
        bottom = std::max(bottom, y + r);
    }
};

// An arc's ends and the quarters of the circle between them.
void take_arc(Bounds& bounds, const SymbolArc& arc) {
    const auto at = [&](double degrees) {
        const double angle = degrees * 3.14159265358979323846 / 180;
        bounds.take(arc.x + arc.r * std::cos(angle), arc.y - arc.r * std::sin(angle));
    };
    at(arc.from);
    at(arc.to);
    for (double quarter = std::ceil(arc.from / 90) * 90; quarter < arc.to; quarter += 90) at(quarter);
}

}  // namespace

Symbol box_symbol(const std::vector<std::string>& pins, const std::vector<PinRole>& roles) {
    const bool meaning = std::any_of(roles.begin(), roles.end(), [](PinRole role) { return role != PinRole::plain; });
    Sides sides = !meaning && all_numbers(pins) ? sides_of_package(pins) : sides_by_meaning(pins, roles);
    const auto &left = sides[Side::left], &right = sides[Side::right], &above = sides[Side::above], &below = sides[Side::below];

    const double upright = std::max(widest(above), widest(below)) + 0.8;  // room one name above or below takes along the edge
    const double pitch = std::max(2.0, std::ceil(upright));
    const double edge = pitch * static_cast<double>(std::max(above.size(), below.size()));
    const double half_width = std::ceil(std::max({widest(left) + widest(right) + 1.6, edge, 4.0}) / 2);
    const std::size_t rows = std::max<std::size_t>({left.size(), right.size(), 1});
    const double first = -std::floor(static_cast<double>(rows) - 1), last = first + 2.0 * static_cast<double>(rows - 1);
    const double top = first - (above.empty() ? 1 : 2), bottom = last + (below.empty() ? 1 : 2);

    Symbol symbol;
    symbol.shapes.push_back(SymbolLine{{{-half_width, top}, {half_width, top}, {half_width, bottom}, {-half_width, bottom}},
                                       Weight::normal, true, false});
    const auto side = [&](const std::vector<std::string>& names, double sign, char leaves) {
        for (std::size_t i = 0; i < names.size(); ++i) {
            const double y = first + 2.0 * static_cast<double>(i);
            symbol.pins.push_back({names[i], sign * (half_width + 1), y, leaves});
            symbol.shapes.push_back(line({{sign * (half_width + 1), y}, {sign * half_width, y}}));
            symbol.shapes.push_back(SymbolText{sign * (half_width - 0.4 - name_width(names[i]) / 2), y, name_size, names[i]});
        }
    };
    const auto edge_pins = [&](const std::vector<std::string>& names, double y, double sign, char leaves) {
        const double start = -std::floor(pitch * static_cast<double>(names.size() - 1) / 2);
        for (std::size_t i = 0; i < names.size(); ++i) {
            const double x = start + pitch * static_cast<double>(i);
            symbol.pins.push_back({names[i], x, y + sign, leaves});
            symbol.shapes.push_back(line({{x, y + sign}, {x, y}}));
            symbol.shapes.push_back(SymbolText{x, y - sign * 0.8, name_size, names[i]});
        }
    };
    side(left, -1, 'l');
    side(right, 1, 'r');
    edge_pins(above, top, -1, 'u');
    edge_pins(below, bottom, 1, 'd');
    return symbol;
}

Symbol symbol_for(const KindTable& kinds, KindId id, const std::vector<std::string>& pins, std::string_view habit) {
    const Kind& kind = kinds[id];
    switch (kind.pattern) {
        case PinPattern::windings: return transformer_symbol(pins);
        case PinPattern::contacts: return selector_symbol(pins);
        case PinPattern::any: return box_symbol(pins);
        case PinPattern::fixed: break;
    }
    const std::vector<std::string> needed = pins_needed(kind, pins);
    if (const Symbol* symbol = fitting_symbol(kind, needed, habit)) return without_others(*symbol, needed);
    std::vector<PinRole> roles;
    for (const std::string& name : needed) roles.push_back(kind.pins[kind.pin(name).value()].role);
    return box_symbol(needed, roles);
}

std::pair<double, double> turned(double x, double y, Turn turn) {
    if (turn.flipped) x = -x;
    for (int i = 0; i < (turn.quarter % 4 + 4) % 4; ++i) {  // anticlockwise as seen, y down: right goes up
        const double up = -x;
        x = y;
        y = up;
    }
    return {x == 0 ? 0 : x, y == 0 ? 0 : y};  // no minus zero
}

Symbol turned(const Symbol& symbol, Turn turn) {
    Symbol result = symbol;
    const int quarters = (turn.quarter % 4 + 4) % 4;
    for (SymbolPin& pin : result.pins) {
        std::tie(pin.x, pin.y) = turned(pin.x, pin.y, turn);
        pin.leaves = turned(pin.leaves, turn);
    }
    for (SymbolShape& shape : result.shapes) {
        if (auto* lines = std::get_if<SymbolLine>(&shape)) {
            for (auto& [x, y] : lines->points) std::tie(x, y) = turned(x, y, turn);
            continue;
        }
        std::visit([&](auto& placed) {
            if constexpr (requires { placed.x; }) std::tie(placed.x, placed.y) = turned(placed.x, placed.y, turn);
        }, shape);
        if (auto* arc = std::get_if<SymbolArc>(&shape)) {
            if (turn.flipped) std::tie(arc->from, arc->to) = std::pair(180 - arc->to, 180 - arc->from);
            arc->from += 90 * quarters;
            arc->to += 90 * quarters;
        }
    }
    return result;
}

Box extent_of(const Symbol& symbol) {
    Bounds bounds;
    for (const SymbolPin& pin : symbol.pins) bounds.take(pin.x, pin.y);
    for (const SymbolShape& shape : symbol.shapes) {
        if (const auto* lines = std::get_if<SymbolLine>(&shape))
            for (const auto& [x, y] : lines->points) bounds.take(x, y);
        if (const auto* circle = std::get_if<SymbolCircle>(&shape)) bounds.take(circle->x, circle->y, circle->r);
        if (const auto* arc = std::get_if<SymbolArc>(&shape)) take_arc(bounds, *arc);
        if (const auto* text = std::get_if<SymbolText>(&shape)) {
            const double half = text_width(text->text, Face::sheet, size_for_cap_height(Face::sheet, text->size)) / 2;
            bounds.take(text->x - half, text->y - text->size / 2);
            bounds.take(text->x + half, text->y + text->size / 2);
        }
    }
    if (bounds.right < bounds.left) return {};
    return {bounds.left, bounds.top, bounds.right - bounds.left, bounds.bottom - bounds.top};
}

double line_width(Weight weight, double module) {
    switch (weight) {
        case Weight::thin: return std::max(0.07 * module, 0.18);
        case Weight::normal: return std::max(0.12 * module, 0.25);
        case Weight::heavy: return std::max(0.22 * module, 0.5);
    }
    return 0.25;
}

std::vector<Item> symbol_items(const Symbol& symbol, Point at, double module, Ink ink, double stronger, Dash dash) {
    std::vector<Item> items;
    const auto place = [&](double x, double y) { return Point{at.x + x * module, at.y + y * module}; };
    const auto pen = [&](Weight weight) { return Pen{line_width(weight, module) * stronger, ink, dash}; };
    for (const SymbolShape& shape : symbol.shapes) {
        if (const auto* lines = std::get_if<SymbolLine>(&shape)) {
            Line item{{}, pen(lines->weight), lines->closed, {}};
            for (const auto& [x, y] : lines->points) item.points.push_back(place(x, y));
            if (lines->filled) {
                item.fill = ink;
                item.pen.width = line_width(Weight::thin, module);
            }
            items.push_back(std::move(item));
        } else if (const auto* circle = std::get_if<SymbolCircle>(&shape)) {
            items.push_back(Circle{place(circle->x, circle->y), circle->r * module, pen(circle->weight),
                                   circle->filled ? std::optional(ink) : std::nullopt});
        } else if (const auto* arc = std::get_if<SymbolArc>(&shape)) {
            items.push_back(Arc{place(arc->x, arc->y), arc->r * module, arc->from, arc->to, pen(arc->weight)});
        } else if (const auto* text = std::get_if<SymbolText>(&shape)) {
            Text item;
            item.at = place(text->x, text->y + text->size / 2);
            item.text = text->text;
            item.size = size_for_cap_height(Face::sheet, text->size * module);
            item.ink = ink;
            item.align = Align::centre;
            item.heavy = stronger > 1;
            items.push_back(std::move(item));
        }
    }
    return items;
}

}  // namespace tallyboard
