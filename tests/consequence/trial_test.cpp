#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "compare/compare.h"
#include "consequence/trial.h"
#include "consequence_support.h"
#include "support/mutate.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

TEST_CASE("the drawing with every finding carried out stands as the board does") {
    int circuits = 0, nets = 0;
    for (std::uint64_t seed = 1; seed <= 80; ++seed) {
        const Draft draft = random_circuit(recipe_of_case(seed, 15 + seed % 25));
        SpoilOptions options;
        options.edits = 1 + seed % 4;
        options.disguise = Disguise::references;
        const Spoiled spoiled = spoil(draft, options, seed);
        const Circuit drawn = read_draft(draft, CircuitRole::drawing), found = read_draft(spoiled.board, CircuitRole::board);
        CompareOptions little;  // the findings, not their proof
        little.effort = 0.05;
        const Comparison comparison = compare(drawn, found, little);
        // Nets joined and parted at once: which of the pieces the load hangs on is nobody's to know.
        if (std::any_of(comparison.nets.begin(), comparison.nets.end(),
                        [](const NetPair& pair) { return pair.drawing.size() > 1 && pair.board.size() > 1; }))
            continue;
        const Circuit set_up = detail::board_set_up(drawn, found, comparison);
        if (!set_up.setup) continue;
        detail::Trial trial(drawn, found, comparison);
        trial.carry_out_all();
        SolveOptions solve_options;
        solve_options.devices = built_in_devices();
        const OperatingPoint there = Solver(set_up, solve_options).operating_point();
        const OperatingPoint here = Solver(trial.circuit(), solve_options).operating_point();
        CHECK(here.converged == there.converged);
        if (!here.converged || !there.converged) continue;
        ++circuits;
        for (const NetPair& pair : comparison.nets) {
            if (pair.drawing.size() != 1 || pair.board.size() != 1) continue;
            const auto a = here.net_volts[pair.drawing[0].index], b = there.net_volts[pair.board[0].index];
            if (!a || !b) continue;
            ++nets;
            INFO("seed " << seed << ", " << edits_text(spoiled.edits) << "; net " << net_name(drawn, pair.drawing[0]));
            CHECK(*a == Approx(*b).epsilon(1e-3).margin(1e-3));
        }
    }
    CHECK(circuits > 30);
    CHECK(nets > 300);
}
