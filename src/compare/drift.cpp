#include <algorithm>

#include <fmt/format.h>

#include "compare/findings.h"

namespace tallyboard::detail {
namespace {

// Whose tolerance it is, in words for the reason.
struct Allowed { Tolerance tolerance; std::string whose; };

std::optional<Tolerance> default_of(const Defaults& defaults, Quantity quantity) {
    if (quantity == Quantity::resistance) return defaults.resistor_tol;
    if (quantity == Quantity::capacitance) return defaults.capacitor_tol;
    return std::nullopt;
}

// What the trade takes for a part of that year without a tolerance.
std::optional<Allowed> customary(const Circuit& board, const Kind& kind) {
    if (kind.quantity == Quantity::capacitance && kind.polarised) return Allowed{{0.2, 0.8}, "the usual tolerance of electrolytics"};
    if (kind.quantity == Quantity::capacitance) return Allowed{{0.2, 0.2}, "the usual tolerance of capacitors"};
    if (kind.quantity != Quantity::resistance) return std::nullopt;
    const auto& made = board.about.made;
    if (!made || !made->earliest) return Allowed{{0.1, 0.1}, "the usual tolerance of resistors"};
    const int year = made->earliest->year();
    const double share = year < 1955 ? 0.2 : year <= 1970 ? 0.1 : 0.05;
    return Allowed{{share, share}, fmt::format("the usual tolerance of resistors of {}", year)};
}

std::optional<Allowed> allowed_for(const Circuit& drawing, const Part* drawn, const Circuit& board, const Part& part) {
    const Kind& kind = board.kind_of(part);
    if (part.tol) return Allowed{*part.tol, "the board's tolerance"};
    if (part.value && part.value->tolerance) return Allowed{*part.value->tolerance, "the board's tolerance"};
    for (const Found& found : part.found)
        if (found.marked && found.marked->tolerance) return Allowed{*found.marked->tolerance, "the marking's tolerance"};
    if (auto common = default_of(board.defaults, kind.quantity)) return Allowed{*common, "the board's tolerance"};
    if (drawn && drawn->tol) return Allowed{*drawn->tol, "the drawing's tolerance"};
    if (drawn && drawn->value && drawn->value->tolerance) return Allowed{*drawn->value->tolerance, "the drawing's tolerance"};
    if (auto common = default_of(drawing.defaults, kind.quantity)) return Allowed{*common, "the drawing's tolerance"};
    return customary(board, kind);
}

double meter_error(const Circuit& board, const std::string& id) {
    for (const Meter& meter : board.bench.meters) if (meter.id == id) return meter.error;
    return 0;
}

std::string percent(double share) { return fmt::format("{:g} %", 100 * share); }

std::string tolerance_text(const Tolerance& tolerance) {
    if (tolerance.minus == tolerance.plus) return "±" + percent(tolerance.plus);
    return fmt::format("-{:g}/+{}", 100 * tolerance.minus, percent(tolerance.plus));
}

// Whether the reading lies beyond what is allowed, and where it was taken lets it count.
bool has_drifted(const Found& found, double nominal, const Tolerance& tolerance, double error, Quantity quantity) {
    constexpr double rounding = 1e-9;   // a reading on the limit is within it, whatever the last digit of a double says
    const bool above = *found.measured > nominal * (1 + tolerance.plus + error) * (1 + rounding);
    const bool below = *found.measured < nominal * (1 - tolerance.minus - error) * (1 - rounding);
    const bool in_circuit = found.where == FoundWhere::in || found.where == FoundWhere::unsaid;
    if (in_circuit) return quantity == Quantity::resistance && above;
    return above || below;
}

}  // namespace

std::vector<Finding> drift_findings(const Outcome& outcome) {
    const Circuit &drawing = *outcome.problem.drawing.circuit, &board = *outcome.problem.board.circuit;
    std::vector<Finding> out;
    for (int q = 0; q < outcome.problem.board.parts(); ++q) {
        const int p = outcome.pairing.partner_of_found(q);
        const Part* drawn = p == none ? nullptr : &drawing[outcome.problem.drawing.members[p].front()];
        for (PartId id : outcome.problem.board.members[q]) {
            const Part& part = board[id];
            const Value* nominal = part.nominal();
            if (!nominal || nominal->number.is_zero()) continue;
            const auto allowed = allowed_for(drawing, drawn, board, part);
            if (!allowed) continue;
            for (const Found& found : part.found) {
                if (!found.measured || !has_drifted(found, nominal->si(), allowed->tolerance, meter_error(board, found.meter), nominal->quantity)) continue;
                Finding finding;
                finding.what = What::drift;
                const bool single = p != none && outcome.problem.board.members[q].size() == 1;
                const std::string place = single ? part_text(outcome.problem.drawing, p) : part.ref;
                finding.id = "drift@" + place;
                if (p != none) finding.drawing = {part_text(outcome.problem.drawing, p)}, finding.drawing_parts = outcome.problem.drawing.members[p];
                finding.board = {part.ref};
                finding.board_parts = {id};
                finding.drawn = nominal->text;
                finding.found = engineering_text(*found.measured, nominal->quantity);
                finding.says = fmt::format("{} is {}{} and measured {}, {}; {} is {}. That is this specimen, not the drawing.", place,
                                           part.value ? "" : "marked ", nominal->text, finding.found,
                                           fmt::format("{:+.0f} %", 100 * (*found.measured / nominal->si() - 1)), allowed->whose, tolerance_text(allowed->tolerance));
                out.push_back(std::move(finding));
                break;
            }
        }
    }
    return out;
}

}  // namespace tallyboard::detail
