#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "circuit/ids.h"
#include "values/quantity.h"

namespace tallyboard {

// What a pin does, for whoever draws or traces a signal.
enum class PinRole { plain, control, output, common, supply, supply_plus, supply_minus };

struct KindPin {
    std::string name;
    std::vector<std::string> others;  // further names a file may use: "e", "+"
    bool may_be_left_out = false;     // a drawing that leaves it out says nothing about it
    PinRole role = PinRole::plain;
};

// Kinds whose pins depend on the part: any names (ic), windings with taps (p1 p2 s1), a common and numbered contacts
// (common 1 … n).
enum class PinPattern { fixed, any, windings, contacts };

// One symbol's geometry in grid units at 0°, y down. Pins first, then shapes in the order drawn.
enum class Weight { thin, normal, heavy };
struct SymbolPin { std::string name; double x = 0, y = 0; char leaves = 'l'; };  // l r u d: the way a wire leaves
struct SymbolLine { std::vector<std::pair<double, double>> points; Weight weight = Weight::normal; bool closed = false, filled = false; };
struct SymbolCircle { double x = 0, y = 0, r = 0; Weight weight = Weight::normal; bool filled = false; };
struct SymbolArc { double x = 0, y = 0, r = 0, from = 0, to = 0; Weight weight = Weight::normal; };  // degrees, anticlockwise from +x as seen
struct SymbolText { double x = 0, y = 0, size = 1; std::string text; };  // centred on (x, y); drawn upright whatever the turn
using SymbolShape = std::variant<SymbolLine, SymbolCircle, SymbolArc, SymbolText>;
struct Symbol {
    std::string habit;  // empty: the usual form; "zigzag" and so on: an alternative a document may choose
    std::vector<SymbolPin> pins;
    std::vector<SymbolShape> shapes;
};

// A section of a package: which of the whole's pins are the section kind's pins. Where several layouts exist (a heater alone
// is 4-5, two are 4-9 and 9-5) `of` says of how many sections of that kind this one is; 0: always.
struct KindSection {
    std::string kind;
    std::vector<std::pair<std::string, std::string>> pins;  // (section's pin, whole's pin)
    int of = 0;
};

struct Kind {
    std::string name;
    std::string says;                   // "a resistor": for sentences
    Quantity quantity = Quantity::none; // none: the part has a type number (model), and `value` is read as it
    bool value_or_model = false;        // a `value` that is no quantity is a type number (transformer, zener, lamp)
    bool polarised = false;
    bool conductor = false;             // link: its two nets are one
    std::string letters;                // usual reference letters: R, C, Q
    PinPattern pattern = PinPattern::fixed;
    bool ordered = false;               // `pins` may be net names alone
    std::vector<KindPin> pins;          // in order; empty but for fixed and contacts (the common)
    std::vector<std::vector<std::uint32_t>> exchanges;  // allowed pin orders besides the identity, as generators: new[i] = old[order[i]]
    std::vector<KindSection> sections;
    std::vector<std::vector<std::string>> synonyms;     // type numbers that are one type
    std::vector<Symbol> symbols;        // first: the usual form; empty: a box with named pins

    // Index of the pin called `name` by its own or another name (exact, then without regard to case).
    std::optional<std::uint32_t> pin(std::string_view name) const;
};

// All kinds known, in the order of the files. Built once, then const.
class KindTable {
public:
    // Adds a kind, or replaces the one of that name where it stands.
    void set(Kind kind);
    std::size_t size() const { return kinds_.size(); }
    const Kind& operator[](KindId id) const { return kinds_[id.index]; }
    std::optional<KindId> find(std::string_view name) const;
    std::vector<std::string> names() const;

    // Type numbers agree: equal without regard to case, blanks and hyphens; or synonyms; or `found` only adds a suffix that
    // begins with a letter to `drawn` (BC109, BC109C; not 2N390, 2N3904). Suffixes count on synonyms too.
    bool same_type(std::string_view drawn, std::string_view found) const;

private:
    std::vector<Kind> kinds_;
    std::map<std::string, std::uint32_t, std::less<>> by_name_;
};

}  // namespace tallyboard
