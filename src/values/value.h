#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "values/decimal.h"
#include "values/quantity.h"

namespace tallyboard {

// Allowed deviation as fractions of the nominal value: {0.2, 0.8} is -20/+80 %.
struct Tolerance {
    double minus = 0;
    double plus = 0;
    friend bool operator==(const Tolerance&, const Tolerance&) = default;
};

// How a sheet writes capacitors without a unit (format: <defaults capacitor="">).
enum class CapacitorHabit { mixed, microfarad, picofarad };

// What a text may leave unsaid, from the sheet's own note and the part's kind.
struct ValueHabits {
    CapacitorHabit capacitor = CapacitorHabit::mixed;
    bool polarised = false;           // a bare number on it is always µF
    bool marking = false;             // read as found on a part: digit codes (104 = 100 nF) and colours count
    std::optional<int> year = {};     // of the unit, where known: settles "1 MF", "10 m" before 1960
    bool thousands_comma = false;     // "4,700" is 4700: the sheet's other values say so
};

// Something told about how a value was read: an assumption made ("8 read as 8 pF; write 8 µF if meant") or a second
// possible reading. `always`: must be said for each such value; else once a drawing is enough, keyed by `habit`.
struct ValueRemark {
    std::string says;
    std::string habit;  // e.g. "capacitors without a unit, below 1, read as µF"; empty where `always`
    bool always = false;
};

// A value in trade notation: the text as written and the exact number it stands for.
struct Value {
    std::string text;                    // as written, white space collapsed; what is printed
    Quantity quantity = Quantity::none;
    Decimal number;                      // SI base unit: ohms, farads, henries, volts …; for ratio p/s rounded to 18 digits
    std::optional<Tolerance> tolerance;  // only if written in the text: "4k7J", "104K", "10 %", a colour band
    std::string rating;                  // what follows and is no part of the number: "400V", "½W", "X2"; as written
    std::vector<Decimal> other_readings; // further numbers the text may stand for (bands from the other end, 220K on a capacitor)
    bool chosen_at_test = false;         // "*", SELECT, SOT, AOT, FSV: a difference is expected
    std::vector<ValueRemark> remarks;

    double si() const { return number.to_double(); }
};

// Reads a value of `quantity` as the trade writes it (IEC 60062 and older customs; the notations are one table in
// trade_notation.cpp). Failure: no notation fits; the reason names the likely slip ("l0k: a letter l for the digit 1?").
// White space, the look-alikes of µ and Ω, the decimal comma and the raised dot, ½ ¼ ⅛, minus and no-break spaces are read as
// their plain forms; `text` keeps what was written.
Result<Value> read_value(std::string_view text, Quantity quantity, const ValueHabits& habits = {});

// "10%", "±5 %", "-20/+80%", "J", "K": a tolerance by itself.
Result<Tolerance> read_tolerance(std::string_view text);
// "15%", "0.5": a share, 0 … 1.
Result<double> read_share(std::string_view text);

// The exact number in the form the trade prints it: "4k7", "100n", "2M2", "4u7", "12V", "8R2": IEC 60062, the letter at the
// decimal point, lower-case k, u for micro. Deterministic; reads back as the same number.
std::string trade_text(const Decimal& number, Quantity quantity);
// A measured or computed number for people, to `digits` significant digits: "4.73 kΩ", "91.8 nF", "-0.12 mA".
std::string engineering_text(double si, Quantity quantity, int digits = 3);

// Members of an E series (IEC 60063), three digits each ("100" … "976"); n is 6, 12, 24, 48 or 96.
const std::vector<int>& e_series(int n);
// The member of the series nearest to `number` in ratio.
Decimal nearest_in_series(const Decimal& number, int n);

}  // namespace tallyboard
