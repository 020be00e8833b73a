#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/ids.h"

namespace tallyboard {

// What a finding says. Words and costs are the format's; costs stand in costs.h.
enum class What { value, kind, reversed, moved, missing, extra, split, joined, inserted, bypassed, equivalent, drift, unverified };

std::string_view what_word(What what);
std::optional<What> read_what(std::string_view word);

// One difference, for people (id to says) and for programs (the rest: enough to carry it out on the drawing).
struct Finding {
    std::string id;                        // "value@R3", "moved@C3.a", "split@R2.b#2"
    What what = What::value;
    int cost = 0;
    std::vector<std::string> drawing;      // places: references, pins (REF.PIN), nets
    std::vector<std::string> board;
    std::string drawn, found;              // both sides' text; empty where they have none
    std::string says;                      // a sentence a technician would write

    // For programs. Ids of the drawing's file and of the board's; parts as written (sections, not assembled packages).
    std::vector<PartId> drawing_parts;     // value kind reversed missing bypassed equivalent …: the drawn parts concerned
    std::vector<PartId> board_parts;       // … and the found ones
    std::vector<PinId> drawing_pins;       // moved: the terminal; split, joined, inserted: every drawn terminal that changes its net;
                                           // reversed: the pins in the drawn order; unverified: the pin
    std::vector<PinId> board_pins;         // the found terminals that answer to drawing_pins, one each
    std::optional<NetId> drawing_net;      // moved, split: the net left; joined: the net that vanishes into the other
    std::optional<NetId> board_net;        // moved, split: the net gone to; joined: the one net on the board; none: `-`
};

}  // namespace tallyboard
