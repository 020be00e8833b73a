#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

// One continuity test: two pins, and what the beeper said.
struct TracingTest {
    PinId from, to;
    Beeps beeps = Beeps::yes;
};

// The next test to make, and why just that one.
struct Question {
    PinId from, to;
    double likely = 0;       // how likely it beeps, 0 … 1
    bool isolation = false;  // asked to prove two nets apart
    bool again = false;      // it was asked before, and the answer is doubted
    bool sought = false;     // the drawing does not say so: the pin is sought on one net after the other
    std::string why;         // "the drawing has both on +24V", "asked again: …"
};

// What the tests so far prove, and what is left.
struct TracingState {
    std::size_t pins = 0;            // all that are to be traced
    std::size_t proven = 0;          // joined to another pin by tests
    std::size_t assumed = 0;         // on a net by the file's own naming, not by a test
    std::size_t open = 0;            // not known to be joined to any other
    std::size_t nets = 0;            // groups of joined pins, single ones included
    std::size_t isolation_left = 0;  // pairs of nets still to be proven apart
    std::size_t tests = 0;
};

// Two answers that cannot both be right: `test`, and the shortest chain of earlier tests (indices, in the order of the chain)
// that says the opposite. Where the chain also rests on nets as the file names them, `says` tells.
struct Contradiction {
    TracingTest test;
    std::vector<std::size_t> chain;
    std::string says;
};

struct TracingOptions {
    bool thorough = false;           // prove every two nets apart, not just those that matter
};

// Guided tracing of one board: what its tests prove, and which test to make next with the drawing as a prior. Every pin must be
// shown to be joined to its net, so the cheapest way is to ask first what is most likely to beep; a part whose pins may be
// exchanged costs half a test more on the average, a surprise a search. An answer against the drawing is asked once more, at once
// or, where it only then turns out to be one, at the end. A supply leg that sections of a package share is one pin. The caller
// keeps the file. Deterministic. Keeps references to both circuits.
class Tracing {
public:
    // `drawing` may be null: then any two pins are as likely joined as any others.
    Tracing(const Circuit& board, const Circuit* drawing, const TracingOptions& options = {});

    // The contradiction that this answer makes with those before, if any; the answer is then not taken in.
    std::optional<Contradiction> answer(const TracingTest& test);
    // Takes the answer `index` back (undo, or a test found wrong); the indices behind it move down.
    void retract(std::size_t index);
    // Put off until nothing else is left to ask, then asked between other pins of the two nets; a few times skipped, given up.
    void skip(PinId from, PinId to);

    std::optional<Question> next();  // nothing: all is traced
    TracingState state() const;
    const std::vector<TracingTest>& tests() const { return tests_; }
    // The nets as they stand: groups of joined pins, each in file order, groups by their first pin.
    std::vector<std::vector<PinId>> nets() const;

private:
    using Node = std::size_t;                       // a pin's place among those traced here
    using Pair = std::pair<Node, Node>;             // ordered

    Node node(PinId pin) const { return node_of_[pin.part.index][pin.pin]; }
    void join(Node a, Node b);
    void rebuild();
    void predict();
    void count_lost();
    void settle_orders();
    bool apart(std::size_t group, std::size_t other) const;
    std::vector<std::size_t> chain(Node a, Node b, bool& by_name) const;
    std::optional<Question> open_question();
    std::optional<Question> joining_question(int patience) const;
    std::optional<Question> isolation_question(int patience) const;
    std::optional<Question> doubtful_question() const;
    std::vector<Pair> isolation_pairs(int patience) const;      // pairs of groups
    std::map<Pair, int> skips() const;              // by pair of groups: how often a test between them was skipped
    Question ask_groups(std::size_t group, std::size_t other, double likely, std::string why) const;
    int certain_net(Node n) const;                  // the drawn net that the pin must be on if the board is as drawn; -1: none, or several
    std::vector<char> parts_elsewhere() const;      // by part: whether a pin of it is not where the drawing has it, or the drawing lacks it
    Node convenient_pin(std::size_t group) const;
    Question ask(Node a, Node b, double likely, std::string why) const;
    std::string net_words(int drawn_net) const;

    const Circuit& board_;
    const Circuit* drawing_;
    TracingOptions options_;
    std::vector<PinId> pins_;                       // by node
    std::vector<std::vector<Node>> node_of_;        // [part][pin]
    std::vector<Pair> named_;                       // neighbours on a net that the file names
    std::vector<int> name_of_;                      // by node: the named net, or -1
    std::vector<TracingTest> tests_;
    std::map<Pair, int> skipped_;                   // how often

    std::vector<std::size_t> group_of_;             // by node
    std::vector<std::vector<Node>> groups_;         // by group; empty ones were joined to others
    std::set<Pair> apart_;                          // pairs of nodes that do not beep

    // The drawing's say. orders_[part]: the ways its pins may stand on drawn nets (net by pin, -1: none), fewer as answers come.
    std::vector<std::vector<std::vector<int>>> orders_;
    std::vector<int> lost_;                         // by drawn net: its pins that no pin traced here answers to
    bool predicted_ = false;
    std::size_t predicted_at_ = 0;                  // how many tests there were then
    std::optional<Question> asked_;                 // the last question given out
    std::optional<Question> again_;                 // one whose answer was not to be expected, to be asked once more
};

}  // namespace tallyboard
