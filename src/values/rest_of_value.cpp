#include "values/rest_of_value.h"

#include <algorithm>
#include <iterator>
#include <string>

#include "base/text.h"
#include "values/number_reading.h"
#include "values/tolerance.h"

namespace tallyboard::detail {

namespace {

constexpr std::string_view chosen_words[] = {"select", "selected", "sot", "s.o.t.", "aot", "a.o.t.", "fsv", "f.s.v.", "nom",
                                             "nominal", "adjust on test", "select on test"};
constexpr std::string_view not_fitted_words[] = {"n.c.", "nc", "nf", "n.f.", "dnp", "dnf", "not fitted", "omit", "omitted",
                                                 "not used"};
// Units of a rating; a number stands before them.
constexpr std::string_view rating_units[] = {"v", "vdc", "vac", "v~", "v=", "vw", "wv", "wvdc", "vdcw", "vrms", "volt", "volts",
                                             "kv", "kvdc", "mv", "w", "watt", "watts", "mw", "kw", "va", "a", "ma", "amp",
                                             "hz", "khz", "mhz", "ppm", "ppm/k", "ppm/°c", "°c", "°", "turns", "t", "pole", "way",
                                             "mm", "ohm", "kohm"};
// Short words of the trade that say a class or a law; longer words are taken as they come.
constexpr std::string_view class_words[] = {"x1", "x2", "y1", "y2", "ac", "dc", "np", "bp", "c0g", "cog", "np0", "npo", "x7r",
                                            "x5r", "z5u", "y5v", "y5p", "y5u", "ww", "cc", "cf", "mf", "mo", "hs", "lin", "log",
                                            "ff", "tt", "mt", "rms"};
// Words that say what a part is made of or how it is used.
constexpr std::string_view known_words[] = {"carbon", "film", "metal", "oxide", "comp", "composition", "wirewound", "wire-wound",
                                            "paper", "mica", "ceramic", "disc", "polyester", "polystyrene", "polypropylene", "mylar",
                                            "tantalum", "bipolar", "silver", "electrolytic", "non-polar", "cracked", "fusible", "slow",
                                            "fast", "quick", "anti-surge", "stereo", "ganged", "preset", "audio"};

template <class Words>
bool is_one_of(std::string_view word, const Words& words) {
    const std::string lower = ascii_lower(word);
    return std::find(std::begin(words), std::end(words), lower) != std::end(words);
}

bool is_letter(char c) { return ascii_lower(c) >= 'a' && ascii_lower(c) <= 'z'; }

std::size_t word_end(std::string_view text, std::size_t at) {
    while (at < text.size() && text[at] != ' ' && text[at] != ',' && text[at] != ';' && text[at] != '*') ++at;
    return at;
}

// "400V", "1/4 W", ".5W", "50" behind a stroke: where it ends; `at` itself if it is none.
std::size_t rating_end(std::string_view text, std::size_t at, bool bare_volts) {
    std::size_t i = at;
    bool digits = false;
    for (; i < text.size() && (is_digit(text[i]) || text[i] == '.' || text[i] == '/'); ++i) digits |= is_digit(text[i]);
    if (!digits) return at;
    const std::size_t number_end = i;
    if (i < text.size() && text[i] == ' ') ++i;
    std::size_t unit_end = i;
    while (unit_end < text.size() && text[unit_end] != ' ' && text[unit_end] != ',' && text[unit_end] != ';' &&
           text[unit_end] != '*' && text[unit_end] != '-' && text[unit_end] != '(')
        ++unit_end;
    const std::string_view unit = text.substr(i, unit_end - i);
    if (is_one_of(unit, rating_units)) return unit_end;
    // "400V/1000V": the unit ends at a stroke too.
    const std::size_t stroke = unit.find('/');
    if (stroke != std::string_view::npos && is_one_of(unit.substr(0, stroke), rating_units)) return i + stroke;
    const bool ends = number_end == text.size() || text[number_end] == ' ';
    return bare_volts && ends ? number_end : at;
}

// A class, law or remark in words: "X2", "log", "carbon film", "(2 off)". Behind a number without a unit only known words are
// taken: an unknown one may be a unit misspelled.
std::size_t remark_end(std::string_view text, std::size_t at, bool bare) {
    if (text[at] == '(') {
        const std::size_t close = text.find(')', at);
        return close == std::string_view::npos ? at : close + 1;
    }
    const std::size_t end = word_end(text, at);
    const std::string_view word = text.substr(at, end - at);
    for (const std::string& piece : split(word, '/'))
        if (!is_one_of(piece, class_words)) {
            if (!bare && is_letter(word.front()) && word.size() >= 2) return end;
            return is_one_of(word, known_words) ? end : at;
        }
    return end;
}

void add_rating(Value& value, const std::string& piece) { value.rating += (value.rating.empty() ? "" : " ") + piece; }

// A letter by itself: a tolerance, the speed of a fuse, the law of a potentiometer.
bool take_lone_letter(char letter, Value& value) {
    const std::string piece(1, letter);
    if (value.quantity == Quantity::current || std::string_view("AWX").find(letter) != std::string_view::npos ||
        (value.quantity == Quantity::resistance && (letter == 'B' || letter == 'C'))) {
        add_rating(value, piece);
        return true;
    }
    const auto tolerance = tolerance_letter(letter, value.quantity == Quantity::capacitance ? std::optional(value.si()) : std::nullopt);
    if (!tolerance || value.tolerance) return false;
    value.tolerance = tolerance;
    return true;
}

}  // namespace

bool says_not_fitted(std::string_view plain) { return is_one_of(plain, not_fitted_words); }
bool says_chosen_at_test(std::string_view plain) { return plain == "*" || is_one_of(plain, chosen_words); }

std::size_t take_leading_marks(const PlainForm& form, Value& value) {
    const std::string_view text = form.text;
    std::size_t at = 0;
    const std::size_t blank = text.find(' ');
    if (text[0] == '*') {
        value.chosen_at_test = true;
        at = 1;
    } else if (blank != std::string_view::npos && says_chosen_at_test(text.substr(0, blank))) {
        value.chosen_at_test = true;
        at = blank;
    } else {
        // Letters right before a digit: the speed of a fuse (T500mA, FF 2A), the law of a potentiometer (A500K).
        std::size_t letters = 0;
        while (letters < text.size() && is_letter(text[letters])) ++letters;
        const std::string_view word = text.substr(0, letters);
        const std::string_view speeds[] = {"T", "F", "M", "TT", "FF"};
        const std::string_view laws[] = {"A", "B", "C", "W"};
        const bool digit_follows = letters < text.size() && (is_digit(text[letters]) || text[letters] == ' ' || text[letters] == '.');
        const bool speed = value.quantity == Quantity::current && std::find(std::begin(speeds), std::end(speeds), word) != std::end(speeds);
        // B10 is no law and value: one that counts kilo-ohms or more stands behind it.
        const bool law = value.quantity == Quantity::resistance && std::find(std::begin(laws), std::end(laws), word) != std::end(laws) &&
                         (ascii_upper(text.back()) == 'K' || text.back() == 'M') && is_digit(text[letters == text.size() ? 0 : letters]);
        if (digit_follows && (speed || law)) {
            add_rating(value, std::string(word));
            at = letters;
        }
    }
    while (at < text.size() && text[at] == ' ') ++at;
    return at;
}

std::optional<Failure> take_rest(const PlainForm& form, std::size_t at, bool bare, Value& value) {
    const std::string_view text = form.text;
    while (at < text.size()) {
        const std::size_t before = at;
        if (text[at] == ' ' || text[at] == ',' || text[at] == ';' || text[at] == '@') {
            ++at;
            continue;
        }
        if (text[at] == '*') {
            value.chosen_at_test = true;
            ++at;
            continue;
        }
        std::size_t end = at;
        if (const auto tolerance = take_percent_tolerance(text, end)) {
            value.tolerance = tolerance;
            at = end;
            continue;
        }
        const std::size_t word = word_end(text, at);
        if (says_chosen_at_test(text.substr(at, word - at))) {
            value.chosen_at_test = true;
            at = word;
            continue;
        }
        if (word == at + 1 && is_letter(text[at]) && take_lone_letter(text[at], value)) {
            at = word;
            continue;
        }
        // 10/50, 10-50: the volts of a capacitor behind a stroke.
        const bool stroke = text[at] == '/' || text[at] == '-';
        if (stroke) ++at;
        while (at < text.size() && text[at] == ' ') ++at;
        end = rating_end(text, at, stroke && value.quantity == Quantity::capacitance);
        // A word stands apart from the number; "47kfoo" is no value.
        const bool apart = stroke || text[before] == '(' || std::string_view(" ,;)%").find(text[before - 1]) != std::string_view::npos;
        if (end == at && at < text.size() && apart) end = remark_end(text, at, bare);
        if (end == at) return Failure{"“" + form.written + "”: “" + form.as_written(before, text.size()) + "” is not understood"};
        add_rating(value, form.as_written(at, end));
        at = end;
    }
    return {};
}

}  // namespace tallyboard::detail
