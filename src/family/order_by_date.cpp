#include "family/order_by_date.h"

#include <algorithm>
#include <fmt/format.h>

#include "base/text.h"

namespace tallyboard::detail {
namespace {

using Names = std::vector<std::string>;

bool surely_before(const std::vector<DatedUnit>& some, const std::vector<DatedUnit>& others) {
    for (const DatedUnit& a : some)
        for (const DatedUnit& b : others)
            if (a.made && b.made && a.made->latest && b.made->earliest && *a.made->latest < *b.made->earliest) return true;
    return false;
}

std::string dates_words(const std::vector<DatedUnit>& units) {
    Names dates;
    for (const DatedUnit& unit : units) dates.push_back(unit.made ? unit.made->text : "undated");
    std::sort(dates.begin(), dates.end(), natural_less);
    dates.erase(std::unique(dates.begin(), dates.end()), dates.end());
    return join(dates, ", ");
}

std::string states_words(const States& states, const Names& names) {
    Names words;
    for (const std::string& name : names) words.push_back(fmt::format("{} ({})", name, dates_words(states.at(name))));
    return join_words(words);
}

}  // namespace

DateOrder order_by_date(const States& states, const std::string& drawn) {
    DateOrder out;
    const auto before = [&](const std::string& a, const std::string& b) { return surely_before(states.at(a), states.at(b)); };
    Names names, alone;
    for (const auto& [name, units] : states)
        (name == drawn || units.size() >= 2 || units.front().production ? names : alone).push_back(name);
    for (const std::string& name : alone) {
        const auto follows = std::count_if(names.begin(), names.end(), [&](const std::string& other) { return before(other, name); });
        const auto precedes = std::count_if(names.begin(), names.end(), [&](const std::string& other) { return before(name, other); });
        const auto all = static_cast<std::ptrdiff_t>(names.size());
        (follows && precedes ? out.own : follows && follows == all ? out.last : precedes && precedes == all ? out.first : out.unplaced).push_back(name);
    }
    for (const std::string& a : names)
        for (const std::string& b : names)
            if (a < b && before(a, b) && before(b, a)) {
                out.why_not = "the order of the dates is not kept: " + states_words(states, names);
                return out;
            }
    // Earliest first: the one that none of those left is surely before, and that the last taken is surely before.
    for (Names left = names; !left.empty();) {
        const auto next = std::find_if(left.begin(), left.end(), [&](const std::string& name) {
            return std::none_of(left.begin(), left.end(), [&](const std::string& other) { return other != name && before(other, name); });
        });
        if (next == left.end() || (!out.states.empty() && !before(out.states.back(), *next))) {
            out.states.clear();
            out.why_not = "the dates do not say which came first: " + states_words(states, names);
            return out;
        }
        out.states.push_back(*next);
        left.erase(next);
    }
    return out;
}

std::size_t made_latest(const std::vector<DatedUnit>& units) {
    const auto first_day = [](const DatedUnit& unit) { return unit.made ? unit.made->earliest : std::nullopt; };
    return std::max_element(units.begin(), units.end(), [&](const DatedUnit& a, const DatedUnit& b) { return first_day(a) < first_day(b); })->unit;
}

std::size_t made_earliest(const std::vector<DatedUnit>& units) {
    const auto open_last = [](const DatedUnit& unit) { return !unit.made || !unit.made->latest; };
    return std::min_element(units.begin(), units.end(), [&](const DatedUnit& a, const DatedUnit& b) {
        if (open_last(a) || open_last(b)) return !open_last(a);
        return *a.made->latest < *b.made->latest;
    })->unit;
}

}  // namespace tallyboard::detail
