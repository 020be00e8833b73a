#include "publish/pack_sections.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

#include "base/file.h"
#include "base/number_text.h"
#include "base/text.h"
#include "consequence/caution.h"
#include "publish/images.h"
#include "solve/reading_quantity.h"
#include "values/span_text.h"

namespace tallyboard {
namespace {

std::vector<std::optional<double>> levels(const std::vector<ResponsePoint>& points) {
    std::vector<std::optional<double>> out;
    for (const ResponsePoint& point : points) out.push_back(point.db);
    return out;
}

int mark_of(const std::map<std::string, int>& marks, const std::string& id) {
    auto at = marks.find(id);
    return at == marks.end() ? 0 : at->second;
}

std::string conditions(const Circuit& circuit) {
    std::vector<std::string> out;
    if (!circuit.setup) return {};
    const Setup& setup = *circuit.setup;
    for (const Control& control : setup.controls)
        out.push_back(control.share ? fmt::format("{} at {} % of its turn", circuit[control.part].ref, rounded_text(100 * *control.share, 3))
                                    : circuit[control.part].ref + " " + control.position);
    if (setup.source) out.push_back(fmt::format("source {} at {}", engineering_text(setup.source->ohms, Quantity::resistance), net_name(circuit, setup.source->net)));
    if (setup.load)
        out.push_back(setup.load->ohms ? fmt::format("load {} at {}", engineering_text(*setup.load->ohms, Quantity::resistance), net_name(circuit, setup.load->net))
                                       : "no load at " + net_name(circuit, setup.load->net));
    for (const Supply& supply : setup.supplies)
        out.push_back(fmt::format("{} {}", supply.name, engineering_text(supply.volts, Quantity::voltage)));
    return join(out, ", ");
}

std::string reading_place(const Circuit& circuit, const Reading& reading) {
    if (reading.what == ReadingWhat::current)
        return "current through " + (reading.through_pin ? pin_name(circuit, *reading.through_pin) : reading.through);
    return (reading.at ? reading.at->text : "") + " to " + (reading.to ? reading.to->text : "") +
           (reading.what == ReadingWhat::resistance ? ", resistance" : "");
}

// "6.94 V to 9.13 V", "13.5 V"; why not where it is not told.
std::string span_text(const Expectation& expectation, Quantity quantity) {
    if (!expectation.expected) return "–";
    // What lies below a microvolt, a nanoampere is the solution's own dust.
    const double dust = quantity == Quantity::voltage ? 1e-6 : quantity == Quantity::current ? 1e-9 : 0;
    const auto text = [&](double value) { return engineering_text(std::fabs(value) < dust ? 0 : value, quantity, 3); };
    if (!expectation.low || !expectation.high || text(*expectation.low) == text(*expectation.high)) return text(*expectation.expected);
    return text(*expectation.low) + " to " + text(*expectation.high);
}

std::string reading_remark(const ReadingEvidence& evidence) {
    if (!evidence.by_drawing.expected || !evidence.by_board.expected) {
        const std::string& why = !evidence.by_board.expected ? evidence.by_board.why_not : evidence.by_drawing.why_not;
        return "not told: " + why;
    }
    if (evidence.drawing_explains && evidence.board_explains) return "as expected";
    if (evidence.board_explains) return evidence.findings.empty() ? "the board explains it, the drawing does not" : "it speaks for " + join_words(evidence.findings, "or");
    if (evidence.drawing_explains) return "at the edge of what the board allows";
    return "neither explains it: a fault of this unit, or a reading to take again";
}

ReadingComparison reading_row(const Circuit& board, const ReadingEvidence& evidence) {
    const Reading& reading = *evidence.reading;
    const Quantity quantity = quantity_of(reading.what);
    std::string read = reading.is_text.empty() ? engineering_text(reading.is, quantity) : reading.is_text;
    return {reading_place(board, reading), reading.meter.value_or("–"), span_text(evidence.by_drawing, quantity), span_text(evidence.by_board, quantity), std::move(read),
            reading_remark(evidence)};
}

// "First for safety: F2 and C31. Of the others first: C10, bass 6.2 dB fuller at 40 Hz; outside production spread."
std::string what_comes_first(const Consequences& c, const Comparison& comparison) {
    const auto place = [&](const std::string& id) -> std::string {
        for (const Finding& finding : comparison.findings)
            if (finding.id == id && !(finding.drawing.empty() && finding.board.empty())) return finding.drawing.empty() ? finding.board.front() : finding.drawing.front();
        return id;
    };
    std::vector<std::string> safety;
    const Consequence* first = nullptr;
    for (std::size_t index : c.ranking) {
        const Consequence& finding = c.findings[index];
        if (finding.safety) safety.push_back(place(finding.finding));
        else if (!first && finding.told && finding.grade > Grade::nothing && finding.grade != Grade::unknown) first = &finding;
    }
    std::string out;
    if (!safety.empty()) out += "First for safety: " + join_words(safety) + ". ";
    if (first) out += (safety.empty() ? "First by what is heard and measured: " : "Of the others first: ") + place(first->finding) + ", " + first->says + ".";
    return out;
}

std::string unit_words(const Circuit& board) {
    std::vector<std::string> out;
    const About& about = board.about;
    for (const std::string& piece : {about.maker, about.model}) if (!piece.empty()) out.push_back(piece);
    std::string unit = join(out, " ");
    if (unit.empty()) unit = about.title;
    if (!about.serial.empty()) unit += ", no. " + about.serial;
    if (about.made) unit += ", " + about.made->text;
    return unit;
}

std::string found_words(const Circuit& board, const Found& found, const Part& part) {
    std::vector<std::string> out;
    if (!found.marking.empty()) out.push_back("marked " + found.marking);
    if (found.measured)
        out.push_back("measured " + engineering_text(*found.measured, board.kind_of(part).quantity) + " " + std::string(measured_how(found.where)));
    if (found.status != FoundStatus::unsaid) out.emplace_back(status_word(found.status));
    if (!found.date_code.empty()) out.push_back("date code " + found.date_code);
    if (!found.condition.empty()) out.push_back(found.condition);
    if (out.empty() && part.value) out.push_back(part.value->text);
    return join(out, ", ");
}

}  // namespace

std::optional<ResponseSection> response_section(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                                                const Consequences& c, const std::map<std::string, int>& marks) {
    if (!c.why_not.empty() && c.response.empty() && c.dc.net_volts.empty()) return std::nullopt;
    ResponseSection out;
    out.conditions = conditions(drawing.setup ? drawing : board);
    out.hz = c.hz;
    if (!c.response.empty()) out.drawing = ResponseCurve{"as drawn", levels(c.response)};
    if (!c.together.response.empty()) out.board = ResponseCurve{"as found", levels(c.together.response)};
    if (c.spread.told && c.spread.hz.size() == c.hz.size()) {
        out.spread.emplace();
        for (const std::optional<Band>& band : c.spread.level) {
            out.spread->low.push_back(band ? std::optional(band->low) : std::nullopt);
            out.spread->high.push_back(band ? std::optional(band->high) : std::nullopt);
        }
    }
    for (std::size_t index : c.ranking) {
        const Consequence& finding = c.findings[index];
        auto at = std::find_if(comparison.findings.begin(), comparison.findings.end(), [&](const Finding& f) { return f.id == finding.finding; });
        std::string place = at == comparison.findings.end() ? "" : join(at->drawing.empty() ? at->board : at->drawing, ", ");
        std::string effect = finding.says.empty() ? finding.why_not : finding.says;
        if (!finding.formula.empty()) effect += " (" + finding.formula + ")";
        out.effects.push_back({mark_of(marks, finding.finding), finding.finding, place, effect, std::string(grade_word(finding.grade))});
    }
    for (const RestChange& change : c.together.rest) {
        if (change.is_current || !change.net) continue;
        VoltageComparison row{net_name(drawing, *change.net), change.drawn, change.found, {}, {}, {}};
        if (c.spread.told && change.net->index < c.spread.net_volts.size() && c.spread.net_volts[change.net->index]) {
            row.low = c.spread.net_volts[change.net->index]->low;
            row.high = c.spread.net_volts[change.net->index]->high;
            row.remark = change.inside_spread ? "within production spread" : "outside production spread";
        }
        if (change.grade > Grade::nothing && !change.inside_spread) row.remark += ", " + std::string(grade_word(change.grade));
        out.voltages.push_back(std::move(row));
    }
    for (const ReadingEvidence& evidence : c.readings) out.readings.push_back(reading_row(board, evidence));
    out.first = what_comes_first(c, comparison);
    out.remarks = c.remarks;
    if (!c.why_not.empty()) out.remarks.push_back(c.why_not);
    if (!c.spread.why_not.empty()) out.remarks.push_back("No production spread: " + c.spread.why_not);
    return out;
}

std::optional<SpecimenSection> specimen_section(const Circuit& board, const Comparison& comparison, const SolveOptions& solve_options) {
    std::set<std::string> drifted;
    for (const Finding& finding : comparison.findings)
        if (finding.what == What::drift)
            for (const PartId id : finding.board_parts) drifted.insert(board[id].ref);
    SpecimenSection out;
    out.unit = unit_words(board);
    out.by = board.about.by;
    out.found_on = board.about.date.empty() ? board.about.source : board.about.date;
    out.conditions = conditions(board);
    std::string last_done;
    for (const Part& part : board.parts) {
        bool notable = !part.done.empty() || drifted.count(part.ref) > 0;
        for (const Found& found : part.found)
            notable = notable || !found.condition.empty() || found.status == FoundStatus::replaced || found.status == FoundStatus::added;
        if (!notable) continue;
        SpecimenRow row;
        row.part = part.ref + (part.nominal() ? " " + part.nominal()->text : part.model.empty() ? "" : " " + part.model);
        std::vector<std::string> found, done, remarks;
        for (const Found& f : part.found) {
            found.push_back(found_words(board, f, part));
            if (!f.note.empty()) remarks.push_back(f.note);
        }
        for (const Done& d : part.done) {
            done.push_back(std::string(done_word(d.what)) + (d.on.empty() ? "" : " " + d.on) + (d.why.empty() ? "" : ": " + d.why));
            if (!d.with.empty()) row.left = d.with;
            else if (d.what == DoneWhat::removed) row.left = "not fitted";
            last_done = std::max(last_done, d.on);
        }
        row.found = join(found, "; ");
        row.done = join(done, "; ");
        row.remark = join(remarks, "; ");
        out.rows.push_back(std::move(row));
    }
    out.left_on = last_done;
    // Readings side by side: the same place found and left is one row.
    SolveOptions left = solve_options;
    left.when = When::left;
    Solver solver(board, left);
    for (const Reading& reading : board.bench.readings) {
        std::string place = reading_place(board, reading) + (reading.meter ? " (" + *reading.meter + ")" : "");
        auto at = std::find_if(out.readings.begin(), out.readings.end(), [&](const SpecimenReading& r) { return r.what == place; });
        if (at == out.readings.end()) {
            SpecimenReading row;
            row.what = place;
            Reading as_left = reading;
            as_left.when = When::left;
            Expectation e = solver.expectation(as_left);
            if (e.low && e.high)
                row.expected = span_text(*e.low, *e.high, quantity_of(reading.what));
            out.readings.push_back(std::move(row));
            at = std::prev(out.readings.end());
        }
        (reading.when == When::found ? at->found : at->left) = reading.is_text;
    }
    if (out.rows.empty() && out.readings.empty()) return std::nullopt;
    out.cautions = caution_lines(board, cautions(board, solver, solver.operating_point()));
    return out;
}

std::optional<ScanSection> scan_section(const Circuit& drawing, const Comparison& comparison, const std::map<std::string, int>& marks,
                                        bool overlay_alone) {
    if (drawing.scans.empty()) return std::nullopt;
    ScanSection out;
    auto place_of = [&](const Finding& finding) -> const OnScan* {
        std::vector<PartId> parts = finding.drawing_parts;
        for (PinId pin : finding.drawing_pins) parts.push_back(pin.part);
        for (PartId part : parts)
            for (const OnScan& on : drawing[part].on_scan)
                if (on.scan.empty() || on.scan == drawing.scans.front().file) return &on;
        return nullptr;
    };
    for (const Finding& finding : comparison.findings) {
        int number = mark_of(marks, finding.id);
        const OnScan* on = place_of(finding);
        if (number > 0 && on) out.balloons.push_back({number, on->x, on->y, finding.says});
    }
    if (out.balloons.empty()) return std::nullopt;
    std::string path = path_beside(drawing.source.name(), drawing.scans.front().file);
    SourceText file = read_file(path);
    Result<Image> image = read_image(file.bytes());
    if (!image) throw CommandError(path, image.error());
    out.picture = std::move(image).value();
    out.width = out.picture.seen_width();
    out.height = out.picture.seen_height();
    if (overlay_alone) out.picture = {};
    out.source = drawing.about.source;
    return out;
}

}  // namespace tallyboard
