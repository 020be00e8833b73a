#pragma once

#include <catch2/catch.hpp>

#include <stdexcept>
#include <string>

#include "solve/plan.h"
#include "solve/solve.h"
#include "support/text_circuit.h"

namespace tallyboard::test {

// What linear circuits are held to.
inline Approx exactly(double value) { return Approx(value).epsilon(1e-6).margin(0); }
// What devices are held to against figures worked by hand from the same equations.
inline Approx nearly(double value) { return Approx(value).epsilon(5e-3).margin(0); }

inline SolveOptions with_devices(When when = When::found) {
    SolveOptions options;
    options.when = when;
    options.devices = built_in_devices();
    return options;
}
inline Solver solver(const Circuit& circuit, When when = When::found) { return Solver(circuit, with_devices(when)); }
inline OperatingPoint at_rest(const Circuit& circuit, When when = When::found) { return solver(circuit, when).operating_point(); }

inline double volts(const Circuit& circuit, const OperatingPoint& point, const std::string& net) {
    const auto id = circuit.net(net);
    if (!id || !point.net_volts.at(id->index)) throw std::runtime_error("no voltage is told on " + net);
    return *point.net_volts[id->index];
}
inline double into(const Circuit& circuit, const OperatingPoint& point, const std::string& ref, const std::string& pin) {
    const PartId part = *circuit.part(ref);
    for (std::size_t i = 0; i < circuit[part].pins.size(); ++i)
        if (circuit[part].pins[i].name == pin) return point.pin_amperes.at(part.index).at(i).value();
    throw std::runtime_error("no pin " + pin + " on " + ref);
}
inline Place place(const Circuit& circuit, const std::string& net) {
    Place place;
    place.text = net;
    place.net = circuit.net(net);
    return place;
}
inline Reading voltage(const Circuit& circuit, const std::string& at, const std::string& to) {
    Reading reading;
    reading.what = ReadingWhat::voltage;
    reading.at = place(circuit, at);
    reading.to = place(circuit, to);
    return reading;
}
inline Reading resistance(const Circuit& circuit, const std::string& at, const std::string& to) {
    Reading reading = voltage(circuit, at, to);
    reading.what = ReadingWhat::resistance;
    return reading;
}

}  // namespace tallyboard::test
