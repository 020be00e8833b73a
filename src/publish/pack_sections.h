#pragma once

#include <map>
#include <optional>
#include <string>

#include "consequence/consequence.h"
#include "publish/pack.h"

namespace tallyboard {

// The sections of the pack that come from what was worked out and from what the board's file records.

// Curves, spread, ranking and voltages; nothing where nothing could be worked out. `marks`: the number on the sheet by finding id.
std::optional<ResponseSection> response_section(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                                                const Consequences& consequences, const std::map<std::string, int>& marks);

// What was found on the parts, done to them, and read before and after; nothing where the file records none of it. `solve`: for the
// readings to expect of the unit as left. Parts that have drifted are among them, by `comparison`.
std::optional<SpecimenSection> specimen_section(const Circuit& board, const Comparison& comparison, const SolveOptions& solve);

// The drawing's scan with a balloon at the place of each finding; nothing where the drawing has no scan or no place on it. The picture
// lies beside the drawing's file. CommandError where it cannot be read.
std::optional<ScanSection> scan_section(const Circuit& drawing, const Comparison& comparison, const std::map<std::string, int>& marks,
                                        bool overlay_alone);

}  // namespace tallyboard
