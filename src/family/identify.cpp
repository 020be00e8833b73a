#include "family/identify.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::size_t most_exact = 12;   // open changes: 2^12 sets are tried at once

struct Question {
    const GatheredFamily& family;
    const FamilyHistory& history;
    const std::vector<Cell>& cells;
};

std::vector<VariantFit> fits_of(const Question& q) {
    std::vector<VariantFit> out;
    for (std::size_t v = 0; v < q.history.variants.size(); ++v) {
        VariantFit fit{v, {}};
        for (std::size_t c = 0; c < q.history.changes.size(); ++c)
            for (const PlaceChange& place : q.history.changes[c].places) {
                Side side = side_of(q.history, c, place, q.cells[place.row]);
                if (side != (c < v ? Side::out : Side::in)) continue;
                fit.against.push_back(fmt::format("{}: {} here, {} there", q.family.rows[place.row].place, q.cells[place.row].text,
                                                  text_in_variant(q.family, q.history, v, place.row)));
            }
        std::sort(fit.against.begin(), fit.against.end(), natural_less);
        fit.against.erase(std::unique(fit.against.begin(), fit.against.end()), fit.against.end());
        out.push_back(std::move(fit));
    }
    return out;
}

// How a place is inspected: by reading what is printed on a part, by seeing whether there is one, by following copper.
LookAt look_at(const Question& q, std::size_t row) {
    bool presence = false;
    for (const Cell& cell : q.family.rows[row].cells) {
        if (cell.state == CellState::connected) return LookAt::connection;
        presence |= cell.state == CellState::absent || cell.state == CellState::extra;
    }
    return presence ? LookAt::presence : LookAt::marking;
}

struct Candidate { std::size_t row; LookAt at; unsigned tells; };   // tells: a bit a change that is open

bool better(const std::vector<Candidate>& a, const std::vector<Candidate>& b) {
    if (a.size() != b.size()) return a.size() < b.size();
    int cost_a = 0, cost_b = 0;
    for (const Candidate& c : a) cost_a += static_cast<int>(c.at);
    for (const Candidate& c : b) cost_b += static_cast<int>(c.at);
    return cost_a < cost_b;
}

// The fewest candidates that tell every change of `wanted`; of as few, the cheapest; of as cheap, the first found, in row order.
std::vector<Candidate> smallest_set(const std::vector<Candidate>& candidates, unsigned wanted) {
    std::map<unsigned, std::vector<Candidate>> best{{0u, {}}};
    for (const Candidate& candidate : candidates) {
        std::map<unsigned, std::vector<Candidate>> next = best;
        for (const auto& [told, set] : best) {
            std::vector<Candidate> larger = set;
            larger.push_back(candidate);
            auto [at, is_new] = next.try_emplace((told | candidate.tells) & wanted, larger);
            if (!is_new && better(larger, at->second)) at->second = std::move(larger);
        }
        best = std::move(next);
    }
    return best.count(wanted) ? best.at(wanted) : std::vector<Candidate>{};
}

// The places of this board that could still be looked at, cheapest first, by the open changes that they tell.
std::vector<Candidate> candidates_of(const Question& q, const std::vector<std::size_t>& open) {
    std::map<std::size_t, unsigned> tells;
    for (std::size_t i = 0; i < open.size(); ++i)
        for (const PlaceChange& place : q.history.changes[open[i]].places)
            if (q.cells[place.row].state == CellState::untraced) tells[place.row] |= 1u << i;
    std::vector<Candidate> out;
    for (const auto& [row, mask] : tells) out.push_back({row, look_at(q, row), mask});
    std::stable_sort(out.begin(), out.end(), [](const Candidate& a, const Candidate& b) { return a.at < b.at; });
    return out;
}

void choose_looks(const Question& q, Identification& out) {
    std::vector<std::size_t> open;
    for (std::size_t c = out.left.front(); c < out.left.back(); ++c) open.push_back(c);
    if (open.size() > most_exact) open.resize(most_exact);
    std::vector<Candidate> candidates = candidates_of(q, open);
    unsigned can = 0;
    for (const Candidate& candidate : candidates) can |= candidate.tells;
    for (const Candidate& chosen : smallest_set(candidates, can)) {
        Look look{chosen.row, chosen.at, {}};
        for (std::size_t v : out.left) look.by_variant.push_back(text_in_variant(q.family, q.history, v, chosen.row));
        out.looks.push_back(std::move(look));
    }
    std::stable_sort(out.looks.begin(), out.looks.end(), [](const Look& a, const Look& b) { return a.at < b.at; });
    for (std::size_t i = 0; i < open.size(); ++i) {
        if (can >> i & 1) continue;
        std::vector<std::string> places;
        for (const PlaceChange& place : q.history.changes[open[i]].places) places.push_back(q.family.rows[place.row].place);
        out.undecidable.push_back(fmt::format("{} and {}: {} cannot tell on this board, later work or otherwise altered", q.history.variants[open[i]].name,
                                              q.history.variants[open[i] + 1].name, join_words(places)));
    }
}

// The unit with the most places alike and, of those, the fewest unlike.
void choose_sister(const Question& q, Identification& out) {
    for (std::size_t u = 0; u < q.family.units.size(); ++u) {
        std::size_t agrees = 0, differs = 0;
        for (std::size_t r = 0; r < q.family.rows.size(); ++r) {
            const Cell &here = q.cells[r], &there = q.family.rows[r].cells[u];
            if (here.state == CellState::untraced || there.state == CellState::untraced) continue;
            ++(here.text == there.text ? agrees : differs);
        }
        // One board's file among the members is no sister of itself.
        bool nearer = !out.sister || 2 * differs + out.sister_agrees < 2 * out.sister_differs + agrees;
        if (!nearer) continue;
        out.sister = u;
        out.sister_agrees = agrees;
        out.sister_differs = differs;
    }
}

// What no unit has there: findings that no row tells, and rows with a text of their own.
void tell_own(const Question& q, const Comparison& comparison, Identification& out) {
    std::set<std::string> told;
    for (std::size_t r = 0; r < q.cells.size(); ++r) {
        const Cell& cell = q.cells[r];
        told.insert(cell.findings.begin(), cell.findings.end());
        const PlaceRow& row = q.family.rows[r];
        if (cell.state == CellState::untraced) continue;
        bool shared = cell.text == row.drawn || std::any_of(row.cells.begin(), row.cells.end(), [&](const Cell& c) { return c.text == cell.text; });
        if (cell.later) out.own.push_back(fmt::format("{} is {}: probably later work, {}", row.place, cell.text, cell.why_later));
        else if (!shared) out.own.push_back(fmt::format("{} is {}, of no other unit", row.place, cell.text));
    }
    for (const Finding& finding : comparison.findings)
        if (finding.cost > 0 && !told.count(finding.id)) {
            out.own.push_back(finding.says);
            out.three_way.push_back({finding.drawing.empty() ? join(finding.board, " ") : join(finding.drawing, " "), finding.drawn.empty() ? "as drawn" : finding.drawn,
                                     finding.found.empty() ? std::string(what_word(finding.what)) : finding.found, out.sister ? "as drawn" : ""});
        }
}

void tell_three_ways(const Question& q, Identification& out) {
    for (std::size_t r = 0; r < q.family.rows.size(); ++r) {
        const PlaceRow& row = q.family.rows[r];
        std::string sister = out.sister ? row.cells[*out.sister].text : row.drawn;
        if (q.cells[r].text != row.drawn || sister != row.drawn) out.three_way.push_back({row.place, row.drawn, q.cells[r].text, sister});
    }
}

// Its own number and date, held against what its places say.
void hold_against_number(const Question& q, const Circuit& board, Identification& out) {
    const std::string& serial = board.about.serial;
    if (!serial.empty()) {
        auto label = [&](std::size_t unit) { return q.family.units[unit].label(); };
        if (out.bounds.after && !natural_less(label(*out.bounds.after), serial) && label(*out.bounds.after) != serial)
            out.remarks.push_back(fmt::format("its number {} is not above {}, which is of an earlier version", serial, label(*out.bounds.after)));
        if (out.bounds.by && !natural_less(serial, label(*out.bounds.by)) && label(*out.bounds.by) != serial)
            out.remarks.push_back(fmt::format("its number {} is not below {}, which is of a later version", serial, label(*out.bounds.by)));
    }
    if (!board.about.made) return;
    const Date& made = *board.about.made;
    if (out.bounds.not_before && made.latest && *made.latest < *out.bounds.not_before)
        out.remarks.push_back(fmt::format("its date {} is before {}, when this version cannot have been made yet", made.text, out.bounds.not_before->to_text()));
    if (out.bounds.not_after && made.earliest && *made.earliest > *out.bounds.not_after)
        out.remarks.push_back(fmt::format("its date {} is behind {}, when a later version was made already", made.text, out.bounds.not_after->to_text()));
}

}  // namespace

std::string text_in_variant(const GatheredFamily& family, const FamilyHistory& history, std::size_t variant, std::size_t row) {
    for (const PlaceChange& common : history.common) if (common.row == row) return common.to;
    std::string text = family.rows[row].drawn;
    bool first = true;
    for (std::size_t c = 0; c < history.changes.size(); ++c)
        for (const PlaceChange& place : history.changes[c].places) {
            if (place.row != row) continue;
            if (c < variant) text = place.to;
            else if (first) text = place.from;
            first = false;
        }
    return text;
}

std::string_view look_words(LookAt at) {
    switch (at) {
        case LookAt::marking: return "read the marking";
        case LookAt::presence: return "see whether it is fitted";
        case LookAt::connection: return "follow the connection";
    }
    return "";
}

Identification identify(const GatheredFamily& family, const FamilyHistory& history, const Circuit& board, const Comparison& comparison) {
    const std::vector<Cell> cells = cells_of(family, board, comparison);
    Question q{family, history, cells};
    Identification out;
    out.fits = fits_of(q);
    std::size_t least = out.fits.front().against.size();
    for (const VariantFit& fit : out.fits) least = std::min(least, fit.against.size());
    out.consistent = least == 0;
    for (const VariantFit& fit : out.fits) if (fit.against.size() == least) out.left.push_back(fit.variant);
    std::size_t first = out.left.front(), last = out.left.back();
    // Where no version fits there is nothing that follows.
    if (out.consistent && first > 0) out.bounds.after = history.changes[first - 1].bounds.after, out.bounds.not_before = history.changes[first - 1].bounds.not_before;
    if (out.consistent && last < history.changes.size()) out.bounds.by = history.changes[last].bounds.by, out.bounds.not_after = history.changes[last].bounds.not_after;
    choose_looks(q, out);
    choose_sister(q, out);
    tell_three_ways(q, out);
    tell_own(q, comparison, out);
    hold_against_number(q, board, out);
    return out;
}

}  // namespace tallyboard
