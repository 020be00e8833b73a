// Twenty findings and the production spread of a circuit of about 100 parts.
#include <fmt/format.h>
#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <chrono>

#include "consequence_support.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {
double cpu_seconds() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_utime.tv_sec) + 1e-6 * static_cast<double>(usage.ru_utime.tv_usec);
}
}  // namespace

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
        fmt::print("{} parts, {} findings, {} units: {:.2f} s of processor time, {:.2f} s elapsed\n", drawn.parts.size(),
                   all.findings.size(), all.spread.samples, cpu_seconds() - start, wall);
    }
}
