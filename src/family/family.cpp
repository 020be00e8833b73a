#include "family/family.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <mutex>

#include "base/digest.h"
#include "base/file.h"
#include "base/text.h"
#include "base/threads.h"
#include "circuit/latest_date.h"
#include "compare/answering.h"

namespace tallyboard {
namespace {

// What a finding says of which place, before rows are made of it.
struct Told { std::string place, drawn; Cell cell; };

std::string value_text(const Circuit& circuit, const Part& part) {
    if (const Value* value = part.nominal()) return trade_text(value->number, circuit.kind_of(part).quantity);
    return part.model;
}

// The drawing's name of a board's net, else the board's own in brackets.
std::string drawn_net(const Circuit& drawing, const Circuit& board, const Comparison& comparison, NetId net) {
    const std::optional<NetId> drawn = drawn_answer(comparison, net);
    return drawn ? net_name(drawing, *drawn) : "(" + net_name(board, net) + ")";
}

// "a resistor from FB to Q1E": an extra part by where it stands, since its reference is only the technician's.
std::string extra_place(const Circuit& drawing, const Circuit& board, const Comparison& comparison, PartId id, bool inserted) {
    const Part& part = board[id];
    std::vector<std::string> nets;
    for (const Pin& pin : part.pins)
        nets.push_back(pin.state == PinState::traced ? drawn_net(drawing, board, comparison, pin.net) : "?");
    // A board's own net name would differ from unit to unit: beside a net of the drawing it is only "a new net".
    for (std::string& net : nets) if (net.starts_with('(')) net = "a new net";
    std::sort(nets.begin(), nets.end(), natural_less);
    nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
    const std::string& kind = board.kind_of(part).says;
    if (inserted && nets.size() == 1) return kind + " in series at " + nets.front();
    return kind + (nets.size() == 1 ? " at " : " from ") + join_words(nets, "to");
}

void mark_evidence(Cell& cell, const Circuit& board, const std::vector<PartId>& parts) {
    for (PartId id : parts)
        for (const Found& found : board[id].found)
            if (found.status == FoundStatus::replaced || found.status == FoundStatus::added) {
                cell.later = true;
                cell.why_later = board[id].ref + " is marked as " + std::string(status_word(found.status));
            }
}

std::vector<Told> told_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    std::vector<Told> out;
    auto tell = [&](const Finding& finding, std::string place, std::string drawn, CellState state, std::string text) {
        Told told{std::move(place), std::move(drawn), {}};
        told.cell.state = state;
        told.cell.text = std::move(text);
        told.cell.findings = {finding.id};
        mark_evidence(told.cell, board, finding.board_parts);
        out.push_back(std::move(told));
    };
    for (const Finding& f : comparison.findings) {
        std::string ref = f.drawing_parts.empty() ? "" : drawing[f.drawing_parts.front()].ref;
        std::string drawn = f.drawing_parts.empty() ? "" : value_text(drawing, drawing[f.drawing_parts.front()]);
        std::string found = f.board_parts.empty() ? "" : value_text(board, board[f.board_parts.front()]);
        switch (f.what) {
            case What::value: tell(f, ref, drawn, CellState::value, found); break;
            case What::kind: tell(f, ref, drawn, CellState::kind, board.kind_of(board[f.board_parts.front()]).says); break;
            case What::reversed: tell(f, ref, drawn, CellState::connected, "turned round"); break;
            case What::missing: tell(f, ref, drawn, CellState::absent, "not fitted"); break;
            case What::bypassed: tell(f, ref, drawn, CellState::absent, "bridged"); break;
            case What::extra:
            case What::inserted:
                tell(f, extra_place(drawing, board, comparison, f.board_parts.front(), f.what == What::inserted), "not fitted", CellState::extra,
                     found.empty() ? "fitted" : found);
                break;
            case What::moved:
            case What::split: {
                for (PinId pin : f.drawing_pins) {
                    std::string there = f.board_net ? drawn_net(drawing, board, comparison, *f.board_net) : "nothing";
                    if (there.starts_with('(')) there = "a net of its own";
                    tell(f, pin_name(drawing, pin), f.drawing_net ? "on " + net_name(drawing, *f.drawing_net) : "", CellState::connected,
                         "on " + there);
                }
                break;
            }
            case What::joined: {
                std::string net = f.drawing_net ? net_name(drawing, *f.drawing_net) : f.id;
                std::string into = f.board_net ? drawn_net(drawing, board, comparison, *f.board_net) : "another";
                tell(f, "net " + net, "a net of its own", CellState::connected, "one with " + into);
                break;
            }
            case What::unverified:
                if (!f.drawing_pins.empty()) tell(f, pin_name(drawing, f.drawing_pins.front()), "", CellState::untraced, "?");
                else tell(f, ref, drawn, CellState::untraced, "?");
                break;
            case What::equivalent:
            case What::drift: break;
        }
    }
    return out;
}

// Several findings of one place make one cell.
Cell merged(const std::vector<const Told*>& told) {
    Cell cell = told.front()->cell;
    for (std::size_t i = 1; i < told.size(); ++i) {
        const Cell& other = told[i]->cell;
        if (cell.state == CellState::untraced) {
            std::vector<std::string> ids = cell.findings;
            cell = other;
            cell.findings.insert(cell.findings.begin(), ids.begin(), ids.end());
            continue;
        }
        cell.findings.insert(cell.findings.end(), other.findings.begin(), other.findings.end());
        if (other.state == CellState::untraced) continue;
        cell.text += ", " + other.text;
        if (other.later) cell.later = true, cell.why_later = other.why_later;
    }
    return cell;
}

// A place that no finding names is as drawn, unless its part was not reached at all.
Cell unnamed_cell(const PlaceRow& row, const std::vector<Told>& told) {
    Cell cell;
    cell.text = row.drawn;
    // A pin's place is not known where the whole part is missing or untraced.
    std::string ref = row.place.substr(0, row.place.find('.'));
    if (ref == row.place) return cell;
    for (const Told& t : told)
        if (t.place == ref && (t.cell.state == CellState::absent || t.cell.state == CellState::untraced)) {
            cell.state = CellState::untraced;
            cell.text = "?";
        }
    return cell;
}

std::vector<Cell> row_cells(const GatheredFamily& family, const std::vector<Told>& told) {
    std::vector<Cell> cells;
    for (const PlaceRow& row : family.rows) {
        std::vector<const Told*> here;
        for (const Told& t : told) if (t.place == row.place) here.push_back(&t);
        cells.push_back(here.empty() ? unnamed_cell(row, told) : merged(here));
    }
    return cells;
}

void apply_review(std::vector<Cell>& cells, const Review& review) {
    for (Cell& cell : cells)
        for (const Decision& decision : review.decisions) {
            if (std::find(cell.findings.begin(), cell.findings.end(), decision.finding) == cell.findings.end()) continue;
            if (decision.is == DecisionIs::production) cell.production = true, cell.later = false, cell.why_later.clear();
            if (decision.is == DecisionIs::repair || decision.is == DecisionIs::modification || decision.is == DecisionIs::specimen) {
                cell.later = true;
                cell.why_later = fmt::format("decided: {}", decision_word(decision.is));
            }
            // A tracing error says nothing of the unit.
            if (decision.is == DecisionIs::tracing) cell.state = CellState::untraced, cell.text = "?";
        }
}

// A member while the table is made: what its comparison tells, and what contradictions between members are found by.
struct Compared {
    Unit unit;
    std::optional<Review> review;
    std::vector<Told> told;
    std::string own_serial, own_made, digest;   // as the board's file has them; of its bytes
};

Compared compare_member(const Family& family, const FamilyMember& member, const Circuit& base, const KindTable& kinds, double effort) {
    const std::string& here = family.source.name();
    Compared out;
    out.unit.file = path_beside(here, member.file);
    const Circuit board = board_of(out.unit, kinds);
    out.unit.serial = member.serial.empty() ? board.about.serial : member.serial;
    out.unit.made = member.made ? member.made : board.about.made;
    out.unit.seen = member.seen;
    out.unit.note = member.note;
    out.own_serial = board.about.serial;
    if (board.about.made) out.own_made = board.about.made->text;
    LatestDate latest;
    latest.consider(board);
    out.unit.dated = latest.text();
    out.digest = sha256(board.source.bytes());
    if (!member.review.empty()) out.review = read_review(read_file(path_beside(here, member.review)));
    CompareOptions options;
    options.effort = effort;
    options.threads = 1;
    options.prove = false;
    if (out.review)
        for (const ReviewPair& pair : out.review->pairs) options.pairs.push_back({pair.drawing, pair.board});
    const Comparison comparison = compare(base, board, options);
    out.unit.cost = comparison.cost;
    out.told = told_of(base, board, comparison);
    return out;
}

// In file order, on as many threads as there are; the first member's failure in that order is thrown.
std::vector<Compared> compare_members(const Family& family, const Circuit& base, const KindTable& kinds, const FamilyOptions& options) {
    std::vector<Compared> out(family.members.size());
    std::size_t done = 0;
    std::mutex progress_lock;
    for_each_number(out.size(), options.threads, [&](std::size_t i) {
        out[i] = compare_member(family, family.members[i], base, kinds, options.effort);
        std::lock_guard lock(progress_lock);
        ++done;
        if (options.progress) options.progress(double(done) / double(out.size()));
    });
    return out;
}

// What the family's file and the boards' say otherwise, and two boards of one number.
void tell_contradictions(const Family& family, const std::vector<Compared>& members, std::vector<std::string>& remarks) {
    std::map<std::string, std::vector<std::size_t>> of_number;
    for (std::size_t i = 0; i < members.size(); ++i) {
        const Compared& m = members[i];
        const FamilyMember& member = family.members[i];
        if (!member.serial.empty() && !m.own_serial.empty() && member.serial != m.own_serial)
            remarks.push_back(fmt::format("{}: the family says number {}, the board's file {}; the family's counts", m.unit.file, member.serial, m.own_serial));
        if (member.made && !m.own_made.empty() && member.made->text != m.own_made)
            remarks.push_back(fmt::format("{}: the family says made {}, the board's file {}; the family's counts", m.unit.file, member.made->text, m.own_made));
        if (m.unit.serial.empty()) continue;
        std::vector<std::size_t>& same = of_number[m.unit.serial];
        for (std::size_t j : same)
            if (members[j].digest != m.digest)
                remarks.push_back(fmt::format("{} and {} both say number {}, with other contents", members[j].unit.file, m.unit.file, m.unit.serial));
        same.push_back(i);
    }
}

bool before(const Unit& a, const Unit& b) {
    if (a.serial.empty() != b.serial.empty()) return !a.serial.empty();
    if (a.serial != b.serial) return natural_less(a.serial, b.serial);
    auto day = [](const Unit& u) { return u.made && u.made->earliest ? u.made->earliest->number : 1 << 30; };
    return day(a) < day(b);
}

// A row for each place where some unit is not as drawn.
std::vector<PlaceRow> empty_rows(const std::vector<Compared>& members) {
    std::map<std::string, PlaceRow, bool (*)(std::string_view, std::string_view)> rows(
        +[](std::string_view a, std::string_view b) { return natural_less(a, b); });
    for (const Compared& member : members)
        for (const Told& t : member.told) {
            if (t.cell.state == CellState::untraced) continue;
            PlaceRow& row = rows[t.place];
            row.place = t.place;
            if (row.drawn.empty()) row.drawn = t.drawn.empty() ? "as drawn" : t.drawn;
        }
    std::vector<PlaceRow> out;
    for (auto& [place, row] : rows) out.push_back(std::move(row));
    return out;
}

}  // namespace

std::string_view cell_word(CellState state) {
    switch (state) {
        case CellState::same: return "same";
        case CellState::value: return "other value";
        case CellState::kind: return "other kind";
        case CellState::connected: return "otherwise connected";
        case CellState::absent: return "absent";
        case CellState::extra: return "extra";
        case CellState::untraced: return "untraced";
    }
    return "";
}

std::string Unit::label() const { return serial.empty() ? std::filesystem::path(file).filename().string() : serial; }

Circuit board_of(const Unit& unit, const KindTable& kinds) { return read_circuit(read_file(unit.file), kinds, CircuitRole::board); }

bool is_other_design(const Comparison& comparison) { return comparison.cost > static_cast<int>(comparison.drawing_parts); }

GatheredFamily gather(const Family& family, const KindTable& kinds, const FamilyOptions& options) {
    GatheredFamily out;
    out.title = family.title;
    out.base = std::make_shared<const Circuit>(read_circuit(read_file(path_beside(family.source.name(), family.base)), kinds, CircuitRole::drawing));
    std::vector<Compared> members = compare_members(family, *out.base, kinds, options);
    tell_contradictions(family, members, out.remarks);
    std::stable_sort(members.begin(), members.end(), [](const Compared& a, const Compared& b) { return before(a.unit, b.unit); });
    out.rows = empty_rows(members);
    for (Compared& member : members) {
        std::vector<Cell> cells = row_cells(out, member.told);
        if (member.review) apply_review(cells, *member.review);
        for (std::size_t r = 0; r < out.rows.size(); ++r) out.rows[r].cells.push_back(std::move(cells[r]));
        out.units.push_back(std::move(member.unit));
    }
    return out;
}

std::vector<Cell> cells_of(const GatheredFamily& family, const Circuit& board, const Comparison& comparison) {
    return row_cells(family, told_of(*family.base, board, comparison));
}

std::string table_csv(const GatheredFamily& family) {
    auto quoted = [](const std::string& text) {
        if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
        std::string out = "\"";
        for (char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
        return out + "\"";
    };
    std::string out = "place,drawn";
    for (const Unit& unit : family.units)
        out += "," + quoted(unit.label() + (unit.made ? " (" + unit.made->text + ")" : ""));
    out += "\r\n";
    for (const PlaceRow& row : family.rows) {
        out += quoted(row.place) + "," + quoted(row.drawn);
        for (const Cell& cell : row.cells) out += "," + quoted(cell.text);
        out += "\r\n";
    }
    return out;
}

}  // namespace tallyboard
