#pragma once

#include <complex>
#include <optional>
#include <vector>

#include "solve/linear.h"
#include "solve/structure.h"

namespace tallyboard::detail {

// How a network was brought to rest.
struct Rest {
    bool converged = false;
    std::vector<double> x;     // per unknown: volts, amperes
    int iterations = 0;
    enum class Help { none, conductances, sources } help = Help::none;  // what was needed
    int resists = -1;          // not converged: the unknown whose equation is worst off
    bool short_circuit = false;
};

// The equations of one network: pattern, order and factors are kept while values change. Not to be shared between threads.
class Equations {
public:
    explicit Equations(Network network);
    Equations(Equations&&) = delete;

    Network network;                    // values may be changed between questions; nothing else
    const Structure& at_rest() const { return at_rest_; }
    const Structure& moving();          // worked out when first asked

    // Currents and voltages at rest, from `start` (empty: all at 0). Newton's method; where it does not get there, with helping
    // conductances to the reference that are taken away step by step, then with the sources brought up step by step
    // (L. Nagel, SPICE2, 1975). Bounded; deterministic.
    Rest find_rest(const std::vector<double>& start = {});

    // Unknowns at the angular frequency omega in small signal around `x`, for an EMF of 1 V in the source; `shorted`: nodes that
    // are shorted to the reference for this. Nothing: no answer.
    const std::vector<std::complex<double>>* at_frequency(const std::vector<double>& x, double omega,
                                                          const std::vector<int>& shorted = {});

    // Solves Jᵀ y = b, J the slopes of all equations by all unknowns at the rest found last. Nothing: singular.
    std::optional<std::vector<double>> adjoint(std::vector<double> b);
    // What an element puts into each equation at x, subtracted from what it put there before: f[r] += sign · element's f.
    void add_residual(int element, const std::vector<double>& x, double sign, std::vector<double>& f) const;
    // Residual of every equation at x, amperes or volts.
    std::vector<double> residual(const std::vector<double>& x) const;

private:
    struct Trial { bool converged = false; int iterations = 0; int worst = -1; };
    Trial newton(std::vector<double>& x, double drive, double help, int limit);
    bool help_by_conductances(std::vector<double>& x, Rest& rest);
    bool help_by_sources(std::vector<double>& x, Rest& rest);
    void assemble(const std::vector<double>& x, double drive, double help, bool first);
    void build_pattern();
    void read_local(const Element& element, const std::vector<double>& x, double* local) const;
    bool step_is_small(const std::vector<double>& x, const std::vector<double>& step) const;
    bool residual_is_small() const;

    Structure at_rest_;
    std::optional<Structure> moving_;
    Pattern pattern_;
    std::vector<std::vector<int>> places_;   // per element: index in values of each of its n × n entries; -1: the reference
    std::vector<int> diagonal_;              // per unknown: index in values; -1: an own current
    std::vector<int> offset_;                // per element: where its local unknowns stand in held_
    std::vector<double> held_;               // where each element was worked out last, after limiting
    bool limited_ = false;

    std::vector<double> values_, rhs_, scale_;
    SparseLu<double> lu_;

    std::vector<double> slopes_;             // per element n × n, at slopes_at_
    std::vector<double> slopes_at_;
    std::vector<std::complex<double>> moving_values_, moving_x_;
    std::optional<SparseLu<std::complex<double>>> moving_lu_;
    std::vector<int> order_;
    int largest_ = 0;
};

}  // namespace tallyboard::detail
