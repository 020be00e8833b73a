#include "family/consensus.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "base/text.h"
#include "review/correct.h"

namespace tallyboard {
namespace {

using Wanted = std::map<std::size_t, std::string>;   // row: the text that shall stand there

bool shows(const GatheredFamily& family, std::size_t unit, std::size_t row, const std::string& text) {
    const Cell& cell = family.rows[row].cells[unit];
    return cell.text == text && !cell.later && cell.state != CellState::untraced;
}

// The unit that shows most of what is wanted; those of `first` before others that show as much.
std::optional<std::size_t> most_telling(const GatheredFamily& family, const Wanted& wanted, const std::vector<std::size_t>& first) {
    std::optional<std::size_t> best;
    std::size_t most = 0;
    for (std::size_t u = 0; u < family.units.size(); ++u) {
        std::size_t score = 0;
        for (const auto& [row, text] : wanted) if (shows(family, u, row, text)) score += 2;
        if (score > 0 && std::count(first.begin(), first.end(), u)) ++score;
        if (score > most) most = score, best = u;
    }
    return best;
}

// The base with what is wanted taken over from the units that show it. Compared anew after each unit, so that places keep their names.
FamilyDrawing taken_over(const GatheredFamily& family, Wanted wanted, const std::vector<std::size_t>& first, const KindTable& kinds) {
    FamilyDrawing out{*family.base, {}};
    while (!wanted.empty()) {
        std::optional<std::size_t> unit = most_telling(family, wanted, first);
        std::set<std::string> accepted;
        std::vector<std::size_t> done;
        if (unit) {
            GatheredFamily now = family;
            now.base = std::make_shared<const Circuit>(out.circuit);
            const Circuit board = board_of(family.units[*unit], kinds);
            Comparison comparison = compare(out.circuit, board);
            std::vector<Cell> cells = cells_of(now, board, comparison);
            for (const auto& [row, text] : wanted) {
                if (!shows(family, *unit, row, text)) continue;
                done.push_back(row);
                if (cells[row].text == text) accepted.insert(cells[row].findings.begin(), cells[row].findings.end());
                else out.remarks.push_back(fmt::format("{}: {} could not be carried over from {}", family.rows[row].place, text, family.units[*unit].label()));
            }
            if (!accepted.empty())
                out.circuit = read_circuit(SourceText(out.circuit.source.name(), corrected_drawing(out.circuit, board, comparison, &accepted)), kinds, CircuitRole::drawing);
        } else {
            for (const auto& [row, text] : wanted) {
                done.push_back(row);
                out.remarks.push_back(fmt::format("{}: no unit shows {}; left as drawn", family.rows[row].place, text));
            }
        }
        for (std::size_t row : done) wanted.erase(row);
    }
    return out;
}

// The year or number up to which the old stood, and from which the new.
std::string to_words(const GatheredFamily& family, const Bounds& bounds) {
    if (bounds.not_before) return fmt::format("{}", bounds.not_before->year());
    return bounds.after ? "no. " + family.units[*bounds.after].label() : "";
}
std::string from_words(const GatheredFamily& family, const Bounds& bounds) {
    if (bounds.not_after) return fmt::format("{}", bounds.not_after->year());
    return bounds.by ? "no. " + family.units[*bounds.by].label() : "";
}

// The first reference of a circuit's parts that another lacks.
std::vector<std::string> new_refs(const Circuit& circuit, const Circuit& before) {
    std::vector<std::string> out;
    for (const Part& part : circuit.parts) if (!before.part(part.ref)) out.push_back(part.ref);
    return out;
}

Wanted otherwise_than_drawn(const GatheredFamily& family, const FamilyHistory& history, std::size_t variant) {
    Wanted out;
    for (std::size_t r = 0; r < family.rows.size(); ++r) {
        std::string text = text_in_variant(family, history, variant, r);
        if (text != family.rows[r].drawn) out[r] = std::move(text);
    }
    return out;
}

bool letter(Circuit& circuit, const std::string& ref, const std::string& note) {
    std::optional<PartId> id = circuit.part(ref);
    if (!id) return false;
    Part& part = circuit.parts[id->index];
    if (part.value) part.value->text = note;
    else part.model = note;
    return true;
}

}  // namespace

FamilyDrawing consensus_drawing(const GatheredFamily& family, const FamilyHistory& history, std::size_t variant, const KindTable& kinds) {
    return taken_over(family, otherwise_than_drawn(family, history, variant), history.variants.at(variant).units, kinds);
}

std::string year_note(const GatheredFamily& family, const FamilyHistory& history, std::size_t row) {
    std::string out;
    for (const ProductionChange& change : history.changes)
        for (const PlaceChange& place : change.places) {
            if (place.row != row) continue;
            if (out.empty()) out = place.from;
            std::string to = to_words(family, change.bounds), from = from_words(family, change.bounds);
            if (!to.empty()) out += " to " + to;
            out += ", " + place.to + (from.empty() ? "" : " from " + from);
        }
    return out;
}

NotedDrawing noted_drawing(const GatheredFamily& family, const FamilyHistory& history, const KindTable& kinds) {
    // First what every version has otherwise than drawn: mistakes of the drawing have no years.
    Wanted always = history.variants.empty() ? Wanted{} : otherwise_than_drawn(family, history, 0);
    for (const ProductionChange& change : history.changes)
        for (const PlaceChange& place : change.places) always.erase(place.row);
    FamilyDrawing mended = taken_over(family, always, {}, kinds);
    NotedDrawing out{std::move(mended.circuit), {}, std::move(mended.remarks)};
    std::map<std::size_t, std::string> ref_of;
    for (const ProductionChange& change : history.changes)
        for (const PlaceChange& place : change.places) {
            const PlaceRow& row = family.rows[place.row];
            bool extra = std::any_of(row.cells.begin(), row.cells.end(), [](const Cell& cell) { return cell.state == CellState::extra; });
            if (!extra || ref_of.count(place.row)) continue;
            // Parts that the base lacks are put in first, so that they are drawn.
            GatheredFamily now = family;
            now.base = std::make_shared<const Circuit>(out.circuit);
            FamilyDrawing with = taken_over(now, {{place.row, place.to == "not fitted" ? place.from : place.to}}, {}, kinds);
            out.remarks.insert(out.remarks.end(), with.remarks.begin(), with.remarks.end());
            std::vector<std::string> refs = new_refs(with.circuit, out.circuit);
            if (!refs.empty()) ref_of[place.row] = refs.front();
            out.circuit = std::move(with.circuit);
        }
    std::set<std::size_t> noted;
    for (const ProductionChange& change : history.changes)
        for (const PlaceChange& place : change.places) {
            if (!noted.insert(place.row).second) continue;
            std::string note = year_note(family, history, place.row);
            std::string ref = ref_of.count(place.row) ? ref_of[place.row] : family.rows[place.row].place;
            if (!letter(out.circuit, ref, note)) out.notes.push_back(family.rows[place.row].place + ": " + note);
        }
    return out;
}

}  // namespace tallyboard
