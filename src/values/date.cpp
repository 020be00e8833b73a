// Dates as EDTF, the Extended Date/Time Format of ISO 8601-2: levels 0 and 1, sets and masked digits.

#include "values/date.h"

#include <algorithm>
#include <stdexcept>
#include <utility>
#include <vector>

#include "base/text.h"

namespace tallyboard {

namespace {

// Days from 1970-01-01 to the civil date (H. Hinnant's days_from_civil, with a year that begins in March).
int days_from_civil(int year, int month, int day) {
    if (month <= 2) --year;
    const int era = (year >= 0 ? year : year - 399) / 400;
    const int year_of_era = year - era * 400;
    const int day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    const int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

struct Civil { int year, month, day; };
Civil civil_from_days(int days) {
    days += 719468;
    const int era = (days >= 0 ? days : days - 146096) / 146097;
    const int day_of_era = days - era * 146097;
    const int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    const int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    const int shifted = (5 * day_of_year + 2) / 153;
    const int month = shifted + (shifted < 10 ? 3 : -9);
    return {year_of_era + era * 400 + (month <= 2 ? 1 : 0), month, day_of_year - (153 * shifted + 2) / 5 + 1};
}

int last_day_of(int year, int month) {
    const int next = month == 12 ? days_from_civil(year + 1, 1, 1) : days_from_civil(year, month + 1, 1);
    return next - days_from_civil(year, month, 1);
}

bool all_digits(std::string_view text) { return !text.empty() && std::all_of(text.begin(), text.end(), is_digit); }
int number_of(std::string_view digits) {
    int number = 0;
    for (char c : digits) number = number * 10 + (c - '0');
    return number;
}

// A field with masked digits: the least and the greatest number it can be. Nothing where it is none of so many digits.
std::optional<std::pair<int, int>> masked(std::string_view text, std::size_t digits) {
    if (text.size() != digits) return {};
    std::string least(text), greatest(text);
    for (std::size_t i = 0; i < digits; ++i) {
        if (text[i] == 'X') {
            least[i] = '0';
            greatest[i] = '9';
        } else if (!is_digit(text[i])) {
            return {};
        }
    }
    return std::pair(number_of(least), number_of(greatest));
}

// Seasons 21 to 24: the months of the northern hemisphere; winter runs into the next year.
constexpr std::pair<const char*, int> seasons[] = {{"spring", 3}, {"summer", 6}, {"autumn", 9}, {"winter", 12}};

Date whole(int year_from, int month_from, int day_from, int year_to, int month_to, int day_to) {
    Date date;
    date.earliest = Day::of(year_from, month_from, day_from);
    date.latest = Day::of(year_to, month_to, day_to);
    return date;
}

// One date without its qualifiers: YYYY, YYYY-MM, YYYY-MM-DD, with X for unknown digits, and seasons.
Result<Date> read_plain(std::string_view text) {
    const std::vector<std::string> fields = split(text, '-');
    const auto year = masked(fields[0], 4);
    if (!year || fields.size() > 3)
        return Failure{"“" + std::string(text) + "” is no date; write 1972, 1972-06, 1972-06-15, 197X, 1972? or 1972/1974"};
    if (fields.size() == 1) return whole(year->first, 1, 1, year->second, 12, 31);

    const std::string& month_text = fields[1];
    auto month = masked(month_text, 2);
    if (!month) return Failure{"“" + std::string(text) + "”: the month is written with two digits"};
    const bool season = month->first == month->second && month->first >= 21 && month->first <= 24;
    if (season && fields.size() == 2) {
        const int first = seasons[month->first - 21].second;
        const int last = first == 12 ? 2 : first + 2;
        const int last_year = first == 12 ? year->second + 1 : year->second;
        return whole(year->first, first, 1, last_year, last, last_day_of(last_year, last));
    }
    month->first = std::max(month->first, 1);
    if (month_text.find('X') != std::string::npos) month->second = std::min(month->second, 12);
    if (month->first > 12 || month->second > 12) {
        if (all_digits(month_text) && month->first <= 53 && fields.size() == 2)
            return Failure{"“" + std::string(text) + "”: no month " + month_text + "; a week code is written as its month"};
        return Failure{"“" + std::string(text) + "”: no month " + month_text};
    }
    if (fields.size() == 2)
        return whole(year->first, month->first, 1, year->second, month->second, last_day_of(year->second, month->second));

    auto day = masked(fields[2], 2);
    if (!day) return Failure{"“" + std::string(text) + "”: the day is written with two digits"};
    day->first = std::max(day->first, 1);
    const int last = last_day_of(year->second, month->second);
    if (fields[2].find('X') != std::string::npos) day->second = std::min(day->second, last);
    if (day->first > last_day_of(year->first, month->first) || day->second > last || day->second < day->first)
        return Failure{"“" + std::string(text) + "”: no such day"};
    return whole(year->first, month->first, day->first, year->second, month->second, day->second);
}

// One date with its qualifiers ? ~ % behind it (or behind a part of it).
Result<Date> read_qualified(std::string_view text) {
    std::string plain;
    bool uncertain = false, approximate = false;
    for (char c : text) {
        if (c == '?' || c == '%') uncertain = true;
        if (c == '~' || c == '%') approximate = true;
        if (c != '?' && c != '~' && c != '%') plain += c;
    }
    auto read = read_plain(plain);
    if (!read) return read;
    Date date = *std::move(read);
    date.uncertain = uncertain;
    date.approximate = approximate;
    return date;
}

// From the earliest of one to the latest of the other.
Date spanning(const Date& first, const Date& last) {
    Date date;
    date.earliest = first.earliest;
    date.latest = last.latest;
    date.uncertain = first.uncertain || last.uncertain;
    date.approximate = first.approximate || last.approximate;
    return date;
}

// "from", separator, "to", either side perhaps open.
Result<Date> read_open_range(std::string_view from, std::string_view to) {
    const auto is_open = [](std::string_view side) { return side.empty() || side == ".."; };
    Date first, last;
    if (!is_open(from)) {
        auto read = read_qualified(from);
        if (!read) return read;
        first = *std::move(read);
    }
    if (!is_open(to)) {
        auto read = read_qualified(to);
        if (!read) return read;
        last = *std::move(read);
    }
    if (is_open(from) && is_open(to)) return Failure{"a range open at both ends says nothing"};
    const Date date = spanning(first, last);
    if (date.earliest && date.latest && *date.latest < *date.earliest) return Failure{"the range ends before it begins"};
    return date;
}

// [1962,1972] one of, {…} all of; a member may be a range 1965..1968.
Result<Date> read_set(std::string_view members) {
    std::optional<Date> all;
    for (const std::string& member : split(members, ',')) {
        const std::string_view text = trimmed(member);
        const std::size_t dots = text.find("..");
        auto read = dots == std::string_view::npos ? read_qualified(text) : read_open_range(text.substr(0, dots), text.substr(dots + 2));
        if (!read) return read;
        if (!all) {
            all = *std::move(read);
            continue;
        }
        const Date one = *std::move(read);
        // An open end stays open.
        all->uncertain |= one.uncertain;
        all->approximate |= one.approximate;
        if (all->earliest) all->earliest = one.earliest ? std::optional(std::min(*all->earliest, *one.earliest)) : std::nullopt;
        if (all->latest) all->latest = one.latest ? std::optional(std::max(*all->latest, *one.latest)) : std::nullopt;
    }
    return *std::move(all);
}

}  // namespace

Day Day::of(int year, int month, int day) { return Day{days_from_civil(year, month, day)}; }
int Day::year() const { return civil_from_days(number).year; }

std::string Day::to_text() const {
    const Civil civil = civil_from_days(number);
    const auto padded = [](int n, std::size_t width) {
        std::string digits = std::to_string(n);
        return digits.size() < width ? std::string(width - digits.size(), '0') + digits : digits;
    };
    return padded(civil.year, 4) + "-" + padded(civil.month, 2) + "-" + padded(civil.day, 2);
}

Result<Date> read_date(std::string_view written) {
    const std::string text(trimmed(written));
    if (text.empty()) return Failure{"no date is written"};
    if (text.size() > 200) return Failure{"too long for a date"};
    Result<Date> read = Failure{""};
    const bool set = (text.front() == '[' && text.back() == ']') || (text.front() == '{' && text.back() == '}');
    const std::size_t stroke = text.find('/');
    if (set && text.size() > 2) read = read_set(std::string_view(text).substr(1, text.size() - 2));
    else if (stroke != std::string::npos) read = read_open_range(std::string_view(text).substr(0, stroke), std::string_view(text).substr(stroke + 1));
    else read = read_qualified(text);
    if (!read) return read;
    Date date = *std::move(read);
    date.text = text;
    return date;
}

}  // namespace tallyboard
