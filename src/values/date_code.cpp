// Date codes printed on parts: year and week (EIA-476, also behind a maker's number), and the two letters of IEC 60062.

#include <algorithm>
#include <cstdlib>
#include <string>

#include "base/text.h"
#include "values/date.h"

namespace tallyboard {

namespace {

std::string two_digits(int number) { return std::string(number < 10 ? "0" : "") + std::to_string(number); }

// The month of a week's Thursday, by ISO 8601; makers' weeks differ by some days, so a month is what is known.
Date month_of_week(int year, int week) {
    const Day fourth = Day::of(year, 1, 4);
    // 1970-01-01 was a Thursday.
    const int weekday = ((fourth.number + 3) % 7 + 7) % 7;  // Monday 0
    const Day thursday{fourth.number - weekday + 3 + (week - 1) * 7};
    const std::string text = thursday.to_text().substr(0, 7);
    return *read_date(text);
}

Date month(int year, int number) { return *read_date(std::to_string(year) + "-" + two_digits(number)); }

// Of the years that end alike, the one nearest to `about`.
int nearest_year(int ending, int cycle, int about) {
    int year = about - about % cycle + ending;
    if (year - about > cycle / 2) year -= cycle;
    if (about - year > cycle / 2) year += cycle;
    return year;
}

Failure no_code(const std::string& code) {
    return Failure{"“" + code + "” is no date code; write year and week (7224), a maker's number before it (137-7224), or IEC letters (C6)"};
}

Result<Date> year_and_week(const std::string& code, int year, int week) {
    if (week < 1 || week > 53) return Failure{"“" + code + "” is no date code: there is no week " + std::to_string(week)};
    return month_of_week(year, week);
}

// IEC 60062: the year's letter, in a cycle of twenty from A in 1970, and the month 1 to 9, O, N, D.
Result<Date> iec_letters(const std::string& code, std::optional<int> about) {
    const std::string_view years = "ABCDEFHJKLMNPRSTUVWX";
    const std::size_t place = years.find(ascii_upper(code[0]));
    const char sign = ascii_upper(code[1]);
    const int number = sign >= '1' && sign <= '9' ? sign - '0' : sign == 'O' ? 10 : sign == 'N' ? 11 : sign == 'D' ? 12 : 0;
    if (place == std::string_view::npos || number == 0) return no_code(code);
    if (!about) return Failure{"“" + code + "” returns every twenty years; the unit's date is needed to tell which"};
    const int ending = static_cast<int>((1970 + place) % 20);
    return month(nearest_year(ending, 20, *about), number);
}

}  // namespace

Result<Date> read_date_code(std::string_view written, std::optional<int> about) {
    const std::string code(trimmed(written));
    if (code.size() == 2 && !is_digit(code[0])) return iec_letters(code, about);
    std::string digits;
    std::size_t behind_hyphen = 0;  // digits of the last group
    bool hyphen = false;
    for (char c : code) {
        if (is_digit(c)) {
            digits += c;
            ++behind_hyphen;
        } else if ((c == '-' || c == ' ') && !hyphen && !digits.empty()) {
            hyphen = true;
            behind_hyphen = 0;
        } else {
            return no_code(code);
        }
    }
    // How many digits are year and week: what stands behind the hyphen, else by the length with a maker's number of three
    // or four digits.
    std::size_t count = 0;
    if (hyphen) count = behind_hyphen;
    else if (digits.size() == 3 || digits.size() == 4) count = digits.size();
    else if (digits.size() == 6) count = 3;
    else if (digits.size() == 7 || digits.size() == 8) count = 4;
    if (count != 3 && count != 4) return no_code(code);
    const std::string own = digits.substr(digits.size() - count);
    const int week = std::atoi(own.substr(count - 2).c_str());
    const int year = std::atoi(own.substr(0, count - 2).c_str());
    if (count == 3) {
        if (!about) return Failure{"“" + code + "” gives one digit of the year; the unit's date is needed to tell the decade"};
        return year_and_week(code, nearest_year(year, 10, *about), week);
    }
    // Two digits: these codes began in 1945.
    return year_and_week(code, about ? nearest_year(year, 100, *about) : year >= 45 ? 1900 + year : 2000 + year, week);
}

}  // namespace tallyboard
