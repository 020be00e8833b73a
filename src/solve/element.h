#pragma once

#include <complex>
#include <memory>
#include <vector>

namespace tallyboard::detail {

// Thermal voltage kT/q at 300 K, volts: the format's figure.
constexpr double thermal_voltage = 0.025852;
// Beside every junction and channel, siemens: a net that only blocked junctions hold still has one voltage. A thousandth of a
// silicon junction's own leakage at a few volts.
constexpr double junction_leak = 1e-15;

// One term of the circuit's equations: a part, a piece of one, a supply, a meter.
//
// An element has n local unknowns: first the voltages of its nodes (against the reference net), then currents of its own
// branches. It gives n local rows: for a node the current that flows from the node into the element, for an own branch the
// branch's equation, which is to be zero. Arrays: x, f of n; j, y of n × n, row by row, j[r * n + c] = d f[r] / d x[c].
class Element {
public:
    Element(int nodes, int branches) : nodes_(nodes), branches_(branches) {}
    virtual ~Element() = default;
    virtual std::unique_ptr<Element> copy() const = 0;

    int nodes() const { return nodes_; }
    int branches() const { return branches_; }
    int size() const { return nodes_ + branches_; }

    // At rest, capacitors open. f and j come zeroed. `drive` scales what drives the circuit: 1, or less on the way there.
    virtual void rest(const double* x, double drive, double* f, double* j) const = 0;
    // At the angular frequency omega (1/s), in small signal around x: y comes holding j and is made what it is at omega.
    virtual void moving(const double* /*x*/, double /*omega*/, std::complex<double>* /*y*/) const {}

    virtual bool is_linear() const { return true; }
    // For elements with steep curves: `before` is where it was worked out last, `now` where Newton's step leads; `now` is brought
    // back to where the curve's slope still says something. True if it was.
    virtual bool limit(const double* /*before*/, double* /*now*/) const { return false; }

    // Whether row r depends on unknown c at all: at rest, or at some frequency.
    virtual bool couples(int /*r*/, int /*c*/, bool /*at_rest*/) const { return true; }
    // Galvanic groups: nodes of one group are held together by something that conducts. `alone`: the element does not hold the
    // node; `grounded`: it holds the node against the reference net itself.
    static constexpr int alone = -1, grounded = -2;
    virtual int group(int /*node*/, bool /*at_rest*/) const { return 0; }

    // Takes the part's value (SI), where the element has one: for tolerances and trials.
    virtual void take_value(double /*value*/) {}
    // Becomes one specimen of its type (DeviceSpread says what `share` is of; `vbe` in volts). Values that are no device's do nothing.
    virtual void take_specimen(double /*share*/, double /*vbe*/) {}
    // The own branch (0, 1, …) that is a conductor without resistance at rest between nodes *a and *b; give_resistance is then
    // called where such conductors form a ring, in which the current would be undetermined.
    virtual bool is_bare(int /*branch*/, int* /*a*/, int* /*b*/) const { return false; }
    virtual void give_resistance(int /*branch*/, double /*ohms*/) {}

    std::vector<int> at;  // of each local unknown: its place in the whole; -1: the reference net

private:
    int nodes_, branches_;
};

// Gives a class derived from Element its copy().
template <class Derived, class Base = Element>
class Copied : public Base {
public:
    using Base::Base;
    std::unique_ptr<Element> copy() const override {
        return std::make_unique<Derived>(static_cast<const Derived&>(*this));
    }
};

}  // namespace tallyboard::detail
