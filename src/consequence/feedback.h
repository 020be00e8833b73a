#pragma once

#include <set>
#include <string>
#include <vector>

#include "solve/solve.h"

namespace tallyboard::detail {

// Op-amp sections that the circuit does not hold where it rests: raising the offset at in+ lowers the output, which only a loop
// that feeds back in phase with a gain above one does (H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945: the
// return difference at rest is negative). Such a section runs to a supply and stays there, or oscillates. Sections whose output
// stands at its limit already are not among them. Only sections with out, in- or in+ on one of `nets` are tried: one solution
// each. References, in file order.
std::vector<std::string> latching_sections(const Circuit& circuit, const SolveOptions& options, const OperatingPoint& point,
                                           const std::set<NetId>& nets);

// The nets on which parts of the trial stand, or stood on the drawing, that are not as drawn: where a change may turn a loop
// round. Grounds and rails are left out: half of all parts stand there.
std::set<NetId> changed_nets(const Circuit& circuit, const Circuit& trial);

}  // namespace tallyboard::detail
