#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "evidence/evidence.h"

namespace tallyboard::detail {

// What can be said of a finding from the board's file, one by one; the rules ask for these and nothing else.
enum Fact : std::uint32_t {
    original = 1u << 0,           // every part concerned that says so is original
    replaced = 1u << 1,           // one of them is replaced
    added = 1u << 2,              // one of them is added
    newer = 1u << 3,              // its date code is more than a year later than the unit
    later_unit = 1u << 4,         // the unit was made after the drawing
    marked_found = 1u << 5,       // the marking says what is found
    marked_drawn = 1u << 6,       // the marking says what is drawn, and not what is written
    measured_found = 1u << 7,     // measured as what is found
    measured_drawn = 1u << 8,     // measured as what is drawn
    faulty = 1u << 9,             // its condition tells of a fault
    factory = 1u << 10,           // a note tells of factory work
    later_hand = 1u << 11,        // a note tells of later work
    series_made = 1u << 12,       // a note tells that it was made so in series: legend, cut track, other channels
    empty_place = 1u << 13,       // the place is on the board and was never filled
    bad_joint = 1u << 14,         // a note tells of corrosion, a rivet, a crack near these pins
    continuity = 1u << 15,        // a continuity test bears it out
    by_added_link = 1u << 16,     // an added wire makes the join
    fuse = 1u << 17,              // a fuse is concerned
    mains_to_earth = 1u << 18,    // a part between the mains and the chassis or earth
    drawn_latches = 1u << 19,     // an op-amp is drawn with its feedback to in+, and found with it to in-
    slip = 1u << 20,              // it looks like a slip
    series_neighbour = 1u << 21,  // the found value is the member of the E series nearest to the drawn round one
    changed_alike = 1u << 22,     // another part differs by the same values
    two_pins = 1u << 23,          // a part of two pins
};

struct Facts {
    std::uint32_t bits = 0;
    std::vector<std::string> lines;                 // the sentences, what weighs most first
    EvidenceGrade grade = EvidenceGrade::E;
    bool has(std::uint32_t facts) const { return (bits & facts) == facts; }
    bool any(std::uint32_t facts) const { return (bits & facts) != 0; }
};

Facts facts_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding, const std::optional<Slip>& slip);

// A fact's name as the documentation writes it.
std::string_view fact_word(Fact fact);

}  // namespace tallyboard::detail
