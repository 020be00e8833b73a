#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "compare/compare.h"

namespace tallyboard {

// A difference that looks more like a slip of the pen or of the eye than like another circuit. It stays a listed difference.
enum class SlipKind { tenfold, k_for_m, swapped_digits, lost_point, mirrored_pins, mirrored_board, neighbouring_pins, value_twice };
std::string_view slip_word(SlipKind kind);

struct Slip {
    SlipKind kind = SlipKind::tenfold;
    std::string says;                    // "probably the tracing: look again at R3; 4k7 and 47k differ by a lost point"
};

// The slip a finding looks like, if any. `comparison`: all findings, for slips that show in several (a mirror-image photo).
std::optional<Slip> slip_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding);

}  // namespace tallyboard
