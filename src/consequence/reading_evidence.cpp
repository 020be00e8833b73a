#include "consequence/reading_evidence.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/number_text.h"
#include "base/text.h"
#include "base/threads.h"
#include "solve/reading_quantity.h"

namespace tallyboard::detail {

namespace {

// What three digits are good for, where neither reading nor meter says.
constexpr double three_digits = 0.005;

double within_of(const Circuit& board, const Reading& reading) {
    if (reading.within) return *reading.within;
    double error = 0;
    for (const Meter& meter : board.bench.meters)
        if (reading.meter && meter.id == *reading.meter) error = meter.error;
    return std::max(error, three_digits) * std::fabs(reading.is);
}

// In the span of the tolerances, widened by what the reading may be out by.
bool is_near(const Expectation& expectation, const Reading& reading, double within) {
    if (!expectation.expected) return false;
    const double low = expectation.low.value_or(*expectation.expected), high = expectation.high.value_or(*expectation.expected);
    return reading.is >= low - within && reading.is <= high + within;
}

std::string place_words(const Circuit& board, const Reading& reading) {
    switch (reading.what) {
        case ReadingWhat::voltage: return fmt::format("the voltage at {}", reading.at ? reading.at->text : "?");
        case ReadingWhat::resistance:
            return fmt::format("the resistance from {} to {}", reading.at ? reading.at->text : "?", reading.to ? reading.to->text : "?");
        case ReadingWhat::current:
            return fmt::format("the current through {}", reading.through_pin ? pin_name(board, *reading.through_pin) : reading.through);
    }
    return {};
}

std::string span_words(const Expectation& expectation, const Reading& reading) {
    const Quantity quantity = quantity_of(reading.what);
    if (!expectation.expected) return "nothing that could be worked out";
    const auto text = [&](double value) { return engineering_text(value, quantity, 3); };
    if (!expectation.low || !expectation.high || text(*expectation.low) == text(*expectation.high)) return text(*expectation.expected);
    return text(*expectation.low) + " to " + text(*expectation.high);
}

void put_words(const Circuit& board, ReadingEvidence& evidence) {
    const Reading& reading = *evidence.reading;
    const std::string is = reading.is_text.empty() ? shortest_text(reading.is) : reading.is_text;
    if (!evidence.by_drawing.expected || !evidence.by_board.expected) {
        const std::string why = !evidence.by_board.expected ? evidence.by_board.why_not : evidence.by_drawing.why_not;
        if (!evidence.board_explains && !evidence.drawing_explains)
            evidence.says = fmt::format("{} reads {}; nothing to set it against: {}", place_words(board, reading), is,
                                        why.empty() ? "its place has no partner on the drawing" : why);
        return;
    }
    if (evidence.drawing_explains && evidence.board_explains) return;
    const std::string sides = fmt::format("the drawing gives {}, the board {}", span_words(evidence.by_drawing, reading),
                                          span_words(evidence.by_board, reading));
    if (evidence.board_explains) {
        evidence.says = fmt::format("{} reads {}: {}", place_words(board, reading), is, sides);
        if (!evidence.findings.empty()) evidence.says += "; it speaks for " + join_words(evidence.findings, "or");
    } else if (evidence.drawing_explains && is_near(evidence.by_board, reading, 3 * evidence.within)) {
        evidence.says = fmt::format("{} reads {}: {}; at the edge of what either allows", place_words(board, reading), is, sides);
    } else if (evidence.drawing_explains) {
        evidence.says = fmt::format("{} reads {}: {}; the drawing fits, the board does not: look again there", place_words(board, reading), is, sides);
    } else {
        evidence.says = fmt::format("{} reads {}: {}; neither explains it: a fault, or a reading to take again",
                                    place_words(board, reading), is, sides);
    }
}

}  // namespace

std::vector<ReadingEvidence> reading_evidence(const Trial& drawing_side, const Circuit& drawing, const Circuit& board,
                                              const Comparison& comparison, const ConsequenceOptions& options) {
    std::vector<ReadingEvidence> out;
    for (const Reading& reading : board.bench.readings)
        if (reading.when == options.solve.when) out.push_back({&reading, within_of(board, reading), {}, {}, false, false, {}, {}});
    if (out.empty()) return out;

    const Circuit board_side = board_set_up(drawing, board, comparison);
    const Solver by_drawing(drawing_side.circuit(), options.solve), by_board(board_side, options.solve);
    for_each_number(out.size(), options.threads, [&](std::size_t i) {
        ReadingEvidence& evidence = out[i];
        evidence.by_board = by_board.expectation(*evidence.reading);
        evidence.board_explains = is_near(evidence.by_board, *evidence.reading, evidence.within);
        if (const std::optional<Reading> there = drawing_side.reading_for(*evidence.reading)) {
            evidence.by_drawing = by_drawing.expectation(*there);
            evidence.drawing_explains = is_near(evidence.by_drawing, *evidence.reading, evidence.within);
        } else {
            evidence.by_drawing.why_not = "its place has no partner on the drawing";
        }
    });
    const auto speaks = [](const ReadingEvidence& e) { return e.board_explains && !e.drawing_explains && e.by_drawing.expected; };
    if (std::any_of(out.begin(), out.end(), speaks)) {
        // explained[f][i]: finding f carried out alone explains reading i.
        std::vector<std::vector<char>> explained(comparison.findings.size(), std::vector<char>(out.size(), 0));
        for_each_number(comparison.findings.size(), options.threads, [&](std::size_t f) {
            Trial trial(drawing, board, comparison);
            if (!trial.carry_out(comparison.findings[f])) return;
            const Solver solver(trial.circuit(), options.solve);
            for (std::size_t i = 0; i < out.size(); ++i) {
                if (!speaks(out[i])) continue;
                if (const std::optional<Reading> there = trial.reading_for(*out[i].reading))
                    explained[f][i] = is_near(solver.expectation(*there), *out[i].reading, out[i].within);
            }
        });
        for (std::size_t f = 0; f < explained.size(); ++f)
            for (std::size_t i = 0; i < out.size(); ++i)
                if (explained[f][i]) out[i].findings.push_back(comparison.findings[f].id);
    }
    for (ReadingEvidence& evidence : out) put_words(board, evidence);
    return out;
}

}  // namespace tallyboard::detail
