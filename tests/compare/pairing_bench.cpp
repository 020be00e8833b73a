// How good, how sure and how fast comparing is: random audio circuits with known edits, printed as tables for
// docs/comparing.md. Run by hand: bench_compare [TABLE]. TALLYBOARD_BENCH_CASES sets how many cases a row has.
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <map>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "base/number_text.h"
#include "compare/compare.h"
#include "compare/equal_graphs.h"
#include "compare/refine.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

std::size_t cases_asked(std::size_t usual) {
    const char* text = std::getenv("TALLYBOARD_BENCH_CASES");
    const auto number = text ? read_integer(text) : std::nullopt;
    return number && *number > 0 ? static_cast<std::size_t>(*number) : usual;
}

double peak_megabytes() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1024;
}

struct Outcome {
    bool good = false, proved = false, twins = false;
    double processor = 0, wall = 0;
};

struct Row {
    std::string parts;
    std::size_t edits = 0;
    std::vector<std::size_t> sizes;
    std::size_t cases = 0;
    std::uint64_t first_seed = 1;
    unsigned untraced = 0, unknown = 0;
};

std::vector<std::string> losses;

Outcome run_case(const Row& row, std::size_t index) {
    const std::uint64_t seed = row.first_seed + index;
    const std::size_t parts = row.sizes[index % row.sizes.size()];
    const Recipe recipe = recipe_of_case(seed, parts);
    const Draft draft = random_circuit(recipe);
    SpoilOptions options;
    options.edits = row.edits;
    options.untraced = row.untraced;
    options.unknown = row.unknown;
    options.disguise = std::vector{Disguise::all, Disguise::references, Disguise::none}[index % 3];
    const Spoiled spoiled = spoil(draft, options, seed);
    const Circuit drawing = read_draft(draft, CircuitRole::drawing), board = read_draft(spoiled.board, CircuitRole::board);

    const auto start = std::chrono::steady_clock::now();
    const double before = processor_seconds();
    const Comparison comparison = compare(drawing, board);
    Outcome outcome;
    outcome.processor = processor_seconds() - before;
    outcome.wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    outcome.good = comparison.cost <= spoiled.cost;
    outcome.proved = comparison.proved;
    outcome.twins = recipe.shape == Shape::stereo || recipe.shape == Shape::ladder;
    if (!outcome.good || (!outcome.proved && parts <= 100))
        losses.push_back(fmt::format("{} parts, {} edits, seed {}, {} {}, {}: cost {} for {}, bound {}, {:.2f} s ({})", parts, row.edits, seed,
                                     style_word(recipe.style), shape_word(recipe.shape), disguise_word(options.disguise), comparison.cost,
                                     spoiled.cost, comparison.bound, outcome.processor, edits_text(spoiled.edits)));
    return outcome;
}

std::string share(const std::vector<Outcome>& outcomes, bool Outcome::*is, bool twins_only) {
    std::size_t all = 0, some = 0;
    for (const Outcome& outcome : outcomes) {
        if (twins_only && !outcome.twins) continue;
        ++all;
        some += outcome.*is ? 1 : 0;
    }
    return all == 0 ? "–" : fmt::format("{}/{} ({:.1f} %)", some, all, 100.0 * static_cast<double>(some) / static_cast<double>(all));
}

std::string times(std::vector<double> seconds) {
    std::sort(seconds.begin(), seconds.end());
    const auto at = [&](double part) { return seconds[std::min(seconds.size() - 1, static_cast<std::size_t>(part * static_cast<double>(seconds.size())))]; };
    return fmt::format("{:.3f} / {:.3f} / {:.3f}", at(0.5), at(0.95), seconds.back());
}

void print_head() {
    fmt::print("\n| parts | edits | cases | never dearer than the edits | of these stereo, ladders | proved | processor s: median / 95 % / most | wall s, likewise |\n"
               "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
}

std::vector<Outcome> print_row(const Row& row) {
    std::vector<Outcome> outcomes;
    for (std::size_t i = 0; i < row.cases; ++i) outcomes.push_back(run_case(row, i));
    std::vector<double> processor, wall;
    for (const Outcome& outcome : outcomes) processor.push_back(outcome.processor), wall.push_back(outcome.wall);
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} |\n", row.parts, row.edits, row.cases, share(outcomes, &Outcome::good, false),
               share(outcomes, &Outcome::good, true), share(outcomes, &Outcome::proved, false), times(processor), times(wall));
    std::fflush(stdout);
    return outcomes;
}

void print_losses() {
    if (!losses.empty()) fmt::print("\nDearer than the edits, or up to 100 parts and not proved:\n\n");
    for (const std::string& loss : losses) fmt::print("- {}\n", loss);
    losses.clear();
    fmt::print("\npeak memory {:.0f} MB\n", peak_megabytes());
    std::fflush(stdout);
}

}  // namespace

TEST_CASE("up to 100 parts", "[small]") {
    print_head();
    for (std::size_t edits : {0, 1, 3, 10, 20}) print_row({"20–100", edits, {20, 30, 50, 75, 100}, cases_asked(60), 1});
    print_row({"100, 6 % of pins and 5 % of values unknown", 3, {100}, cases_asked(60) / 2, 5001, 6, 5});
    print_losses();
}

TEST_CASE("101 to 300 parts", "[middle]") {
    print_head();
    for (std::size_t edits : {0, 1, 3, 10, 20}) print_row({"101–300", edits, {125, 150, 200, 250, 300}, cases_asked(60) / 2, 1001});
    print_losses();
}

TEST_CASE("1000 parts", "[thousand]") {
    print_head();
    for (std::size_t edits : {0, 10}) print_row({"1000", edits, {1000}, cases_asked(60) / 6, 2001});
    print_losses();
}

TEST_CASE("10000 parts", "[ten-thousand]") {
    print_head();
    for (std::size_t edits : {0, 5}) print_row({"10,000", edits, {10000}, std::max<std::size_t>(3, cases_asked(60) / 15), 3001});
    print_losses();
}

TEST_CASE("100000 parts", "[hundred-thousand]") {
    print_head();
    for (std::size_t edits : {0, 20}) print_row({"100,000", edits, {100000}, std::max<std::size_t>(2, cases_asked(60) / 30), 4001});
    print_losses();
}

TEST_CASE("growth with size at ten edits", "[growth]") {
    fmt::print("\n| parts | processor s, median |\n| --- | --- |\n");
    std::map<std::size_t, double> median;
    for (std::size_t parts : {1000, 10000, 100000}) {
        const Row row{"", 10, {parts}, 3, 4501};
        std::vector<double> seconds;
        for (std::size_t i = 0; i < row.cases; ++i) seconds.push_back(run_case(row, i).processor);
        std::sort(seconds.begin(), seconds.end());
        median[parts] = seconds[1];
        fmt::print("| {} | {:.3f} |\n", parts, seconds[1]);
    }
    fmt::print("\nexponent from 1000 to 100,000 parts: {:.2f}\n", std::log10(median[100000] / median[1000]) / 2);
    print_losses();
}

TEST_CASE("equal circuits against programs for equal graphs", "[equal]") {
    fmt::print("\n| parts | vertices | compare, whole | of this refining | bliss | nauty, sparse |\n| --- | --- | --- | --- | --- | --- |\n");
    struct Kind { std::size_t parts; Shape shape; Style style; };
    for (const Kind& kind : {Kind{300, Shape::stereo, Style::mixed}, Kind{1000, Shape::desk, Style::mixed}, Kind{1000, Shape::stereo, Style::mixed},
                             Kind{1000, Shape::ladder, Style::opamp}, Kind{10000, Shape::desk, Style::mixed}, Kind{10000, Shape::stereo, Style::mixed},
                             Kind{100000, Shape::desk, Style::mixed}}) {
        Recipe recipe;
        recipe.seed = 71;
        recipe.parts = kind.parts;
        recipe.shape = kind.shape;
        recipe.style = kind.style;
        const Draft draft = random_circuit(recipe);
        const Circuit drawing = read_draft(draft, CircuitRole::drawing), board = read_draft(disguise(draft, Disguise::all, 5), CircuitRole::board);
        const auto [a, b] = coloured_graphs(drawing, board);
        const double start = processor_seconds();
        const Comparison comparison = compare(drawing, board);
        const double ours = processor_seconds() - start;
        CHECK(comparison.cost == 0);
        CHECK(comparison.proved);
        // The same question as the others answer: arrays there, is it equal? Graph and check of the mapping included.
        const auto problem = detail::make_problem(drawing, board, {});
        const double before = processor_seconds();
        const auto equal = detail::refine_together(*problem);
        const double refining = processor_seconds() - before;
        CHECK(equal.has_value());
        const auto text = [](const std::optional<Verdict>& verdict) {
            if (!verdict) return std::string("–");
            CHECK(verdict->equal);
            return fmt::format("{:.4f}", verdict->seconds);
        };
        const std::string bliss = text(bliss_says(a, b));
        fmt::print("| {} {} | {} | {:.4f} | {:.4f} | {} | {} |\n", kind.parts, shape_word(kind.shape), a.colour.size(), ours, refining, bliss, kind.parts <= 10000 ? text(nauty_says(a, b)) : "–");   // takes minutes
        std::fflush(stdout);
    }
}
