#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "values/value.h"

namespace tallyboard {

// One way of reading a resistor's bands. Source: IEC 60062, EIA RS-279; two-letter codes IEC 60757.
struct BandReading {
    Decimal ohms;
    Tolerance tolerance;
    std::optional<int> ppm;        // temperature coefficient, six bands
    bool from_other_end = false;   // the bands taken in reverse
    bool in_series = false;        // the number is a member of the E series of as many figures
    std::string note;              // "fifth band read as reliability"
};

// Every sensible reading of the bands in the order given, the likeliest first; at least one. Three bands to six; one black
// band is a link (0 Ω). Failure: a word that is no colour, gold or silver as a digit at both ends, too many bands.
Result<std::vector<BandReading>> read_bands(std::span<const std::string> colours);

// The colours of a marking: names ("yellow", "grey" or "gray") or two-letter codes, parted by blanks, hyphens, commas or
// strokes. Empty where a word is no colour.
std::vector<std::string> split_colours(std::string_view marking);

// Whether a marking is written in colours, bands or "body … tip … dot …".
bool is_colour_marking(std::string_view marking);
// The value of such a marking; further readings in other_readings with a remark. Capacitor and coil dots are refused: several
// systems lived side by side, and a guess must not become a difference.
Result<Value> read_colour_marking(std::string_view marking, Quantity quantity);

// Numbers that the bands stand for if one colour was mistaken for a neighbour (red, orange, brown; blue, violet, grey; white,
// yellow; gold, orange, yellow): each with the words "third band orange, not red".
struct MistakenBand { Decimal ohms; std::string says; };
std::vector<MistakenBand> mistaken_bands(std::span<const std::string> colours);

}  // namespace tallyboard
