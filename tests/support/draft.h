// draft: a circuit as plain texts, easy to make, to edit and to write as a file. Tests build and spoil circuits in this
// form and read them with the program's own reader.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard::test {

// Random numbers that are the same on every machine and with every library (splitmix64; Steele, Lea, Flood 2014).
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed * 0x9e3779b97f4a7c15u + 0x6a09e667f3bcc909u) {}
    std::uint64_t bits();
    // 0 … n-1; n must not be 0.
    std::size_t below(std::size_t n);
    bool chance(unsigned percent) { return below(100) < percent; }
    template <class List>
    const auto& pick(const List& list) { return list[below(list.size())]; }
    template <class T>
    void shuffle(std::vector<T>& list) {
        for (std::size_t i = list.size(); i > 1; --i) std::swap(list[i - 1], list[below(i)]);
    }

private:
    std::uint64_t state_;
};

struct DraftPin {
    std::string name, net;   // net: "?" and "-" as the files write them
};
struct DraftPart {
    std::string ref, kind;
    std::string value, model, package;  // empty: not written
    std::string attributes;             // further ones, as XML
    std::vector<DraftPin> pins;
};
struct DraftNet {
    std::string name, role;
};
struct Draft {
    std::string title;
    std::vector<DraftNet> nets;   // those with a <net> element
    std::vector<DraftPart> parts;
    std::string more;             // further children, as XML: <setup>
};

// The file: <circulated> or <as-found>, one part a line, `attributes` on the root.
std::string xml_text(const Draft& draft, CircuitRole role, const std::string& attributes = "");
// The same, read.
Circuit read_draft(const Draft& draft, CircuitRole role, const std::string& attributes = "");

// What comparing looks at in a circuit, as a draft: parts, pins, nominal values. Without setup, bench and what was found.
Draft draft_of(const Circuit& circuit);

// A traced place of a part: neither "?" nor "-".
inline bool is_net(const std::string& net) { return net != "?" && net != "-"; }
// Two pins called a and b that may be exchanged.
bool is_plain_two_pin(const DraftPart& part);

}  // namespace tallyboard::test
