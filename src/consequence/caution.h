#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solve/solve.h"

namespace tallyboard {

enum class CautionOf { hazardous_voltage, dangerous_voltage, unknown_voltage, mains, live_chassis, stored_energy, safety_part,
                       loudspeaker, substances, battery };

// Something that can hurt, and what to print. Cautions cannot be switched off.
struct Caution {
    CautionOf of = CautionOf::hazardous_voltage;
    std::string print;                    // the sentence
    std::optional<NetId> net;             // where the mark goes
    std::optional<PartId> part;
    std::optional<double> volts, joules, seconds;  // known ones: voltage; energy; time until 60 V after switching off
};

// What the circuit's own figures and kinds call for (IEC 62368-1, IEC 61140, IEC 61010-031 and bench custom; docs/consequence.md
// has the table). `point`: the circuit at rest; a voltage that it does not tell counts as dangerous where valves, mains parts or
// capacitors rated above 60 V are about. In order of danger, then file order.
std::vector<Caution> cautions(const Circuit& circuit, const Solver& solver, const OperatingPoint& point);

// The few sentences to print at the head of a document: one a subject, nets gathered.
std::vector<std::string> caution_lines(const Circuit& circuit, const std::vector<Caution>& cautions);

// The line at the foot of every page.
std::string_view caution_footer();

}  // namespace tallyboard
