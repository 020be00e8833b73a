#include "consequence/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number_text.h"
#include "base/text.h"

namespace tallyboard::detail {

namespace {

std::string hertz(double hz) { return engineering_text(hz, Quantity::frequency, 3); }
std::string decibels(double db) { return fixed_text(std::fabs(db), 1) + " dB"; }

// Change at the frequency nearest to hz.
const LevelChange* at(const std::vector<LevelChange>& levels, double hz) {
    const LevelChange* best = nullptr;
    for (const LevelChange& change : levels)
        if (!best || std::fabs(std::log(change.hz / hz)) < std::fabs(std::log(best->hz / hz))) best = &change;
    return best;
}

// Where all of the band changes one way, the change at 1 kHz: the rest is heard beside it. Else 0: each place speaks for itself.
double common_level(const std::vector<LevelChange>& levels, const LevelChange& middle, double worth) {
    const double sign = middle.change() < 0 ? -1 : 1;
    const bool alike = std::all_of(levels.begin(), levels.end(), [&](const LevelChange& change) { return !change.in_band || sign * change.change() >= worth; });
    return alike && middle.in_band ? middle.change() : 0;
}

// The curve's change in the words of someone who listens: what is louder or quieter on the whole, then bass, treble and
// middle beside it, the largest first.
std::vector<std::string> heard(const std::vector<LevelChange>& levels, Judged judged, double worth) {
    struct Phrase { double size; std::string says; };
    std::vector<Phrase> phrases;
    const LevelChange* middle = at(levels, 1000);
    if (!middle) return {};
    const double level = common_level(levels, *middle, worth);
    const auto beside = [&](const LevelChange& change) { return change.change() - level; };
    const auto counts = [&](const LevelChange* change) { return change && change->in_band && std::fabs(beside(*change)) >= worth; };
    const auto tell = [&](const LevelChange& change, std::string_view name, std::string_view less, std::string_view more) {
        const double size = beside(change);
        phrases.push_back({std::fabs(size), fmt::format("{}{} {} at {}", name, decibels(size), size < 0 ? less : more, hertz(change.hz))});
        return std::fabs(size);
    };
    // Where it counts most; 40 Hz and 10 kHz before the band's ends where it counts as much there.
    const auto edge = [&](std::initializer_list<double> places, std::string_view name, std::string_view less, std::string_view more) {
        const LevelChange* best = nullptr;
        for (double hz : places) {
            const LevelChange* change = at(levels, hz);
            if (counts(change) && (!best || grade_of(judged, beside(*change)) > grade_of(judged, beside(*best)))) best = change;
        }
        return best ? tell(*best, name, less, more) : 0.0;
    };
    const double bass = edge({40, 80, 20}, "bass ", "thinner", "fuller");
    const double treble = edge({10000, 5000, 20000}, "treble ", "duller", "brighter");
    // The middle: at 1 kHz, or where it differs more than bass and treble do.
    for (const LevelChange& change : levels)
        if (change.hz > 100 && change.hz < 5000 && std::fabs(beside(change)) > std::max({bass, treble, std::fabs(beside(*middle))}) + worth)
            middle = &change;
    if (counts(middle)) tell(*middle, "", "less", "more");
    std::stable_sort(phrases.begin(), phrases.end(), [](const Phrase& a, const Phrase& b) { return a.size > b.size; });
    std::vector<std::string> out;
    for (Phrase& phrase : phrases) out.push_back(std::move(phrase.says));
    if (level == 0) return out;
    const std::string all = fmt::format("{} {}", decibels(level), level < 0 ? "quieter" : "louder");
    if (out.empty()) return {all};
    out.front() = all + " at 1 kHz, beside that " + out.front();
    return out;
}

std::string measured(const RestChange& change) {
    const Quantity quantity = change.is_current ? Quantity::current : Quantity::voltage;
    return fmt::format("{} {}, drawn {}", change.name, engineering_text(change.found, quantity, 3),
                       engineering_text(change.drawn, quantity, 3));
}

// The worst voltage and the worst current, those outside the spread first.
std::vector<std::string> measured_worst(const std::vector<RestChange>& rest) {
    std::vector<std::string> out;
    for (bool current : {false, true}) {
        const RestChange* worst = nullptr;
        for (const RestChange& change : rest) {
            if (change.is_current != current || change.grade == Grade::nothing) continue;
            if (!worst || (worst->inside_spread && !change.inside_spread)) worst = &change;
        }
        if (worst) out.push_back(measured(*worst));
    }
    return out;
}

// Something that is told lies outside what units differ by anyway.
bool is_outside(const Consequence& consequence, Judged judged) {
    const auto level = [&](const LevelChange& change) { return change.in_band && !change.inside_spread && grade_of(judged, change.change()) > Grade::nothing; };
    const auto rest = [](const RestChange& change) { return !change.inside_spread && change.grade > Grade::nothing; };
    return std::any_of(consequence.levels.begin(), consequence.levels.end(), level) || std::any_of(consequence.rest.begin(), consequence.rest.end(), rest);
}

}  // namespace

std::string words_of(const Consequence& consequence, bool equaliser, const std::string& heard_at) {
    if (!consequence.told) return "not computed: " + consequence.why_not;
    const Judged judged = equaliser ? Judged::equaliser : Judged::level;
    double worth = 0.3;
    for (const Thresholds& row : thresholds())
        if (row.judged == judged) worth = row.slight;
    std::vector<std::string> changes = heard(consequence.levels, judged, worth);
    if (consequence.why_not.empty() && !consequence.response.empty() &&
        std::none_of(consequence.response.begin(), consequence.response.end(), [](const ResponsePoint& p) { return p.db.has_value(); }))
        changes.insert(changes.begin(), "no signal arrives");
    for (std::string& phrase : measured_worst(consequence.rest)) changes.push_back(std::move(phrase));

    std::vector<std::string> sentences;
    if (!changes.empty()) sentences = {join(changes, ", "), is_outside(consequence, judged) ? "outside production spread" : "within production spread"};
    if (!consequence.ratings.empty()) sentences.push_back(join(consequence.ratings, ", "));
    // A loop that latches leaves nothing else to be said.
    const bool nothing = sentences.empty() && !(consequence.silenced && !consequence.beside.empty());
    if (nothing) sentences.push_back(consequence.levels.empty() ? "no voltage or current changes to speak of" : "nothing that is heard at " + heard_at + " or measured");
    if (!consequence.why_not.empty()) sentences.push_back("response not computed: " + consequence.why_not);
    if (!consequence.beside.empty()) sentences.push_back(consequence.beside);
    return join(sentences, "; ");
}

std::string formula_of(const Finding& finding, const Circuit& drawing, const Circuit& board, const Corners& drawn,
                       const Corners& found) {
    if (finding.what != What::value || finding.drawing_parts.empty() || finding.board_parts.empty()) return {};
    const Value* before = drawing[finding.drawing_parts.front()].nominal();
    const Value* after = board[finding.board_parts.front()].nominal();
    if (!before || !after || before->quantity != Quantity::capacitance || after->quantity != Quantity::capacitance) return {};
    const auto explained = [&](const std::optional<double>& was, const std::optional<double>& is) -> std::string {
        if (!was || !is || std::fabs(*is / *was - 1) < 0.02) return {};
        // The corner is this part's where it moves as 1/C does.
        const double ratio = *is * after->si() / (*was * before->si());
        if (!(ratio > 0.8 && ratio < 1.25)) return {};
        const double ohms = 1 / (2 * std::numbers::pi * *is * after->si());
        return fmt::format("f = 1/(2πRC), R about {}: {} with {}, drawn {} with {}", engineering_text(ohms, Quantity::resistance, 2),
                           hertz(*is), trade_text(after->number, Quantity::capacitance), hertz(*was),
                           trade_text(before->number, Quantity::capacitance));
    };
    const std::string low = explained(drawn.low, found.low);
    return low.empty() ? explained(drawn.high, found.high) : low;
}

}  // namespace tallyboard::detail
