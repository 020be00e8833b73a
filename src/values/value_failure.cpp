#include "values/value_failure.h"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "base/text.h"
#include "values/rest_of_value.h"
#include "values/trade_notation.h"

namespace tallyboard::detail {

namespace {

bool is_letter(char c) { return ascii_lower(c) >= 'a' && ascii_lower(c) <= 'z'; }

struct LookAlike { char letter, digit; };
constexpr LookAlike look_alikes[] = {{'l', '1'}, {'I', '1'}, {'i', '1'}, {'O', '0'}, {'o', '0'}, {'Q', '0'},
                                     {'S', '5'}, {'B', '8'}, {'Z', '2'}, {'g', '9'}};

// The text read with letters taken for the digits they look like, where that makes a value: "a letter l for the digit 1?".
// Only where the text begins like a number, so that type numbers are left alone.
std::optional<std::string> look_alike_slip(const PlainForm& form, Quantity quantity, const ValueHabits& habits) {
    const std::string& text = form.text;
    const bool begins_like_number = is_digit(text[0]) || text[0] == '.' || std::string_view("lIO").find(text[0]) != std::string_view::npos;
    if (!begins_like_number || std::none_of(text.begin(), text.end(), is_digit)) {
        // "lOk" has no digit at all and is still a value.
        if (!begins_like_number || text.size() > 4) return {};
    }
    std::string mended = text;
    std::vector<std::string> slips;
    for (char& c : mended)
        for (const auto& [letter, digit] : look_alikes)
            if (c == letter) {
                const std::string slip = std::string("a letter ") + letter + " for the digit " + digit;
                if (std::find(slips.begin(), slips.end(), slip) == slips.end()) slips.push_back(slip);
                c = digit;
                break;
            }
    if (slips.empty()) return {};
    if (!read_notation(plain_form(mended), quantity, habits)) return {};
    return "“" + form.written + "”: " + join_words(slips) + "? Write " + mended + " if so";
}

constexpr Quantity measurable[] = {Quantity::resistance, Quantity::capacitance, Quantity::inductance, Quantity::voltage,
                                   Quantity::current,    Quantity::frequency,   Quantity::power};

struct Kindly { Quantity quantity; std::string_view article_name, example; };
constexpr Kindly kindly[] = {
    {Quantity::resistance, "a resistance", "4k7"}, {Quantity::capacitance, "a capacitance", "4n7 or 10u"},
    {Quantity::inductance, "an inductance", "4.7mH"}, {Quantity::voltage, "a voltage", "6V3 or 24V"},
    {Quantity::current, "a current", "500mA"}, {Quantity::frequency, "a frequency", "38kHz"}, {Quantity::power, "a power", "0.5W"},
    {Quantity::ratio, "a ratio of turns", "25:1"}};

const Kindly& kindly_of(Quantity quantity) {
    for (const Kindly& row : kindly)
        if (row.quantity == quantity) return row;
    return kindly[0];
}

// The text as another quantity, if a unit says so.
std::optional<Quantity> other_quantity(const PlainForm& form, Quantity quantity) {
    if (std::none_of(form.text.begin(), form.text.end(), is_letter)) return {};
    // A unit written out at the end speaks louder than what its letters could be besides: 100mA is no resistance of ±0.05 %.
    constexpr std::pair<char, Quantity> endings[] = {{'V', Quantity::voltage}, {'A', Quantity::current}, {'W', Quantity::power}};
    for (const auto& [letter, other] : endings)
        if (form.text.back() == letter && other != quantity && read_notation(form, other, {})) return other;
    for (Quantity other : measurable)
        if (other != quantity && read_notation(form, other, {})) return other;
    return {};
}

// "BC109", and the registered numbers 1N4148, 2N3904, 1S1588.
bool is_type_number_like(std::string_view text) {
    const bool registered = text.size() >= 5 && is_digit(text[0]) && (text[1] == 'N' || text[1] == 'S') && is_digit(text[2]) &&
                            is_digit(text[3]) && is_digit(text[4]);
    if (registered) return true;
    return is_letter(text[0]) && std::any_of(text.begin(), text.end(), is_digit) && text.find(' ') == std::string_view::npos;
}

// Resistors' letters on a capacitor: each has its own likely meaning there.
std::optional<std::string> capacitor_slip(const PlainForm& form) {
    const std::string& text = form.text;
    const std::size_t letter = text.find_first_of("kRr");
    if (letter == std::string::npos || !read_notation(form, Quantity::resistance, {})) return {};
    if (text[letter] == 'k' && letter + 1 < text.size()) return {};
    if (text[letter] == 'k')
        return "“" + form.written + "”: a capacitor has no k; write n for nanofarads, or K for a tolerance of 10 %";
    return "“" + form.written + "” is a code printed on parts; write the value, as in 4.7p";
}

bool is_scientific(std::string_view text) {
    const std::size_t e = text.find('e');
    return e != std::string_view::npos && e > 0 && is_digit(text[e - 1]) && e + 1 < text.size() &&
           (is_digit(text[e + 1]) || text[e + 1] == '-' || text[e + 1] == '+');
}

}  // namespace

Failure explain_failure(const PlainForm& form, Quantity quantity, const ValueHabits& habits, const std::string& reason) {
    const std::string shown = "“" + form.written + "”";
    const Kindly& wanted = kindly_of(quantity);
    if (says_not_fitted(form.text)) return Failure{shown + " is no value; a place without its part is written fit=\"no\""};
    if (says_chosen_at_test(form.text))
        return Failure{shown + " gives no number; write the usual one with a star, as in 10k*, or ?"};
    if (const auto slip = look_alike_slip(form, quantity, habits)) return Failure{*slip};
    if (is_scientific(form.text))
        return Failure{shown + " is not how values are written here; write it as in " + std::string(wanted.example)};
    if (quantity == Quantity::capacitance)
        if (const auto slip = capacitor_slip(form)) return Failure{*slip};
    if (is_type_number_like(form.text))
        return Failure{shown + " looks like a type number, which is written in model=; a value is " +
                       std::string(wanted.article_name) + ", as in " + std::string(wanted.example)};
    if (const auto other = other_quantity(form, quantity)) {
        const Kindly& found = kindly_of(*other);
        return Failure{shown + " is " + std::string(found.article_name) + "; " + std::string(wanted.article_name) +
                       " is wanted, as in " + std::string(wanted.example)};
    }
    const std::string plain_reason = shown + " is no " + std::string(quantity_name(quantity));
    if (reason == plain_reason)
        return Failure{shown + " is not " + std::string(wanted.article_name) + " in any notation known; write it as in " +
                       std::string(wanted.example)};
    return Failure{reason};
}

}  // namespace tallyboard::detail
