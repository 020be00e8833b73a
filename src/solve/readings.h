#pragma once

#include <memory>
#include <optional>
#include <string>

#include "solve/equations.h"

namespace tallyboard::detail {

// One reading as a linear function of the unknowns of a network laid out with the meter in it.
class Metered {
public:
    // `with_meter`: the meter draws what it draws; else it is one that draws nothing.
    Metered(const Circuit& circuit, const Plan& plan, const Reading& reading, bool with_meter,
            std::span<const Departure> departures);

    // What the meter shows with the values now in `equations`; nothing: cannot be told, why() says. Starts from the last answer.
    std::optional<double> show();
    const std::string& why() const { return why_; }
    Equations& equations() { return *equations_; }
    // Slope of what show() gave by ln of each valued part's value, in the order of network().valued; and of each leak's ohms, in
    // the order of network().leaks.
    struct Slopes { std::vector<double> valued, leaks; };
    Slopes slopes();
    // Takes all values back to the nominal ones.
    void reset_values();

private:
    std::optional<double> told_value(const Rest& rest);
    std::vector<double> functional(double* scale) const;
    double slope_by(const std::vector<int>& elements, double value, const std::vector<double>& adjoint, std::vector<double>& change);

    const Circuit& circuit_;
    Reading reading_;
    std::unique_ptr<Equations> equations_;
    std::vector<double> start_;
    double test_volts_ = 0, test_amperes_ = 0;   // of an ohmmeter
    double shown_ = 0;
    std::string why_, hidden_;    // hidden_: what is said of a reading that depends on what is not known
};

// "it depends on IC3, which has no model": why something cannot be told that the equations' pattern hides.
std::string hidden_words(const Plan& plan);

const Meter* meter_of(const Circuit& circuit, const Reading& reading);
// What the operating point or a reading resists at, in a sentence.
std::string resistance_words(const Circuit& circuit, const Network& network, const Rest& rest);
// Everything about one reading; `unloaded` and the span are worked out beside it.
Expectation expectation_of(const Circuit& circuit, const Plan& plan, const Reading& reading);

}  // namespace tallyboard::detail
