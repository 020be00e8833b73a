#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

// Something in a circuit that may well be meant, but is more often a slip of the pen.
enum class OddityWhat {
    one_pin_net,   // a net on which a single pin stands: the same as a pin that goes nowhere
    no_pin_net,    // a <net> that no pin is on
    names_alike,   // two nets or two parts whose names differ by case or by signs that look alike
    on_one_net,    // a part with all its pins on one net
    apart,         // parts that nothing joins to the rest
    no_package,    // sections that seem to share a package but do not say so
    pins_not_drawn // a drawn part of which a pin is not mentioned that every drawing shows
};
std::string_view oddity_word(OddityWhat what);
struct Oddity {
    OddityWhat what;
    std::string says;  // a sentence without a full stop
    Span span;         // where in the file
};

struct KindCount { std::string kind; std::size_t parts = 0; };

// What a reader took a file for: counts, and what looks odd about it. What was assumed on reading stands in Circuit::remarks.
struct Understood {
    std::size_t parts = 0;                 // fitted parts as written, links among them
    std::size_t optional = 0, not_fitted = 0;
    std::size_t nets = 0, unnamed_nets = 0;  // with one pin or more
    std::size_t pins = 0;                  // of fitted parts; without those a drawing does not mention
    std::size_t traced = 0, untraced = 0, nowhere = 0;
    std::size_t values_unknown = 0;        // parts that have a value or type number, and it is not given
    std::size_t packages = 0, found = 0, readings = 0, tests = 0;
    std::vector<KindCount> kinds;          // in the order of the kinds files
    std::vector<Oddity> oddities;          // in the order of the text
};
Understood understood(const Circuit& circuit);

// The counts as sentences for people, but for the parts by kind: "a board: 37 parts on 20 nets", "pins: 79 of 81 traced, 2 not
// traced yet".
std::vector<std::string> sentences(const Understood& understood, const Circuit& circuit);

}  // namespace tallyboard
