#pragma once

#include <string>
#include <vector>

#include "solve/solve.h"

namespace tallyboard::detail {

// Op-amp sections that the circuit does not hold where it rests: raising the offset at in+ lowers the output, which only a loop
// that feeds back in phase with a gain above one does (H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945: the
// return difference at rest is negative). Such a section runs to a supply and stays there, or oscillates. Sections whose output
// stands at its limit already are not among them. References, in file order. One solution a section.
std::vector<std::string> latching_sections(const Circuit& circuit, const SolveOptions& options, const OperatingPoint& point);

}  // namespace tallyboard::detail
