// What the benchmarks are held against: Eigen's partially pivoted LU of the same equations, the way a first program would.
#pragma once

#include <Eigen/Dense>
#include <sys/resource.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>

#include "solve/equations.h"
#include "solve/plan.h"
#include "xml/read.h"

namespace tallyboard::test {

inline double cpu_seconds() {
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

// The circuit's equations at rest and at each frequency, dense: assembled from the same elements.
struct Dense {
    static SolveOptions devices() {
        SolveOptions options;
        options.devices = built_in_devices();
        return options;
    }
    explicit Dense(const Circuit& circuit) : plan(detail::plan_of(circuit, devices())), network(detail::lay_out(circuit, plan, {})) {}
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
    // One circuit as a first program would work it: as many steps at rest as Newton's method took, then each frequency.
    void work(const detail::Rest& rest, const std::vector<double>& hz) const {
        Eigen::VectorXcd b = Eigen::VectorXcd::Zero(network.size());
        b(network.source) = 1;
        std::complex<double> sum = 0;
        for (int i = 0; i < rest.iterations; ++i) sum += matrix(rest.x, 0).partialPivLu().solve(b).sum();
        for (double f : hz) sum += matrix(rest.x, 2 * std::numbers::pi * f).partialPivLu().solve(b).sum();
        if (!std::isfinite(sum.real())) throw std::runtime_error("singular");
    }
    detail::Plan plan;
    detail::Network network;
};

}  // namespace tallyboard::test
