#include "values/colour_code.h"

#include <algorithm>

#include "base/text.h"
#include "values/plain_form.h"

namespace tallyboard {

namespace {

struct Colour {
    std::string_view name, code;  // code: IEC 60757
    int digit;                    // -1: none
    std::optional<int> multiplier;
    double tolerance;             // -1: none
    int ppm;                      // -1: none
};

// Tolerances of orange, yellow and grey as in the IEC 60062 of 2016.
constexpr Colour colours[] = {
    {"black", "bk", 0, 0, -1, 250},        {"brown", "bn", 1, 1, 0.01, 100},    {"red", "rd", 2, 2, 0.02, 50},
    {"orange", "og", 3, 3, 0.0005, 15},    {"yellow", "ye", 4, 4, 0.0002, 25},  {"green", "gn", 5, 5, 0.005, 20},
    {"blue", "bu", 6, 6, 0.0025, 10},      {"violet", "vt", 7, 7, 0.001, 5},    {"grey", "gy", 8, 8, 0.0001, 1},
    {"white", "wh", 9, 9, -1, -1},         {"gold", "gd", -1, -1, 0.05, -1},    {"silver", "sr", -1, -2, 0.1, -1},
    {"pink", "pk", -1, -3, -1, -1},        {"none", "", -1, std::nullopt, 0.2, -1},
};

const Colour* find_colour(std::string_view word) {
    std::string lower = ascii_lower(word);
    if (lower == "gray") lower = "grey";
    if (lower == "purple") lower = "violet";
    for (const Colour& colour : colours)
        if (colour.name == lower || (!colour.code.empty() && colour.code == lower)) return &colour;
    return nullptr;
}

using Bands = std::vector<const Colour*>;

// Digits, then the multiplier; nothing where a band cannot be that.
std::optional<Decimal> number_of(const Bands& bands, std::size_t digits) {
    std::int64_t number = 0;
    for (std::size_t i = 0; i < digits; ++i) {
        if (bands[i]->digit < 0) return {};
        number = number * 10 + bands[i]->digit;
    }
    // A value does not begin with black: those bands are read from the wrong end.
    if (bands[0]->digit == 0 || !bands[digits]->multiplier) return {};
    return Decimal(number, *bands[digits]->multiplier);
}

bool is_in_series(const Decimal& ohms, std::size_t digits) {
    return nearest_in_series(ohms, 24) == ohms || (digits == 3 && nearest_in_series(ohms, 96) == ohms);
}

std::optional<BandReading> reading_of(const Bands& bands, std::size_t digits) {
    const auto ohms = number_of(bands, digits);
    if (!ohms) return {};
    BandReading reading;
    reading.ohms = *ohms;
    reading.tolerance = {0.2, 0.2};
    if (bands.size() > digits + 1) {
        const double tolerance = bands[digits + 1]->tolerance;
        if (tolerance < 0) return {};
        reading.tolerance = {tolerance, tolerance};
    }
    if (digits == 3 && bands.size() == 6) {
        if (bands[5]->ppm < 0) return {};
        reading.ppm = bands[5]->ppm;
    }
    reading.in_series = is_in_series(*ohms, digits);
    return reading;
}

// Readings in one direction.
std::vector<BandReading> readings_of(const Bands& bands) {
    std::vector<BandReading> readings;
    const std::size_t digits = bands.size() >= 5 ? 3 : 2;
    if (auto reading = reading_of(bands, digits)) readings.push_back(*reading);
    // An old four-band part with a reliability band: gold or silver fourth, then brown, red, orange or yellow.
    if (bands.size() == 5 && (bands[3]->name == "gold" || bands[3]->name == "silver") && bands[4]->digit >= 1 && bands[4]->digit <= 4)
        if (auto reading = reading_of(Bands(bands.begin(), bands.begin() + 4), 2)) {
            reading->note = "fifth band read as reliability";
            readings.push_back(*reading);
        }
    return readings;
}

// Sides of a part coded by body, tip and dot (to about 1940): body first digit, one end second, dot the zeros; the other
// end gold or silver. A colour left out is the same as the body.
Result<Value> read_body_tip_dot(std::string_view marking) {
    const Colour *body = nullptr, *tip = nullptr, *dot = nullptr, *other_end = nullptr;
    const std::vector<std::string> words = split_words(ascii_lower(marking));
    for (std::size_t i = 0; i + 1 < words.size(); i += 2) {
        const Colour* colour = find_colour(words[i + 1]);
        const std::string& place = words[i];
        if (!colour) return Failure{"“" + words[i + 1] + "” is no colour"};
        const bool metal = colour->name == "gold" || colour->name == "silver";
        if (place == "body") body = colour;
        else if ((place == "tip" || place == "end") && metal) other_end = colour;
        else if (place == "tip" || place == "end") tip = colour;
        else if (place == "dot" || place == "band") dot = colour;
        else return Failure{"“" + std::string(marking) + "”: write body, tip and dot, each with its colour"};
    }
    if (!body || words.size() % 2 != 0) return Failure{"“" + std::string(marking) + "”: write body, tip and dot, each with its colour"};
    const Bands bands{body, tip ? tip : body, dot ? dot : body};
    const auto ohms = number_of(bands, 2);
    if (!ohms) return Failure{"“" + std::string(marking) + "” makes no value"};
    Value value;
    value.text = collapsed(marking);
    value.quantity = Quantity::resistance;
    value.number = *ohms;
    const double tolerance = other_end ? other_end->tolerance : 0.2;
    value.tolerance = Tolerance{tolerance, tolerance};
    return value;
}

Result<Bands> bands_of(std::span<const std::string> words) {
    Bands bands;
    for (const std::string& word : words) {
        const Colour* colour = find_colour(word);
        if (!colour) return Failure{"“" + word + "” is no colour of a band"};
        bands.push_back(colour);
    }
    if (!bands.empty() && bands.back()->name == "none" && bands.size() == 4) bands.pop_back();
    return bands;
}

std::string all_of(std::span<const std::string> words) { return join({words.begin(), words.end()}, " "); }

}  // namespace

std::vector<std::string> split_colours(std::string_view marking) {
    std::string blanks(marking);
    for (char& c : blanks)
        if (c == '-' || c == ',' || c == '/') c = ' ';
    std::vector<std::string> words = split_words(blanks);
    for (const std::string& word : words)
        if (!find_colour(word)) return {};
    return words;
}

bool is_colour_marking(std::string_view marking) {
    const std::string lower = ascii_lower(marking);
    return lower.starts_with("body ") || !split_colours(marking).empty();
}

Result<std::vector<BandReading>> read_bands(std::span<const std::string> words) {
    const auto bands = bands_of(words);
    if (!bands) return Failure{bands.error()};
    if (bands->size() == 1 && bands->front()->name == "black") {
        BandReading link;
        link.in_series = true;
        return std::vector<BandReading>{link};
    }
    if (bands->size() < 3 || bands->size() > 6)
        return Failure{"“" + all_of(words) + "”: a resistor has three to six bands, a link one black one"};
    std::vector<BandReading> readings = readings_of(*bands);
    // From the other end only where the last band does not settle the direction and a value of the series comes out.
    const bool metal_last = bands->back()->digit < 0;
    if (!metal_last && bands->size() > 3) {
        for (BandReading& reading : readings_of(Bands(bands->rbegin(), bands->rend()))) {
            const bool new_number = std::none_of(readings.begin(), readings.end(), [&](const BandReading& r) { return r.ohms == reading.ohms; });
            reading.from_other_end = true;
            if ((reading.in_series || readings.empty()) && new_number) readings.push_back(reading);
        }
    }
    if (readings.empty()) return Failure{"“" + all_of(words) + "” makes no value from either end"};
    return readings;
}

Result<Value> read_colour_marking(std::string_view marking, Quantity quantity) {
    if (quantity != Quantity::resistance)
        return Failure{"“" + collapsed(marking) + "”: colours on this part were used in several systems; write what it is marked or measured as"};
    if (ascii_lower(marking).starts_with("body ")) return read_body_tip_dot(marking);
    const auto readings = read_bands(split_colours(marking));
    if (!readings) return Failure{readings.error()};
    Value value;
    value.text = collapsed(marking);
    value.quantity = Quantity::resistance;
    value.number = readings->front().ohms;
    if (!value.number.is_zero()) value.tolerance = readings->front().tolerance;
    for (std::size_t i = 1; i < readings->size(); ++i) {
        const BandReading& other = (*readings)[i];
        if (other.ohms == value.number) continue;
        value.other_readings.push_back(other.ohms);
        value.remarks.push_back({value.text + " read as " + trade_text(value.number, quantity) + "; " +
                                     (other.from_other_end ? "from the other end it is " : other.note + ", it is ") +
                                     trade_text(other.ohms, quantity),
                                 "", true});
    }
    return value;
}

std::vector<MistakenBand> mistaken_bands(std::span<const std::string> words) {
    static constexpr std::string_view groups[][3] = {
        {"red", "orange", "brown"}, {"blue", "violet", "grey"}, {"white", "yellow", ""}, {"gold", "orange", "yellow"}};
    static constexpr std::string_view ordinals[] = {"first", "second", "third", "fourth"};
    std::vector<MistakenBand> found;
    const auto bands = bands_of(words);
    if (!bands || bands->size() < 3 || bands->size() > 6) return found;
    const std::size_t digits = bands->size() >= 5 ? 3 : 2;
    const auto as_read = number_of(*bands, digits);
    for (std::size_t i = 0; i <= digits; ++i)
        for (const auto& group : groups) {
            if (std::find(std::begin(group), std::end(group), (*bands)[i]->name) == std::end(group)) continue;
            for (std::string_view name : group) {
                const Colour* colour = find_colour(name);
                if (!colour || colour == (*bands)[i]) continue;
                Bands other = *bands;
                other[i] = colour;
                const auto ohms = number_of(other, digits);
                const bool known = std::any_of(found.begin(), found.end(), [&](const MistakenBand& m) { return ohms == m.ohms; });
                if (ohms && ohms != as_read && !known && is_in_series(*ohms, digits))
                    found.push_back({*ohms, std::string(ordinals[i]) + " band " + std::string(name) + ", not " + std::string((*bands)[i]->name)});
            }
        }
    return found;
}

}  // namespace tallyboard
