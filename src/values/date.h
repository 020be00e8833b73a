#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace tallyboard {

// A day of the proleptic Gregorian calendar, as days since 1970-01-01.
struct Day {
    int number = 0;
    static Day of(int year, int month, int day);
    int year() const;
    std::string to_text() const;  // 1972-03-01
    friend auto operator<=>(const Day&, const Day&) = default;
};

// A date as EDTF (ISO 8601-2, levels 0 and 1, and the sets and masked digits the format's page names) writes it: the text,
// and the first and last day it can mean. `1972?` is [1972-01-01, 1972-12-31] and uncertain; nothing is silently a year.
struct Date {
    std::string text;
    std::optional<Day> earliest;  // none: open (`../1974`)
    std::optional<Day> latest;
    bool uncertain = false;       // ? or %
    bool approximate = false;     // ~ or %
};

// Failure says what is wrong and how to write it ("1972-24 is winter 1972; a week code is written as its month").
Result<Date> read_date(std::string_view text);

// A factory date code as printed on a part (YYWW, YWW, SSSYYWW, IEC 60062 letters), near `about` where the decade is not in
// it. Failure where it is none. Source: EIA-476, IEC 60062.
Result<Date> read_date_code(std::string_view code, std::optional<int> about_year = {});

}  // namespace tallyboard
