// Reading values. The notations are the rows of one table; the grammar round them is small:
//   value = [sign] (digits LETTER digits | LETTER digits | number [unit]) [unit word] [tolerance letter] rest
// and what follows the number (tolerance, rating, law) is read by rest_of_value.cpp.

#include "values/trade_notation.h"

#include <iterator>
#include <optional>
#include <string>

#include "base/text.h"
#include "values/colour_code.h"
#include "values/digit_code.h"
#include "values/number_reading.h"
#include "values/rest_of_value.h"
#include "values/tolerance.h"
#include "values/value_failure.h"

namespace tallyboard {

namespace detail {

namespace {

// What has to be said of a notation because another period or country means something else by it.
enum class Doubt {
    none,
    small_m_resistor,   // 4.7m: megohm or milliohm
    milliohm,           // 4.7mΩ: spelled out, and still worth a word
    small_m_capacitor,  // 10m: millifarad or microfarad
    mf,                 // MF, mF: microfarad or millifarad
    capital_milli,      // 500MA: no one means megamperes
    small_mega,         // mHz: no one means millihertz
    farad,              // 10F: farads or a tolerance
};

// How a unit, or the letter that stands for it, is written: one row a notation. A new one is a row here and a line in the
// table of the test.
struct Notation {
    std::string_view written;
    Quantity quantity;
    int power;        // of ten, to the SI unit
    bool exact_case;  // else capitals and small letters are alike
    bool at_point;    // may stand at the decimal point: 4k7
    bool leads;       // may stand before the digits: R47
    Doubt doubt = Doubt::none;
};

constexpr auto R = Quantity::resistance;
constexpr auto C = Quantity::capacitance;
constexpr auto L = Quantity::inductance;
constexpr auto V = Quantity::voltage;
constexpr auto A = Quantity::current;
constexpr auto F = Quantity::frequency;
constexpr auto P = Quantity::power;

// Where two rows are as long, the first that fits counts: rows that mind the case stand first.
constexpr Notation notations[] = {
    // written     of  10^n  case   point  leads  doubt
    {"R",          R,   0,   false, true,  true},
    {"E",          R,   0,   true,  true,  false},  // European for R: 100 E, 4E7
    {"ohm",        R,   0,   false, true,  false},
    {"ohms",       R,   0,   false, false, false},
    {"k",          R,   3,   false, true,  true},
    {"kR",         R,   3,   false, false, false},
    {"kohm",       R,   3,   false, true,  false},
    {"kohms",      R,   3,   false, false, false},
    {"kilohm",     R,   3,   false, false, false},
    {"kilohms",    R,   3,   false, false, false},
    {"kilo-ohm",   R,   3,   false, false, false},
    {"kilo-ohms",  R,   3,   false, false, false},
    {"m",          R,   6,   true,  true,  true,  Doubt::small_m_resistor},
    {"M",          R,   6,   true,  true,  true},
    {"meg",        R,   6,   false, true,  false},
    {"megs",       R,   6,   false, false, false},
    {"megohm",     R,   6,   false, false, false},
    {"megohms",    R,   6,   false, false, false},
    {"mohm",       R,  -3,   true,  false, false, Doubt::milliohm},
    {"Mohm",       R,   6,   false, true,  false},
    {"Mohms",      R,   6,   false, false, false},
    {"milliohm",   R,  -3,   false, false, false},
    {"milliohms",  R,  -3,   false, false, false},
    {"L",          R,  -3,   true,  true,  true},   // IEC 60062: milliohms
    {"G",          R,   9,   true,  true,  false},
    {"Gohm",       R,   9,   false, false, false},

    {"p",          C, -12,   false, true,  true},
    {"pF",         C, -12,   false, true,  false},
    {"n",          C,  -9,   false, true,  true},
    {"nF",         C,  -9,   false, true,  false},
    {"u",          C,  -6,   false, true,  true},
    {"uF",         C,  -6,   false, true,  false},
    {"ufd",        C,  -6,   false, false, false},
    {"m",          C,  -3,   true,  true,  true,  Doubt::small_m_capacitor},
    {"mF",         C,  -6,   false, false, false, Doubt::mf},
    {"mfd",        C,  -6,   false, false, false},
    {"mfds",       C,  -6,   false, false, false},
    {"mike",       C,  -6,   false, false, false},
    {"mikes",      C,  -6,   false, false, false},
    {"microfarad", C,  -6,   false, false, false},
    {"microfarads",C,  -6,   false, false, false},
    {"mmf",        C, -12,   false, false, false},
    {"mmfd",       C, -12,   false, false, false},
    {"uuf",        C, -12,   false, false, false},
    {"uufd",       C, -12,   false, false, false},
    {"puff",       C, -12,   false, false, false},
    {"puffs",      C, -12,   false, false, false},
    {"mickey-mike",C, -12,   false, false, false},
    {"picofarad",  C, -12,   false, false, false},
    {"picofarads", C, -12,   false, false, false},
    {"nanofarad",  C,  -9,   false, false, false},
    {"nanofarads", C,  -9,   false, false, false},
    {"F",          C,   0,   true,  true,  false, Doubt::farad},
    {"farad",      C,   0,   false, false, false},

    {"H",          L,   0,   true,  true,  false},
    {"Hy",         L,   0,   false, false, false},
    {"henry",      L,   0,   false, false, false},
    {"henries",    L,   0,   false, false, false},
    {"m",          L,  -3,   true,  true,  true},
    {"mH",         L,  -3,   true,  true,  false},
    {"mHy",        L,  -3,   false, false, false},
    {"MH",         L,  -3,   false, false, false, Doubt::capital_milli},
    {"u",          L,  -6,   false, true,  true},
    {"uH",         L,  -6,   false, true,  false},
    {"uHy",        L,  -6,   false, false, false},
    {"n",          L,  -9,   false, true,  true},
    {"nH",         L,  -9,   false, true,  false},

    {"V",          V,   0,   false, true,  false},
    {"volt",       V,   0,   false, false, false},
    {"volts",      V,   0,   false, false, false},
    {"m",          V,  -3,   true,  true,  false},
    {"mV",         V,  -3,   true,  false, false},
    {"MV",         V,  -3,   false, false, false, Doubt::capital_milli},
    {"u",          V,  -6,   false, false, false},
    {"uV",         V,  -6,   false, false, false},
    {"nV",         V,  -9,   false, false, false},
    {"k",          V,   3,   false, true,  false},
    {"kV",         V,   3,   false, true,  false},

    {"A",          A,   0,   false, true,  false},
    {"amp",        A,   0,   false, false, false},
    {"amps",       A,   0,   false, false, false},
    {"m",          A,  -3,   true,  true,  false},
    {"mA",         A,  -3,   true,  false, false},
    {"MA",         A,  -3,   false, false, false, Doubt::capital_milli},
    {"u",          A,  -6,   false, true,  false},
    {"uA",         A,  -6,   false, false, false},
    {"nA",         A,  -9,   false, false, false},
    {"pA",         A, -12,   false, false, false},
    {"kA",         A,   3,   false, false, false},

    {"Hz",         F,   0,   false, false, false},
    {"c/s",        F,   0,   false, false, false},
    {"cps",        F,   0,   false, false, false},
    {"k",          F,   3,   false, true,  false},
    {"kHz",        F,   3,   false, false, false},
    {"kc",         F,   3,   false, false, false},
    {"kcs",        F,   3,   false, false, false},
    {"kc/s",       F,   3,   false, false, false},
    {"M",          F,   6,   true,  true,  false},
    {"mHz",        F,   6,   true,  false, false, Doubt::small_mega},
    {"MHz",        F,   6,   false, false, false},
    {"Mc",         F,   6,   false, false, false},
    {"Mcs",        F,   6,   false, false, false},
    {"Mc/s",       F,   6,   false, false, false},
    {"GHz",        F,   9,   false, false, false},

    {"W",          P,   0,   false, true,  false},
    {"watt",       P,   0,   false, false, false},
    {"watts",      P,   0,   false, false, false},
    {"m",          P,  -3,   true,  false, false},
    {"mW",         P,  -3,   true,  false, false},
    {"MW",         P,  -3,   false, false, false, Doubt::capital_milli},
    {"uW",         P,  -6,   false, false, false},
    {"kW",         P,   3,   false, false, false},
};

bool is_letter(char c) { return ascii_lower(c) >= 'a' && ascii_lower(c) <= 'z'; }

bool stands_at(std::string_view text, std::size_t at, const Notation& row) {
    const std::string_view there = text.substr(at, row.written.size());
    return row.exact_case ? there == row.written : ascii_lower(there) == ascii_lower(row.written);
}

// Behind a unit: nothing more of the word, or one letter (a tolerance, a law).
bool ends_word(std::string_view text, std::size_t at) {
    const auto letter_at = [&](std::size_t i) { return i < text.size() && is_letter(text[i]); };
    return !letter_at(at) || !letter_at(at + 1);
}

// The longest notation of the quantity at `at` for which `fits` holds.
template <class Fits>
const Notation* longest_notation(std::string_view text, std::size_t at, Quantity quantity, Fits fits) {
    const Notation* longest = nullptr;
    for (const Notation& row : notations) {
        if (row.quantity != quantity || (longest && row.written.size() <= longest->written.size())) continue;
        if (stands_at(text, at, row) && fits(row, at + row.written.size())) longest = &row;
    }
    return longest;
}

const Notation* unit_at(std::string_view text, std::size_t at, Quantity quantity) {
    return longest_notation(text, at, quantity, [&](const Notation&, std::size_t end) { return ends_word(text, end); });
}

// A letter at the decimal point: digits follow at once.
const Notation* point_letter_at(std::string_view text, std::size_t at, Quantity quantity, bool leading) {
    return longest_notation(text, at, quantity, [&](const Notation& row, std::size_t end) {
        return (leading ? row.leads : row.at_point) && end < text.size() && is_digit(text[end]);
    });
}

// The number part of a value as read: digits and what they count.
struct Head {
    Decimal number;                    // in SI units, unless `bare`
    bool bare = false;                 // no unit was written
    bool at_point = false;             // the unit's letter stands at the decimal point
    char letter = 0;                   // a letter right behind: a tolerance or a law
    const Notation* notation = nullptr;
    std::optional<Decimal> thousands;  // the other reading of 4,700
    std::size_t end = 0;
};

std::optional<Head> read_head(std::string_view text, std::size_t at, Quantity quantity, const ValueHabits& habits) {
    Head head;
    const auto take_letter = [&] {
        const bool single = head.end < text.size() && is_letter(text[head.end]) &&
                            (head.end + 1 == text.size() || !is_letter(text[head.end + 1]));
        if (single && (head.end + 1 == text.size() || !is_digit(text[head.end + 1]))) head.letter = text[head.end++];
    };
    // Digits behind a letter at the decimal point, and a unit written out after all: 4k7Ω, 4n7F.
    const auto finish_at_point = [&](std::string_view whole, const Notation& row, std::size_t behind) -> std::optional<Head> {
        std::size_t end = behind;
        while (end < text.size() && is_digit(text[end])) ++end;
        const auto number = Decimal::read(std::string(whole) + "." + std::string(text.substr(behind, end - behind)));
        if (!number) return {};
        head.number = number->scaled(row.power);
        head.notation = &row;
        head.at_point = true;
        head.end = end;
        std::size_t word = end;
        if (word < text.size() && text[word] == ' ') ++word;
        for (std::string_view unit : {"ohms", "ohm", "F", "H", "Hz", "A"})
            if (text.substr(word, unit.size()) == unit && ends_word(text, word + unit.size()) &&
                unit_at(text, word, quantity) && unit_at(text, word, quantity)->power == 0) {
                head.end = word + unit.size();
                break;
            }
        take_letter();
        return head;
    };

    if (const Notation* row = point_letter_at(text, at, quantity, true)) return finish_at_point("", *row, at + row->written.size());
    const auto number = read_number(text, at, quantity, habits);
    if (!number) return {};
    if (number->plain_digits)
        if (const Notation* row = point_letter_at(text, number->end, quantity, false))
            return finish_at_point(text.substr(at, number->end - at), *row, number->end + row->written.size());

    head.number = number->number;
    head.thousands = number->other;
    head.end = number->end;
    std::size_t word = number->end;
    if (word < text.size() && text[word] == ' ') ++word;
    if (const Notation* row = unit_at(text, word, quantity)) {
        head.notation = row;
        head.number = head.number.scaled(row->power);
        if (head.thousands) head.thousands = head.thousands->scaled(row->power);
        head.end = word + row->written.size();
    } else {
        head.bare = true;
    }
    take_letter();
    return head;
}

std::string shown(const Decimal& number, Quantity quantity) { return engineering_text(number.to_double(), quantity, 6); }

void say(Value& value, std::string says) { value.remarks.push_back({std::move(says), "", true}); }

// "X read as A; write B for C": the one form of all second readings.
void offer(Value& value, const Decimal& other, const std::string& otherwise) {
    value.other_readings.push_back(other);
    say(value, value.text + " read as " + shown(value.number, value.quantity) + "; " + otherwise);
}

// What custom wants said of the notation used.
void tell_doubt(Value& value, const Head& head, const ValueHabits& habits) {
    const Quantity quantity = value.quantity;
    const std::string written = head.notation ? std::string(head.notation->written) : "";
    switch (head.notation ? head.notation->doubt : Doubt::none) {
        case Doubt::none: break;
        case Doubt::small_m_resistor:
            offer(value, value.number.scaled(-9), "write L at the decimal point, or mΩ, if milliohms are meant");
            break;
        case Doubt::milliohm:
            offer(value, value.number.scaled(9), "write M if megohms are meant");
            break;
        case Doubt::small_m_capacitor:
            if (habits.year && *habits.year < 1960) {
                value.number = value.number.scaled(-3);
            } else if (!(habits.year && *habits.year >= 1980)) {
                offer(value, value.number.scaled(-3), "write µF if microfarads are meant");
            }
            break;
        case Doubt::mf:
            // Microfarads from one on could be the millifarads of a later drawing.
            if (value.number.to_double() >= 1e-6 && !(habits.year && *habits.year < 1960))
                offer(value, value.number.scaled(3), "write 2m2, or the figure in µF, if millifarads are meant");
            break;
        case Doubt::capital_milli:
            say(value, value.text + " read as " + shown(value.number, quantity) + ": the M as milli");
            break;
        case Doubt::small_mega:
            say(value, value.text + " read as " + shown(value.number, quantity) + ": the m as mega");
            break;
        case Doubt::farad:
            if (value.number.to_double() >= 1)
                say(value, value.text + " read as " + shown(value.number, quantity) +
                               "; write 10 pF 1 % and the like if the F is a tolerance");
            break;
    }
}

// A capacitor without a unit, by the sheet's habit.
void apply_capacitor_habit(Value& value, const ValueHabits& habits) {
    const Decimal written = value.number;
    const auto read_as = [&](int power, const std::string& habit) {
        value.number = written.scaled(power);
        if (!habit.empty()) value.remarks.push_back({habit, habit, false});
    };
    if (written.is_zero()) return;
    if (habits.polarised) return read_as(-6, "electrolytics without a unit read as µF");
    if (habits.capacitor == CapacitorHabit::microfarad) return read_as(-6, "");
    if (habits.capacitor == CapacitorHabit::picofarad) return read_as(-12, "");
    if (written < Decimal(1, 0)) return read_as(-6, "capacitors without a unit, below 1, read as µF");
    read_as(-12, "");
    if (written < Decimal(10, 0)) {
        value.other_readings.push_back(written.scaled(-6));
        say(value, value.text + " read as " + written.to_text() + " pF; write " + written.to_text() + " µF if meant");
    }
}

// A letter right behind a capacitor's plain number: a tolerance; on parts it could be the end of a code.
std::optional<Failure> apply_capacitor_letter(Value& value, const Head& head, const ValueHabits& habits) {
    value.tolerance = tolerance_letter(head.letter, value.si());
    if (!value.tolerance) return Failure{"“" + value.text + "”: the letter " + std::string(1, head.letter) + " is no unit and no tolerance"};
    if (value.number.is_zero()) return {};
    const Decimal plain = head.number;
    std::string otherwise;
    const bool three_digits = plain >= Decimal(100, 0) && plain < Decimal(1000, 0) && plain.exponent() >= 0;
    if (three_digits && !habits.polarised) {
        // The two digits and the count of zeros of 104.
        const std::string digits = plain.to_text();
        const Decimal code = Decimal((digits[0] - '0') * 10 + (digits[1] - '0'), digits[2] - '0').scaled(-12);
        if (digits[2] <= '7' && code != value.number) {
            value.other_readings.push_back(code);
            otherwise = "; write " + trade_text(code, Quantity::capacitance) + " if it is the code on the part";
        }
    }
    const Decimal micro = plain.scaled(-6);
    if (head.letter == 'M' && micro != value.number) {
        value.other_readings.push_back(micro);
        otherwise += "; write µF if the M is for microfarads";
    }
    say(value, value.text + " read as " + shown(value.number, Quantity::capacitance) + " with the tolerance " +
                   std::string(1, head.letter) + otherwise);
    return {};
}

// A letter right behind a resistance: a tolerance, or the law of a potentiometer, which is no part of the number.
std::optional<Failure> apply_letter(Value& value, const Head& head) {
    const std::string letter(1, head.letter);
    if (value.quantity == Quantity::current) {
        if (std::string_view("TFMHL").find(head.letter) == std::string_view::npos)
            return Failure{"“" + value.text + "”: " + letter + " is no speed of a fuse"};
        value.rating = letter;
        return {};
    }
    if (value.quantity == Quantity::resistance && std::string_view("ABCW").find(head.letter) != std::string_view::npos) {
        value.rating = letter;
        if (head.letter != 'A' && head.letter != 'W')
            say(value, value.text + ": " + letter + " is the law of a potentiometer or a tolerance; write the tolerance in per cent");
        return {};
    }
    value.tolerance = tolerance_letter(head.letter, value.si());
    if (!value.tolerance) return Failure{"“" + value.text + "”: " + letter + " is no tolerance letter"};
    return {};
}

// "25+25": sections of one can, alike. Moves head.end behind them.
std::optional<Failure> take_sections(Value& value, Head& head, std::string_view text, const ValueHabits& habits) {
    int sections = 1;
    std::vector<Decimal> numbers{head.number};
    std::optional<Head> last = head;
    while (last->end < text.size() && text[last->end] == '+' && last->end + 1 < text.size() && is_digit(text[last->end + 1])) {
        last = read_head(text, last->end + 1, value.quantity, habits);
        if (!last) return Failure{"“" + value.text + "”: no number behind the plus sign"};
        ++sections;
        numbers.push_back(last->number);
    }
    if (sections == 1) return {};
    // The unit stands behind the last one and holds for all.
    const int power = last->notation ? last->notation->power : 0;
    for (std::size_t i = 0; i + 1 < numbers.size(); ++i)
        if (head.bare) numbers[i] = numbers[i].scaled(power);
    for (const Decimal& number : numbers)
        if (number != numbers.front())
            return Failure{"“" + value.text + "”: several sections in one can; write each as a part of its own with package="};
    head = *last;
    say(value, value.text + " read as one section of " + std::to_string(sections) + " alike; write each as a part with package=");
    return {};
}

Result<Value> read_ratio(const PlainForm& form) {
    const std::string& text = form.text;
    const auto failed = Failure{"“" + form.written + "” is no ratio of turns p:s, as in 25:1; more than two windings are written as <winding> elements"};
    std::size_t colon = text.find(':');
    std::size_t behind = colon + 1;
    if (colon == std::string::npos) {
        colon = text.find(" to ");
        behind = colon + 4;
        if (colon == std::string::npos) return failed;
    }
    const auto primary = Decimal::read(trimmed(std::string_view(text).substr(0, colon)));
    const auto secondary = Decimal::read(trimmed(std::string_view(text).substr(behind)));
    if (!primary || !secondary || *primary <= Decimal{} || *secondary <= Decimal{}) return failed;
    const auto share = quotient(*primary, *secondary);
    if (!share) return failed;
    Value value;
    value.text = form.written;
    value.quantity = Quantity::ratio;
    value.number = *share;
    return value;
}

// A capacitor's code with its voltage or class behind it: "104K 100V". A code that is a plain number of picofarads too is left alone.
std::optional<Value> read_code_and_rest(const PlainForm& form, Quantity quantity, const ValueHabits& habits) {
    const std::size_t end = form.text.find_first_of(" /");
    if (quantity != Quantity::capacitance || end == std::string::npos) return {};
    auto value = read_digit_code(std::string_view(form.text).substr(0, end), quantity, habits);
    if (!value || !value->other_readings.empty()) return {};
    value->text = form.written;
    if (take_rest(form, end, true, *value)) return {};
    return value;
}

}  // namespace

Result<Value> read_notation(const PlainForm& form, Quantity quantity, const ValueHabits& habits) {
    if (quantity == Quantity::ratio) return read_ratio(form);
    Value value;
    value.text = form.written;
    value.quantity = quantity;
    std::string_view text = form.text;
    std::size_t at = take_leading_marks(form, value);
    const bool signed_quantity = quantity == Quantity::voltage || quantity == Quantity::current;
    const bool negative = signed_quantity && at < text.size() && text[at] == '-';
    if (signed_quantity && at < text.size() && (text[at] == '-' || text[at] == '+')) ++at;

    auto head = read_head(text, at, quantity, habits);
    if (!head) return Failure{"“" + form.written + "” is no " + std::string(quantity_name(quantity))};
    if (quantity == Quantity::inductance && head->bare)
        return Failure{"“" + form.written + "” on a coil may be µH, or the ohms of its wire; write µH, mH or H, or resistance="};
    // F behind a three-figure number of picofarads is the tolerance: there is no such capacitor in farads.
    if (quantity == Quantity::capacitance && head->notation && head->notation->doubt == Doubt::farad && !head->at_point &&
        !habits.polarised && text[head->end - 2] != ' ' && head->number >= Decimal(100, 0) && head->number < Decimal(1000, 0)) {
        head->notation = nullptr;
        head->bare = true;
        head->letter = 'F';
    }
    if (quantity == Quantity::capacitance)
        if (auto failure = take_sections(value, *head, text, habits)) return *failure;
    value.number = head->number;
    if (quantity == Quantity::capacitance && head->bare) apply_capacitor_habit(value, habits);
    if (head->letter != 0) {
        const bool plain_capacitor = quantity == Quantity::capacitance && head->bare;
        if (auto failure = plain_capacitor ? apply_capacitor_letter(value, *head, habits) : apply_letter(value, *head)) return *failure;
    }
    if (auto failure = take_rest(form, head->end, head->bare, value)) return *failure;
    tell_doubt(value, *head, habits);
    if (head->thousands) {
        const bool scaled = quantity == Quantity::capacitance && head->bare && value.number != head->number;
        const int power = scaled ? (habits.polarised || habits.capacitor == CapacitorHabit::microfarad ? -6 : -12) : 0;
        offer(value, head->thousands->scaled(power), "the comma may be a decimal one or group thousands");
    }
    if (negative) value.number = Decimal(-value.number.digits(), value.number.exponent());
    return value;
}

}  // namespace detail

Result<Value> read_value(std::string_view text, Quantity quantity, const ValueHabits& habits) {
    const detail::PlainForm form = detail::plain_form(text);
    if (form.text.empty()) return Failure{"no value is written"};
    if (quantity == Quantity::none) return Failure{"“" + form.written + "”: this kind has no value, only a type number"};
    if (form.text.size() > 100) return Failure{"“" + form.written.substr(0, 20) + "…” is too long for a value"};
    if (habits.marking) {
        if (auto code = detail::read_digit_code(form.text, quantity, habits)) {
            code->text = form.written;
            return *std::move(code);
        }
        if (auto code = detail::read_code_and_rest(form, quantity, habits)) return *std::move(code);
        if (is_colour_marking(form.text)) return read_colour_marking(form.written, quantity);
    }
    auto value = detail::read_notation(form, quantity, habits);
    if (value) return value;
    return detail::explain_failure(form, quantity, habits, value.error());
}

}  // namespace tallyboard
