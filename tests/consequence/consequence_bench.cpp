// Twenty findings and the production spread of a circuit of about 100 parts, against a dense solve in the same run.
#include "solve/dense.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <chrono>

#include "consequence_support.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

TEST_CASE("consequences of 20 findings and the spread of 500 units at 31 frequencies") {
    for (std::uint64_t seed : {4u, 9u, 14u}) {
        Recipe recipe = recipe_of_case(seed, 100);
        const Draft draft = random_circuit(recipe);
        const Circuit drawn = read_draft(draft, CircuitRole::drawing), found = read_draft(draft, CircuitRole::board);
        std::vector<Finding> findings;
        for (const Part& part : drawn.parts)
            if (part.value && findings.size() < 20) findings.push_back(value_finding(drawn, found, part.ref));
        ConsequenceOptions options;
        options.solve.devices = built_in_devices();
        const double start = cpu_seconds();
        const auto clock = std::chrono::steady_clock::now();
        const Consequences all = consequences(drawn, found, by_names(drawn, found, std::move(findings)), options);
        const double wall = std::chrono::duration<double>(std::chrono::steady_clock::now() - clock).count();
        const double ours = cpu_seconds() - start;
        // Dense, the same work: each unit and each finding at rest and at 31 frequencies.
        const Dense dense(drawn);
        detail::Equations equations(detail::lay_out(drawn, dense.plan, {}));
        const detail::Rest rest = equations.find_rest();
        const double units = static_cast<double>(all.spread.samples) + static_cast<double>(all.findings.size());
        const double theirs = 1e-3 * units * milliseconds([&] { dense.work(rest, all.hz); });
        fmt::print("{} parts, {} findings, {} units: {:.2f} s of processor time, {:.2f} s elapsed; dense {:.2f} s\n", drawn.parts.size(),
                   all.findings.size(), all.spread.samples, ours, wall, theirs);
    }
}
