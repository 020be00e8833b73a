// Against a dense solve in the same run: Eigen's partially pivoted LU of the same equations, the way a first program would.
#include "solve/dense.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>

#include "solve_support.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// A row of resistors to a row of resistors to ground, n nets.
Circuit ladder(int n) {
    std::string text = R"(<net name="0V" role="ground"/><setup><supply plus="N0" minus="0V" voltage="10V"/></setup>)";
    for (int i = 1; i <= n; ++i)
        text += fmt::format(R"(<part ref="R{}" kind="resistor" value="1k" pins="N{} N{}"/><part ref="S{}" kind="resistor" value="100k" pins="N{} 0V"/>)",
                            i, i - 1, i, i, i);
    return drawing(text);
}

}  // namespace

TEST_CASE("operating point and 200 frequencies of 100 parts, against a dense solve") {
    const Circuit circuit = read_draft(random_circuit(recipe_of_case(4, 100)), CircuitRole::drawing);
    const std::vector<double> hz = log_frequencies(20, 20000, 200);
    const double ours = milliseconds([&] {
        const Solver it = solver(circuit);
        const OperatingPoint point = it.operating_point();
        const auto response = it.response(hz);
        if (!point.converged || response.empty()) throw std::runtime_error("no answer");
    });
    Dense dense(circuit);
    detail::Equations equations(detail::lay_out(circuit, dense.plan, {}));
    const detail::Rest rest = equations.find_rest();
    const double theirs = milliseconds([&] { dense.work(rest, hz); });
    fmt::print("100 parts, {} unknowns: operating point ({} steps) and 200 frequencies {:.2f} ms; dense {:.1f} ms; {:.0f} times\n",
               dense.network.size(), rest.iterations, ours, theirs, theirs / ours);
}

TEST_CASE("ladders of 500 to 5000 nets, against a dense solve while that can be waited for") {
    for (int n : {500, 1000, 2000, 5000}) {
        const Circuit circuit = ladder(n);
        double end = 0;
        const double ours = milliseconds([&] { end = *at_rest(circuit).net_volts.back(); });
        double theirs = 0;
        if (n <= 1000) {
            Dense dense(circuit);
            const std::vector<double> x(dense.network.size(), 0);
            const Eigen::VectorXcd b = Eigen::VectorXcd::Ones(dense.network.size());
            theirs = milliseconds([&] {
                if (!std::isfinite(dense.matrix(x, 0).real().partialPivLu().solve(b.real()).sum())) throw std::runtime_error("singular");
            });
        }
        fmt::print("ladder of {} nets: {:.2f} ms{}  (end {:.3g} V)\n", n, ours, theirs > 0 ? fmt::format("; dense {:.1f} ms", theirs) : "", end);
    }
}
