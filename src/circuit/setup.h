#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/source_text.h"
#include "circuit/ids.h"
#include "values/value.h"

namespace tallyboard {

// A place named in an attribute: a net, or a pin.
struct Place {
    std::string text;          // as written
    std::optional<PinId> pin;  // given as REF.PIN
    std::optional<NetId> net;  // the net named, or the pin's; none: the pin is untraced or goes nowhere
    Span span;
};

enum class When { found, left };

struct Supply { std::string name; NetId plus, minus; double volts = 0, ohms = 0; Span span; };
struct Source { NetId net, back; double ohms = 0; Span span; };
struct Load { NetId net, back; std::optional<double> ohms; Span span; };
// `at`: a share for potentiometers, else "open" "closed" "a" "b" or the contact's number, as written.
struct Control { PartId part; std::optional<double> share; std::string position; Span span; };
struct Setup {
    std::vector<Supply> supplies;
    std::optional<Source> source;
    std::optional<Load> load;
    std::vector<Control> controls;
};

struct Meter {
    std::string id;
    std::optional<double> input_ohms;      // fixed input resistance
    std::optional<double> ohms_per_volt;   // times the reading's range
    double error = 0;                      // fraction of the reading
    std::optional<double> burden_volts;    // at full range, on amperes
    std::optional<double> test_volts;      // across the probes on ohms; default 0.2
    std::optional<double> test_amperes;    // or this current
    Span span;
};
enum class ReadingWhat { voltage, resistance, current };
struct Reading {
    ReadingWhat what = ReadingWhat::voltage;
    std::optional<Place> at, to;           // voltage, resistance; `to` left out of a voltage: ground, with an empty span
    std::string through;                   // current: a supply's name or a battery's reference …
    std::optional<PinId> through_pin;      // … or into this pin
    double is = 0;                         // volts, ohms, amperes
    std::string is_text;                   // as written
    std::optional<std::string> meter;
    std::optional<double> range;           // volts or amperes
    std::optional<double> within;          // absolute; else the meter's error
    std::vector<PartId> without;
    When when = When::found;
    std::string note;
    Span span;
};
struct Bench {
    std::vector<Meter> meters;             // of all <bench> elements: ids hold for the whole file
    std::vector<Reading> readings;
};

enum class Beeps { yes, part, no };
struct ContinuityTest { Place from, to; Beeps beeps = Beeps::yes; std::string note; Span span; };

// Parameters of a device by type number, or of a whole kind where `model` is empty: the field's textbook symbols.
struct Device {
    std::string model;
    std::string kind;
    std::vector<std::pair<std::string, double>> parameters;  // in the order written
    std::string source;                                      // where the figures come from
};

}  // namespace tallyboard
