#include "evidence/suggestion.h"

#include <stdexcept>

namespace tallyboard {

namespace {

using namespace detail;

constexpr std::uint32_t of(std::initializer_list<What> whats) {
    std::uint32_t bits = 0;
    for (What what : whats) bits |= 1u << static_cast<unsigned>(what);
    return bits;
}

constexpr std::uint32_t any = ~0u;
constexpr std::uint32_t drift = of({What::drift});
constexpr std::uint32_t value = of({What::value});
constexpr std::uint32_t kind = of({What::kind});
constexpr std::uint32_t reversed = of({What::reversed});
constexpr std::uint32_t missing = of({What::missing});
constexpr std::uint32_t more = of({What::extra, What::inserted});
constexpr std::uint32_t wires = of({What::moved, What::split, What::joined});
constexpr std::uint32_t wires_and_turned = wires | reversed;
constexpr std::uint32_t parts = value | kind | more | reversed | of({What::moved, What::equivalent});

using enum DecisionIs;

// In the order they are asked. Slips come before everything that takes the trace at its word; marking and measurement together
// outweigh a slip, for they were read independently.
constexpr EvidenceRule rules[] = {
    {"untraced", of({What::unverified}), 0, 0, open, Certainty::weak, "it is not traced yet; nothing speaks for a difference"},

    {"written-not-as-marked-and-measured", value | drift, marked_drawn | measured_drawn, 0, tracing, Certainty::sure,
     "the part is marked and measured as drawn; its value was written down wrongly"},
    {"written-not-as-marked", value | drift, marked_drawn, measured_found, tracing, Certainty::likely,
     "the part is marked as drawn; its value was probably written down wrongly"},
    {"measured-as-drawn", value | drift, measured_drawn, marked_found, tracing, Certainty::likely,
     "it measures as drawn; the value written down is probably a slip"},
    {"marking-misread", value, marked_found | measured_drawn, 0, tracing, Certainty::likely,
     "it measures as drawn; the marking was probably misread"},

    {"drifted-and-faulty", drift, faulty, 0, specimen, Certainty::sure, "the part itself has failed: marked as it should be, measured off, and in poor condition"},
    {"drifted", drift, 0, 0, specimen, Certainty::likely, "the part itself has drifted: marked as it should be and measured off"},

    {"replaced-and-newer", parts, replaced | newer, 0, repair, Certainty::sure, "the part is a replacement, and dated later than the unit"},
    {"replaced", parts, replaced, 0, repair, Certainty::likely, "the part is a replacement"},
    {"newer", parts, newer, original | added, repair, Certainty::likely, "the part is dated more than a year later than the unit"},
    {"wire-for-a-fuse", of({What::bypassed}), fuse, 0, repair, Certainty::likely,
     "a wire stands in place of a fuse: someone's repair, to be undone before power is applied"},
    {"bridged-by-hand", of({What::bypassed}), by_added_link, 0, repair, Certainty::likely, "an added wire stands in place of the part"},
    {"joined-by-hand", of({What::joined}), by_added_link, 0, modification, Certainty::likely, "an added wire joins the two nets"},
    {"added", more | of({What::joined}), added, 0, modification, Certainty::likely, "the part was added later"},
    {"later-hand", parts | of({What::split, What::joined}), later_hand, original, modification, Certainty::weak, "the notes tell of a later hand"},

    {"never-filled", missing, empty_place, 0, production, Certainty::likely, "its place is on the board and was never filled"},
    {"mains-capacitor-gone", missing, mains_to_earth, 0, modification, Certainty::likely,
     "a part between the mains and the chassis is often taken out for safety"},
    {"bad-joint", of({What::split, What::moved}), bad_joint, 0, specimen, Certainty::likely,
     "the notes tell of a bad joint there: an open joint looks like another circuit"},

    {"drawn-latches", reversed, drawn_latches, 0, drawing, Certainty::likely, "as drawn the circuit could not work, as found it does"},
    {"made-so-in-series", parts, original | series_made, 0, production, Certainty::likely, "original work, with signs that it was made so in series"},
    {"changed-alike", value, original | marked_found | changed_alike, slip, production, Certainty::likely,
     "several original parts differ by the same two values: a change meant"},
    {"nearest-of-the-series", value, original | series_neighbour, slip, production, Certainty::weak,
     "an original part of the series value nearest to the round one drawn"},
    {"nearest-of-the-series-unknown", value, series_neighbour, slip | replaced, open, Certainty::weak,
     "the series value nearest to the round one drawn: production or repair, by the part's age"},

    {"drawing-slipped", value, original | marked_found | measured_found | slip, 0, drawing, Certainty::sure,
     "marking and measurement agree on an original part, and the drawn figure looks like a slip of the pen"},
    {"marked-and-measured-later-unit", value, original | marked_found | measured_found | later_unit, slip, drawing, Certainty::weak,
     "marking and measurement agree on an original part; the unit is later than the drawing, so it may be a change in production: a second specimen would tell"},
    {"marked-and-measured", value, original | marked_found | measured_found, slip, drawing, Certainty::likely,
     "marking and measurement agree on an original part"},

    {"turned-continuity", reversed, continuity, 0, drawing, Certainty::likely, "continuity was tested at its pins"},
    {"slip", any, slip, 0, tracing, Certainty::likely, "it looks more like a slip than like another circuit"},

    {"marked-original", value, original | marked_found, 0, drawing, Certainty::likely, "an original part, marked as found"},
    {"measured-original", value, original | measured_found, 0, drawing, Certainty::weak, "an original part that measures as found; its marking is not recorded"},
    {"original-value", value, original, 0, drawing, Certainty::weak, "an original part; neither marking nor measurement is recorded"},
    {"marked-unknown-age", value, marked_found, 0, open, Certainty::weak, "marked as found, but whether it is original is not recorded"},
    {"other-kind-original", kind, original, 0, drawing, Certainty::likely, "an original part of another kind"},

    {"connection-tested", wires, continuity, 0, drawing, Certainty::likely, "the connection was tested, and nothing tells of later work"},
    {"more-factory", more, original | factory, 0, drawing, Certainty::likely, "an original part with factory work, which the drawing leaves out"},
    {"more-original-later-unit", more, original | later_unit, 0, production, Certainty::weak, "an original part, on a unit later than the drawing"},
    {"more-original", more, original, 0, drawing, Certainty::likely, "an original part, which the drawing leaves out"},
    {"turned-original", reversed, original | two_pins, 0, drawing, Certainty::likely, "an original part; its polarity is marked on it"},
    {"moved-original", of({What::moved}), original, 0, drawing, Certainty::weak, "an original part; no continuity test is recorded there"},
    {"made-up-original", of({What::equivalent}), original, 0, production, Certainty::weak, "original parts that make up the drawn value"},
    {"failed-part-gone", missing, faulty, 0, repair, Certainty::weak, "the notes tell of a fault there"},

    {"nothing-speaks", any, 0, 0, open, Certainty::weak, "nothing recorded speaks for one decision"},
};

}  // namespace

std::span<const EvidenceRule> evidence_rules() { return rules; }

const EvidenceRule& rule_for(const Finding& finding, const Facts& facts) {
    for (const EvidenceRule& rule : rules)
        if ((rule.whats >> static_cast<unsigned>(finding.what) & 1u) != 0 && facts.has(rule.needs) && !facts.any(rule.unless)) return rule;
    throw std::logic_error("no rule fits a finding");
}

}  // namespace tallyboard
