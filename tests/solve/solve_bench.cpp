// Against a dense solve in the same run: Eigen's partially pivoted LU of the same equations, the way a first program would.
#include <Eigen/Dense>

#include <fmt/format.h>
#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <complex>
#include <numbers>

#include "solve/equations.h"
#include "solve_support.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

double cpu_seconds() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_utime.tv_sec) + 1e-6 * static_cast<double>(usage.ru_utime.tv_usec);
}

// Processor time of one call, milliseconds: the mean of as many as take 0.2 s, at least one.
template <class Work>
double milliseconds(Work work) {
    const double start = cpu_seconds();
    int times = 0;
    do {
        work();
        ++times;
    } while (cpu_seconds() - start < 0.2);
    return 1e3 * (cpu_seconds() - start) / times;
}

// A row of resistors to a row of resistors to ground, n nets.
Circuit ladder(int n) {
    std::string text = R"(<net name="0V" role="ground"/><setup><supply plus="N0" minus="0V" voltage="10V"/></setup>)";
    for (int i = 1; i <= n; ++i)
        text += fmt::format(R"(<part ref="R{}" kind="resistor" value="1k" pins="N{} N{}"/><part ref="S{}" kind="resistor" value="100k" pins="N{} 0V"/>)",
                            i, i - 1, i, i, i);
    return drawing(text);
}

// The circuit's equations at rest and at each frequency, dense: assembled from the same elements.
struct Dense {
    explicit Dense(const Circuit& circuit) : plan(detail::plan_of(circuit, with_devices())), network(detail::lay_out(circuit, plan, {})) {}
    Eigen::MatrixXcd matrix(const std::vector<double>& x, double omega) const {
        Eigen::MatrixXcd out = Eigen::MatrixXcd::Zero(network.size(), network.size());
        for (const auto& element : network.elements) {
            const int n = element->size();
            std::vector<double> local(n), f(n), j(n * n);
            for (int k = 0; k < n; ++k) local[k] = element->at[k] < 0 ? 0 : x[element->at[k]];
            element->rest(local.data(), 1, f.data(), j.data());
            std::vector<std::complex<double>> y(j.begin(), j.end());
            if (omega > 0) element->moving(local.data(), omega, y.data());
            for (int r = 0; r < n; ++r)
                for (int c = 0; c < n; ++c)
                    if (element->at[r] >= 0 && element->at[c] >= 0) out(element->at[r], element->at[c]) += y[r * n + c];
        }
        return out;
    }
    detail::Plan plan;
    detail::Network network;
};

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
    Eigen::VectorXcd b = Eigen::VectorXcd::Zero(dense.network.size());
    b(dense.network.source) = 1;
    const double theirs = milliseconds([&] {
        std::complex<double> sum = 0;
        for (int i = 0; i < rest.iterations; ++i) sum += dense.matrix(rest.x, 0).partialPivLu().solve(b).sum();
        for (double f : hz) sum += dense.matrix(rest.x, 2 * std::numbers::pi * f).partialPivLu().solve(b).sum();
        if (!std::isfinite(sum.real())) throw std::runtime_error("singular");
    });
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
