#include "family/history.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "base/text.h"
#include "family/order_by_date.h"

namespace tallyboard {
namespace {

constexpr std::size_t units_needed = 2;   // on a side, to call a change production

// A run of units that are alike at one place, in serial order. Indices of units.
struct Run { std::string text; std::vector<std::size_t> units; };

struct Analysis {
    const GatheredFamily& family;
    std::set<std::size_t> misdated;
    std::vector<char> twice;   // by unit: another has its number too

    bool numbered(std::size_t unit) const { return !family.units[unit].serial.empty(); }
    const std::optional<Date>& made(std::size_t unit) const { return family.units[unit].made; }
};

// Units whose date range lies wholly after that of one with a higher number. The one that contradicts most others is called
// misdated first, until nothing contradicts; of two that contradict only each other both are.
std::vector<Misdated> find_misdated(Analysis& a) {
    std::vector<Misdated> out;
    const auto& units = a.family.units;
    auto contradicts = [&](std::size_t i, std::size_t j) {   // i has the lower number
        return a.made(i) && a.made(j) && a.made(i)->earliest && a.made(j)->latest && *a.made(i)->earliest > *a.made(j)->latest;
    };
    while (true) {
        std::vector<std::vector<std::size_t>> against(units.size());
        for (std::size_t i = 0; i < units.size(); ++i)
            for (std::size_t j = i + 1; j < units.size(); ++j)
                if (a.numbered(i) && a.numbered(j) && units[i].serial != units[j].serial && !a.misdated.count(i) && !a.misdated.count(j) &&
                    contradicts(i, j))
                    against[i].push_back(j), against[j].push_back(i);
        std::size_t most = 0;
        for (const auto& list : against) most = std::max(most, list.size());
        if (most == 0) return out;
        std::vector<std::size_t> worst;
        for (std::size_t i = 0; i < units.size(); ++i) if (against[i].size() == most) worst.push_back(i);
        // Equally bad ones are all set aside: nothing says which is wrong.
        for (std::size_t i : worst) {
            std::vector<std::string> others;
            for (std::size_t j : against[i]) others.push_back(units[j].label() + " (" + a.made(j)->text + ")");
            out.push_back({i, fmt::format("{} is dated {}, which its number contradicts beside {}; the date is not used", units[i].label(),
                                          a.made(i)->text, join_words(others))});
            a.misdated.insert(i);
        }
    }
}

std::vector<Run> runs_of(const PlaceRow& row, const std::vector<std::size_t>& known) {
    std::vector<Run> runs;
    for (std::size_t unit : known) {
        const std::string& text = row.cells[unit].text;
        if (runs.empty() || runs.back().text != text) runs.push_back({text, {}});
        runs.back().units.push_back(unit);
    }
    return runs;
}

std::string unit_words(const Analysis& a, std::size_t unit) {
    const Unit& u = a.family.units[unit];
    return u.label() + (u.made ? " (" + u.made->text + ")" : "");
}

// Numbers bound by the units that show it; days by those and by every unit beyond them in the order of numbers.
Bounds bounds_of(const Analysis& a, const std::set<std::size_t>& old_units, const std::set<std::size_t>& new_units) {
    Bounds b;
    for (std::size_t unit : old_units) if (a.numbered(unit) && (!b.after || unit > *b.after)) b.after = unit;
    for (std::size_t unit : new_units) if (a.numbered(unit) && (!b.by || unit < *b.by)) b.by = unit;
    for (std::size_t unit = 0; unit < a.family.units.size(); ++unit) {
        if (!a.made(unit) || a.misdated.count(unit)) continue;
        const std::optional<Day> &earliest = a.made(unit)->earliest, &latest = a.made(unit)->latest;
        bool is_old = old_units.count(unit) || (a.numbered(unit) && b.after && unit <= *b.after);
        bool is_new = new_units.count(unit) || (a.numbered(unit) && b.by && unit >= *b.by);
        if (is_old && earliest && (!b.not_before || *earliest > *b.not_before)) b.not_before = earliest;
        if (is_new && latest && (!b.not_after || *latest < *b.not_after)) b.not_after = latest;
    }
    // Dates without a number cannot be held against the order; where they leave no day, none is stated.
    if (b.not_before && b.not_after && *b.not_before > *b.not_after) b.not_before.reset(), b.not_after.reset();
    return b;
}

std::string change_words(const GatheredFamily& family, const PlaceChange& change) {
    const PlaceRow& row = family.rows[change.row];
    return fmt::format("{} {} to {}", row.place, change.from, change.to);
}

// A change of one row, with the units on both sides, and between which two of them it came in: rows that nothing tells apart
// came in together.
struct RowChange {
    PlaceChange place;
    std::set<std::size_t> old_units, new_units;
    std::size_t last_old = 0, first_new = 0;   // in the order of numbers, or of dates
    bool drawn_old = false;
};

// Two files of one number that show different things here: neither can be ordered.
bool is_duplicate(const Analysis& a, const PlaceRow& row, std::size_t unit) {
    if (!a.twice[unit]) return false;
    for (std::size_t other = 0; other < row.cells.size(); ++other)
        if (other != unit && a.numbered(unit) && a.family.units[other].serial == a.family.units[unit].serial &&
            row.cells[other].state != CellState::untraced && row.cells[other].text != row.cells[unit].text)
            return true;
    return false;
}

// What the units show at a place, later work set apart.
struct Shown { std::vector<std::size_t> known, unnumbered; std::map<std::string, std::size_t> support; };

Shown shown_at(const Analysis& a, std::size_t r, FamilyHistory& out) {
    const PlaceRow& row = a.family.rows[r];
    Shown shown;
    for (std::size_t u = 0; u < row.cells.size(); ++u) {
        const Cell& cell = row.cells[u];
        if (cell.state == CellState::untraced) continue;
        if (cell.later) {
            out.own.push_back({r, u, cell.why_later, fmt::format("{} of {} is {} there: probably later work, {}", row.place, unit_words(a, u), cell.text, cell.why_later)});
            continue;
        }
        if (is_duplicate(a, row, u)) {
            out.undecided.push_back({r, fmt::format("{}: {} on {}, of which another file says otherwise", row.place, cell.text, unit_words(a, u))});
            continue;
        }
        ++shown.support[cell.text];
        (a.numbered(u) ? shown.known : shown.unnumbered).push_back(u);
    }
    return shown;
}

// A state that one unit alone has, with units before and behind it that show others, each seen more than once or drawn, is that
// unit's own. Takes it out of the runs; runs of the same text grow together.
void set_own_apart(const Analysis& a, std::size_t r, const Shown& shown, std::vector<Run>& runs, FamilyHistory& out) {
    const PlaceRow& row = a.family.rows[r];
    auto alone = [&](const Run& run) {
        return shown.support.at(run.text) == 1 && run.text != row.drawn && !row.cells[run.units.front()].production;
    };
    auto supported = [&](const Run& run) { return shown.support.at(run.text) >= units_needed || run.text == row.drawn; };
    for (std::size_t i = 1; i + 1 < runs.size();) {
        if (!alone(runs[i]) || !supported(runs[i - 1]) || !supported(runs[i + 1])) {
            ++i;
            continue;
        }
        std::size_t unit = runs[i].units.front();
        out.own.push_back({r, unit, "no other unit has it", fmt::format("{} of {} is {} there, of no other unit: probably a repair", row.place, unit_words(a, unit), runs[i].text)});
        if (runs[i - 1].text == runs[i + 1].text) {
            runs[i - 1].units.insert(runs[i - 1].units.end(), runs[i + 1].units.begin(), runs[i + 1].units.end());
            runs.erase(runs.begin() + static_cast<std::ptrdiff_t>(i), runs.begin() + static_cast<std::ptrdiff_t>(i) + 2);
        } else {
            runs.erase(runs.begin() + static_cast<std::ptrdiff_t>(i));
        }
    }
}

bool is_ordered(const std::vector<Run>& runs) {
    std::set<std::string> seen;
    for (const Run& run : runs) if (!seen.insert(run.text).second) return false;
    return true;
}

std::string order_words(const Analysis& a, const std::vector<Run>& runs) {
    std::vector<std::string> order;
    for (const Run& run : runs)
        order.push_back(run.text + " (" + a.family.units[run.units.front()].label() +
                        (run.units.size() > 1 ? " to " + a.family.units[run.units.back()].label() : "") + ")");
    return join(order, ", ");
}

detail::States dated_states(const Analysis& a, std::size_t r, const Shown& shown) {
    detail::States states;
    for (const auto* units : {&shown.known, &shown.unnumbered})
        for (std::size_t u : *units) {
            const Cell& cell = a.family.rows[r].cells[u];
            states[cell.text].push_back({u, a.misdated.count(u) ? std::nullopt : a.made(u), cell.production});
        }
    return states;
}

// A place that numbers do not order. The same rules as with numbers: two units, or one and the drawing, have the old, two the new.
void read_row_by_date(const Analysis& a, std::size_t r, const Shown& shown, FamilyHistory& out, std::vector<RowChange>& changes) {
    const PlaceRow& row = a.family.rows[r];
    const detail::States states = dated_states(a, r, shown);
    const detail::DateOrder order = detail::order_by_date(states, row.drawn);
    auto undecided = [&](std::string says) { out.undecided.push_back({r, row.place + ": " + std::move(says)}); };
    for (const std::string& text : order.own) {
        std::size_t unit = states.at(text).front().unit;
        out.own.push_back({r, unit, "no other unit has it", fmt::format("{} of {} is {} there, of no other unit: probably a repair", row.place, unit_words(a, unit), text)});
    }
    auto alone = [&](const std::string& text, std::string_view where) {
        undecided(fmt::format("{} on {} alone, {}: a change of production or that unit's own, not decidable", text, unit_words(a, states.at(text).front().unit), where));
    };
    for (const std::string& text : order.first) alone(text, "at the beginning of the dates");
    for (const std::string& text : order.last) alone(text, "at the end of the dates");
    for (const std::string& text : order.unplaced) alone(text, "which neither number nor date places");
    if (!order.why_not.empty()) undecided(order.why_not);
    for (std::size_t i = 0; i + 1 < order.states.size(); ++i) {
        const std::string &from = order.states[i], &to = order.states[i + 1];
        const auto &old_units = states.at(from), &new_units = states.at(to);
        const bool decided = std::any_of(new_units.begin(), new_units.end(), [](const detail::DatedUnit& u) { return u.production; });
        const bool old_enough = old_units.size() >= units_needed || from == row.drawn || decided, new_enough = new_units.size() >= units_needed || decided;
        if (!old_enough || !new_enough) {
            alone(new_enough ? from : to, new_enough ? "at the beginning of the dates" : "at the end of the dates");
            continue;
        }
        RowChange change{{r, from, to}, {}, {}, made_latest(old_units), made_earliest(new_units), from == row.drawn};
        for (const detail::DatedUnit& u : old_units) change.old_units.insert(u.unit);
        for (const detail::DatedUnit& u : new_units) change.new_units.insert(u.unit);
        changes.push_back(std::move(change));
    }
}

void read_row(const Analysis& a, std::size_t r, FamilyHistory& out, std::vector<RowChange>& changes) {
    const PlaceRow& row = a.family.rows[r];
    const Shown shown = shown_at(a, r, out);
    const auto& support = shown.support;
    if (support.empty() || (support.size() == 1 && support.begin()->first == row.drawn)) return;
    if (support.size() == 1) {
        if (support.begin()->second >= units_needed) out.common.push_back({r, row.drawn, support.begin()->first});
        else out.undecided.push_back({r, fmt::format("{}: {} where the drawing has {}, but only one unit tells of it", row.place, support.begin()->first, row.drawn)});
        return;
    }
    std::vector<Run> runs = runs_of(row, shown.known);
    // Numbers that show but one state order nothing: dates may.
    if (runs.size() < 2) return read_row_by_date(a, r, shown, out, changes);
    set_own_apart(a, r, shown, runs, out);
    // What comes back is no change of production.
    if (!is_ordered(runs)) {
        out.undecided.push_back({r, fmt::format("{}: the order of the numbers is not kept: {}", row.place, order_words(a, runs))});
        return;
    }
    std::set<std::string> ordered;
    for (const Run& run : runs) ordered.insert(run.text);
    for (std::size_t i = 0; i + 1 < runs.size(); ++i) {
        const Run &old_run = runs[i], &new_run = runs[i + 1];
        bool decided = std::any_of(new_run.units.begin(), new_run.units.end(), [&](std::size_t u) { return row.cells[u].production; });
        bool drawn_old = old_run.text == row.drawn;
        bool old_enough = old_run.units.size() >= units_needed || drawn_old || decided;
        bool new_enough = new_run.units.size() >= units_needed || decided;
        if (!old_enough || !new_enough) {
            const Run& few = new_enough ? old_run : new_run;
            out.undecided.push_back({r, fmt::format("{}: {} on {} alone, at the {} of the numbers: a change of production or that unit's own, not decidable",
                                                    row.place, few.text, unit_words(a, few.units.front()), new_enough ? "beginning" : "end")});
            continue;
        }
        RowChange change{{r, old_run.text, new_run.text}, {old_run.units.begin(), old_run.units.end()}, {new_run.units.begin(), new_run.units.end()},
                         old_run.units.back(), new_run.units.front(), drawn_old};
        for (std::size_t u : shown.unnumbered) {
            if (row.cells[u].text == old_run.text) change.old_units.insert(u);
            if (row.cells[u].text == new_run.text) change.new_units.insert(u);
        }
        changes.push_back(std::move(change));
    }
    // A unit without a number supports a state, but has no place in the order.
    for (std::size_t u : shown.unnumbered)
        if (!ordered.count(row.cells[u].text))
            out.undecided.push_back({r, fmt::format("{}: {} on {}, which has no number", row.place, row.cells[u].text, unit_words(a, u))});
}

bool share_a_unit(const std::set<std::size_t>& some, const std::set<std::size_t>& others) {
    return std::any_of(some.begin(), some.end(), [&](std::size_t u) { return others.count(u) > 0; });
}

// Changes between the same two units, which no unit separates, are one change.
ProductionChange change_of(const Analysis& a, const std::vector<RowChange>& rows, std::size_t first, std::vector<char>& used) {
    ProductionChange change;
    const std::size_t last_old = rows[first].last_old, first_new = rows[first].first_new;
    std::set<std::size_t> old_units, new_units;
    for (std::size_t j = first; j < rows.size(); ++j) {
        const RowChange& row = rows[j];
        if (used[j] || row.last_old != last_old || row.first_new != first_new) continue;
        if (share_a_unit(row.old_units, new_units) || share_a_unit(row.new_units, old_units)) continue;
        used[j] = 1;
        change.places.push_back(row.place);
        change.drawn_old |= row.drawn_old;
        old_units.insert(row.old_units.begin(), row.old_units.end());
        new_units.insert(row.new_units.begin(), row.new_units.end());
    }
    change.last_old = last_old;
    change.first_new = first_new;
    change.old_units = old_units.size();
    change.new_units = new_units.size();
    change.bounds = bounds_of(a, old_units, new_units);
    std::vector<std::string> words;
    for (const PlaceChange& place : change.places) words.push_back(change_words(a.family, place));
    change.says = fmt::format("{}: after {}, by {}; seen on {} before and {} after", join_words(words), unit_words(a, last_old), unit_words(a, first_new),
                              counted(change.old_units, "unit"), change.new_units);
    return change;
}

bool has_numbers(const ProductionChange& change) { return change.bounds.after && change.bounds.by; }

// By numbers; those that dates alone order by their days, each before the first that surely came in by a later day.
void put_in_order(std::vector<ProductionChange>& changes) {
    const auto dated = std::stable_partition(changes.begin(), changes.end(), has_numbers);
    std::vector<ProductionChange> by_date(std::make_move_iterator(dated), std::make_move_iterator(changes.end()));
    changes.erase(dated, changes.end());
    std::stable_sort(changes.begin(), changes.end(), [](const ProductionChange& x, const ProductionChange& y) {
        return std::pair(x.bounds.by, x.bounds.after) < std::pair(y.bounds.by, y.bounds.after);
    });
    std::stable_sort(by_date.begin(), by_date.end(), [](const ProductionChange& x, const ProductionChange& y) {
        return std::pair(x.bounds.not_after, x.bounds.not_before) < std::pair(y.bounds.not_after, y.bounds.not_before);
    });
    for (ProductionChange& change : by_date) {
        const auto later = std::find_if(changes.begin(), changes.end(), [&](const ProductionChange& other) {
            return other.bounds.not_after && change.bounds.not_after && *other.bounds.not_after > *change.bounds.not_after;
        });
        changes.insert(later, std::move(change));
    }
}

// Numbers and days carry what one unit shows to those beyond it.
void carry(const Analysis& a, const Bounds& bounds, std::size_t unit, bool& in, bool& not_in) {
    if (a.numbered(unit)) {
        in = bounds.by && unit >= *bounds.by;
        not_in = bounds.after && unit <= *bounds.after;
    }
    if (in || not_in || !a.made(unit) || a.misdated.count(unit)) return;
    const Date& made = *a.made(unit);
    in = bounds.not_after && made.earliest && *made.earliest > *bounds.not_after;
    not_in = bounds.not_before && made.latest && *made.latest < *bounds.not_before;
}

// Versions: between one change and the next. A unit is of one surely where it shows what came before and not what comes after.
std::vector<Variant> variants_of(const Analysis& a, const FamilyHistory& history) {
    std::vector<Variant> out;
    const auto& changes = history.changes;
    for (std::size_t k = 0; k <= changes.size(); ++k) {
        Variant variant;
        variant.name = fmt::format("version {}", k + 1);
        if (k > 0) variant.bounds.by = changes[k - 1].bounds.by, variant.bounds.not_before = changes[k - 1].bounds.not_before;
        if (k < changes.size()) variant.bounds.after = changes[k].bounds.after, variant.bounds.not_after = changes[k].bounds.not_after;
        for (std::size_t u = 0; u < a.family.units.size(); ++u) {
            bool sure = true;
            for (std::size_t c = 0; c < changes.size(); ++c) {
                bool in = false, not_in = false, open = false;
                for (const PlaceChange& place : changes[c].places) {
                    Side side = side_of(history, c, place, a.family.rows[place.row].cells[u]);
                    in |= side == Side::in;
                    not_in |= side == Side::out;
                    open |= side == Side::unknown;
                }
                // What it does not show may have come in apart from the rest, just where an unnumbered unit stands.
                if (open && !a.numbered(u)) in = not_in = false;
                if (!in && !not_in) carry(a, changes[c].bounds, u, in, not_in);
                if (c < k ? !in || not_in : !not_in || in) sure = false;
            }
            if (sure) variant.units.push_back(u);
        }
        out.push_back(std::move(variant));
    }
    return out;
}

}  // namespace

Side side_of(const FamilyHistory& history, std::size_t change, const PlaceChange& place, const Cell& cell) {
    if (cell.state == CellState::untraced || cell.later) return Side::unknown;
    if (cell.text == place.to) return Side::in;
    if (cell.text == place.from) return Side::out;
    // What the same place was before or became behind.
    for (std::size_t c = 0; c < history.changes.size(); ++c)
        for (const PlaceChange& other : history.changes[c].places) {
            if (other.row != place.row) continue;
            if (c < change && cell.text == other.from) return Side::out;
            if (c > change && cell.text == other.to) return Side::in;
        }
    return Side::unknown;
}

FamilyHistory read_history(const GatheredFamily& family) {
    FamilyHistory out;
    Analysis a{family, {}, {}};
    std::map<std::string, std::size_t> numbers;
    for (const Unit& unit : family.units) ++numbers[unit.serial];
    for (const Unit& unit : family.units) a.twice.push_back(numbers[unit.serial] > 1);
    out.misdated = find_misdated(a);
    std::vector<RowChange> rows;
    for (std::size_t r = 0; r < family.rows.size(); ++r) read_row(a, r, out, rows);
    std::vector<char> used(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) if (!used[i]) out.changes.push_back(change_of(a, rows, i, used));
    put_in_order(out.changes);
    out.variants = variants_of(a, out);
    return out;
}

}  // namespace tallyboard
