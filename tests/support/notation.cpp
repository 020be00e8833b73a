#include "support/notation.h"

#include <map>
#include <vector>

namespace tallyboard::test {
namespace {

struct Letter { char letter; int power; };
constexpr Letter letters[] = {{'p', -12}, {'n', -9}, {'u', -6}, {'m', -3}, {'R', 0}, {'k', 3}, {'M', 6}};

bool is_resistive(const std::string& kind) { return kind == "resistor" || kind == "potentiometer" || kind == "trimmer"; }
bool is_capacitive(const std::string& kind) { return kind == "capacitor" || kind == "electrolytic"; }
bool is_inductive(const std::string& kind) { return kind == "inductor"; }

std::string unit(const std::string& kind) { return is_resistive(kind) ? "Ω" : is_capacitive(kind) ? "F" : "H"; }

// The number in plain digits after moving its point by `power`: 0.1, 4700.
std::string scaled_text(PlainNumber number, int power) {
    std::string text = std::to_string(number.digits);
    const int exponent = number.exponent - power;
    if (exponent >= 0) return text + std::string(static_cast<std::size_t>(exponent), '0');
    const std::size_t places = static_cast<std::size_t>(-exponent);
    if (text.size() <= places) text.insert(0, places + 1 - text.size(), '0');
    text.insert(text.size() - places, ".");
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
    return text;
}

// The letters that leave the number readable, the usual one first: between 1 and 1000, then its neighbours.
std::vector<Letter> fitting(PlainNumber number, const std::string& kind) {
    const int size = static_cast<int>(std::to_string(number.digits).size()) + number.exponent;  // digits before the point
    std::vector<Letter> usual, others;
    for (const Letter& letter : letters) {
        const bool suits = is_resistive(kind) ? letter.power >= 0 : is_capacitive(kind) ? letter.power <= -6
                                                                                       : letter.power < 0;
        const int before = size - letter.power;
        if (!suits) continue;
        if (before >= 1 && before <= 3) usual.push_back(letter);
        else if (before >= -1 && before <= 5) others.push_back(letter);
    }
    usual.insert(usual.end(), others.begin(), others.end());
    return usual;
}

}  // namespace

std::optional<PlainNumber> plain_number(const std::string& text, const std::string& kind) {
    if (!is_resistive(kind) && !is_capacitive(kind) && !is_inductive(kind)) return {};
    PlainNumber number;
    bool behind = false, lettered = false;
    int places = 0, power = 0;
    for (char c : text) {
        if (c >= '0' && c <= '9') {
            number.digits = number.digits * 10 + (c - '0');
            places += behind ? 1 : 0;
            continue;
        }
        if (c == '.' && !behind) { behind = true; continue; }
        bool known = false;
        for (const Letter& letter : letters)
            if (letter.letter == c && !lettered) { power = letter.power; known = behind = lettered = true; }
        if (!known) return {};
    }
    if (number.digits == 0) return {};
    number.exponent = power - places;
    while (number.digits % 10 == 0) { number.digits /= 10; ++number.exponent; }
    return number;
}

std::string number_text(PlainNumber number, const std::string& kind) {
    const std::vector<Letter> choice = fitting(number, kind);
    if (choice.empty()) return scaled_text(number, 0);
    const std::string text = scaled_text(number, choice[0].power);
    return choice[0].power == 0 ? text : text + choice[0].letter;
}

std::string other_notation(const std::string& text, const std::string& kind, Random& random) {
    const auto number = plain_number(text, kind);
    if (!number) return text;
    const std::vector<Letter> choice = fitting(*number, kind);
    if (choice.empty()) return text;
    const Letter letter = choice[random.below(choice.size())];
    const std::string plain = scaled_text(*number, letter.power);
    const std::string prefix = letter.power == 0 ? "" : letter.letter == 'u' && random.chance(50) ? "µ" : std::string(1, letter.letter);
    switch (random.below(4)) {
        case 0: return plain + prefix;
        case 1: return plain + " " + prefix + unit(kind);
        case 2: return plain + prefix + unit(kind);
        default: {
            const std::size_t point = plain.find('.');
            if (point == std::string::npos || plain[0] == '0') return plain + prefix;
            return plain.substr(0, point) + letter.letter + plain.substr(point + 1);   // 4k7
        }
    }
}

std::string other_value(const std::string& text, const std::string& kind, Random& random) {
    const auto number = plain_number(text, kind);
    if (!number) {
        static const std::map<std::string, std::string> others{{"24V", "22V"}, {"500mA", "1A"}, {"25:1", "20:1"}};
        const auto found = others.find(text);
        return found == others.end() ? text + "9" : found->second;   // a type number
    }
    static const int mantissas[] = {10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82};
    for (;;) {
        PlainNumber other{mantissas[random.below(12)], 0};
        other.exponent = number->exponent + static_cast<int>(std::to_string(number->digits).size()) - 2;
        if (random.chance(20)) other = {number->digits, number->exponent + (random.chance(50) ? 1 : -1)};  // a lost zero
        if (other.digits % 10 == 0) { other.digits /= 10; ++other.exponent; }
        if (other.digits != number->digits || other.exponent != number->exponent) return number_text(other, kind);
    }
}

}  // namespace tallyboard::test
