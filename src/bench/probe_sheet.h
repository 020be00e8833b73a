#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "solve/solve.h"

namespace tallyboard {

enum class ProbeGroup { supplies, bias, signal };

// One direct voltage to read, power on.
struct VoltageRow {
    ProbeGroup group = ProbeGroup::bias;
    NetId net, to;
    std::string place, back;                 // "Q1 base", "0V": where the probes go, in words
    std::vector<PinId> pins;                 // every device pin and test point on the net
    std::optional<double> shows, low, high;  // on this meter, loading included; span of the tolerances
    std::optional<double> unloaded;
    std::string rail;                        // the supply to check it against: the ratio tells more than the volts
    std::optional<double> rail_share;        // shows / that rail
    std::string note;                        // "the meter takes 9 % here", why it is not told
    bool hazardous = false;                  // above 60 V, or not known
};

// One resistance to read, power off and capacitors discharged.
enum class Proves { the_part, not_open, nothing };
struct ResistanceRow {
    PartId part;
    std::string from, to;                    // pins; red lead at `from`
    std::optional<double> shows, reversed;   // leads as given, and exchanged
    std::optional<double> low, high;         // span of the tolerances, leads as given
    double nominal = 0;
    Proves proves = Proves::nothing;
    std::string lift;                        // the leg to lift where the reading does not prove the part: "R4.a"
    std::string note;
};

struct ProbeSheet {
    std::string meter;                       // the meter it is worked out for, in words
    std::vector<VoltageRow> voltages;        // supplies, then bias, then signal path; each in the order of the signal
    std::vector<ResistanceRow> resistances;
    std::vector<std::string> controls;       // how the controls stand: "VR1 at half turn"
    std::vector<std::string> remarks;
};

struct ProbeOptions {
    SolveOptions solve;
    std::string meter;                       // id of a meter of the file; empty: the first that reads volts, else 10 MΩ, 1 %
};

// What a healthy unit should show, in the order one works. CommandError where the file has no such meter.
ProbeSheet probe_sheet(const Circuit& circuit, const ProbeOptions& options);

// The nets in the order the signal meets them: steps over parts from the source, not over supplies and ground; nets never
// reached last, in file order.
std::vector<NetId> signal_order(const Circuit& circuit);

}  // namespace tallyboard
