#include "family/history.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::size_t units_needed = 2;   // on a side, to call a change production

// A run of units that are alike at one place, in serial order. Indices of units.
struct Run { std::string text; std::vector<std::size_t> units; };

struct Analysis {
    const GatheredFamily& family;
    std::set<std::size_t> misdated;

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

Bounds bounds_of(const Analysis& a, const std::vector<std::size_t>& old_units, const std::vector<std::size_t>& new_units) {
    Bounds b;
    for (std::size_t unit : old_units) {
        if (!b.after || unit > *b.after) b.after = unit;
        if (a.made(unit) && a.made(unit)->earliest && !a.misdated.count(unit) && (!b.not_before || *a.made(unit)->earliest > *b.not_before))
            b.not_before = a.made(unit)->earliest;
    }
    for (std::size_t unit : new_units) {
        if (!b.by || unit < *b.by) b.by = unit;
        if (a.made(unit) && a.made(unit)->latest && !a.misdated.count(unit) && (!b.not_after || *a.made(unit)->latest < *b.not_after))
            b.not_after = a.made(unit)->latest;
    }
    return b;
}

std::string bounds_words(const Analysis& a, const Bounds& b) {
    std::string out;
    if (b.after) out += "after " + unit_words(a, *b.after);
    if (b.by) out += (out.empty() ? "by " : ", by ") + unit_words(a, *b.by);
    return out;
}

std::string change_words(const GatheredFamily& family, const PlaceChange& change) {
    const PlaceRow& row = family.rows[change.row];
    return fmt::format("{} {} to {}", row.place, change.from, change.to);
}

// A change of one row, with the units on both sides as a key: rows that nothing tells apart came in together.
struct RowChange { PlaceChange place; std::vector<std::size_t> old_units, new_units; bool drawn_old = false; };

void read_row(const Analysis& a, std::size_t r, FamilyHistory& out, std::vector<RowChange>& changes) {
    const PlaceRow& row = a.family.rows[r];
    std::vector<std::size_t> known, unnumbered;
    std::map<std::string, std::size_t> support;
    for (std::size_t u = 0; u < row.cells.size(); ++u) {
        const Cell& cell = row.cells[u];
        if (cell.state == CellState::untraced) continue;
        if (cell.later) {
            out.own.push_back({r, u, cell.why_later, fmt::format("{} of {} is {} there: probably later work, {}", row.place, unit_words(a, u), cell.text, cell.why_later)});
            continue;
        }
        ++support[cell.text];
        if (a.numbered(u)) known.push_back(u);
        else unnumbered.push_back(u);
    }
    if (support.empty() || (support.size() == 1 && support.begin()->first == row.drawn)) return;
    if (support.size() == 1) {
        std::size_t count = support.begin()->second;
        if (count >= units_needed) out.common.push_back({r, row.drawn, support.begin()->first});
        else out.undecided.push_back({r, fmt::format("{}: {} where the drawing has {}, but only one unit tells of it", row.place, support.begin()->first, row.drawn)});
        return;
    }
    std::vector<Run> runs = runs_of(row, known);
    // A state that one unit alone has, among units that agree on either side, is that unit's own.
    for (std::size_t i = 0; i < runs.size();) {
        bool alone = runs[i].units.size() == 1 && support[runs[i].text] == 1;
        bool inside = i > 0 && i + 1 < runs.size() && runs[i - 1].text == runs[i + 1].text;
        if (!alone || !inside) {
            ++i;
            continue;
        }
        std::size_t unit = runs[i].units.front();
        out.own.push_back({r, unit, "no other unit has it", fmt::format("{} of {} is {} there, of no other unit: probably a repair", row.place, unit_words(a, unit), runs[i].text)});
        runs[i - 1].units.insert(runs[i - 1].units.end(), runs[i + 1].units.begin(), runs[i + 1].units.end());
        runs.erase(runs.begin() + static_cast<std::ptrdiff_t>(i), runs.begin() + static_cast<std::ptrdiff_t>(i) + 2);
        i = i > 0 ? i - 1 : 0;
    }
    // What comes back is no change of production.
    std::set<std::string> seen;
    bool ordered = true;
    for (const Run& run : runs) ordered = ordered && seen.insert(run.text).second;
    if (!ordered) {
        std::vector<std::string> order;
        for (const Run& run : runs)
            order.push_back(run.text + " (" + a.family.units[run.units.front()].label() +
                            (run.units.size() > 1 ? " to " + a.family.units[run.units.back()].label() : "") + ")");
        out.undecided.push_back({r, fmt::format("{}: the order of the numbers is not kept: {}", row.place, join(order, ", "))});
        return;
    }
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
        changes.push_back({{r, old_run.text, new_run.text}, old_run.units, new_run.units, drawn_old});
    }
    // A unit without a number supports a state, but bounds nothing.
    for (std::size_t u : unnumbered)
        if (!seen.count(row.cells[u].text))
            out.undecided.push_back({r, fmt::format("{}: {} on {}, which has no number", row.place, row.cells[u].text, unit_words(a, u))});
}

}  // namespace

FamilyHistory read_history(const GatheredFamily& family) {
    FamilyHistory out;
    Analysis a{family, {}};
    out.misdated = find_misdated(a);
    std::vector<RowChange> rows;
    for (std::size_t r = 0; r < family.rows.size(); ++r) read_row(a, r, out, rows);

    // Changes with the same last old and first new unit, which no unit separates, are one change.
    std::vector<char> used(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (used[i]) continue;
        ProductionChange change;
        std::set<std::size_t> old_units, new_units;
        for (std::size_t j = i; j < rows.size(); ++j) {
            if (used[j] || rows[j].old_units.back() != rows[i].old_units.back() || rows[j].new_units.front() != rows[i].new_units.front()) continue;
            used[j] = 1;
            change.places.push_back(rows[j].place);
            change.drawn_old |= rows[j].drawn_old;
            old_units.insert(rows[j].old_units.begin(), rows[j].old_units.end());
            new_units.insert(rows[j].new_units.begin(), rows[j].new_units.end());
        }
        change.old_units = old_units.size();
        change.new_units = new_units.size();
        change.bounds = bounds_of(a, {old_units.begin(), old_units.end()}, {new_units.begin(), new_units.end()});
        std::vector<std::string> words;
        for (const PlaceChange& place : change.places) words.push_back(change_words(family, place));
        change.says = fmt::format("{}: {}; seen on {} before and {} after", join_words(words), bounds_words(a, change.bounds),
                                  counted(change.old_units, "unit"), change.new_units);
        out.changes.push_back(std::move(change));
    }
    std::stable_sort(out.changes.begin(), out.changes.end(), [](const ProductionChange& x, const ProductionChange& y) {
        return std::pair(x.bounds.by, x.bounds.after) < std::pair(y.bounds.by, y.bounds.after);
    });

    // Versions: between one change and the next. A unit is of one surely where it shows what came before and not what comes after.
    for (std::size_t k = 0; k <= out.changes.size(); ++k) {
        Variant variant;
        variant.name = fmt::format("version {}", k + 1);
        if (k > 0) variant.bounds.by = out.changes[k - 1].bounds.by, variant.bounds.not_before = out.changes[k - 1].bounds.not_before;
        if (k < out.changes.size()) variant.bounds.after = out.changes[k].bounds.after, variant.bounds.not_after = out.changes[k].bounds.not_after;
        for (std::size_t u = 0; u < family.units.size(); ++u) {
            bool sure = true;
            for (std::size_t c = 0; c < out.changes.size(); ++c) {
                bool in = false, not_in = false;
                for (const PlaceChange& place : out.changes[c].places) {
                    const std::string& text = family.rows[place.row].cells[u].text;
                    in |= text == place.to;
                    not_in |= text == place.from;
                }
                // Serial numbers carry what one unit shows to those beyond it.
                if (!in && !not_in && a.numbered(u)) {
                    if (out.changes[c].bounds.by && u >= *out.changes[c].bounds.by) in = true;
                    if (out.changes[c].bounds.after && u <= *out.changes[c].bounds.after) not_in = true;
                }
                if (c < k ? !in || not_in : !not_in || in) sure = false;
            }
            if (sure) variant.units.push_back(u);
        }
        out.variants.push_back(std::move(variant));
    }
    return out;
}

}  // namespace tallyboard
