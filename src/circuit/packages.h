#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "circuit/circuit.h"

namespace tallyboard {

// A part as an element of the circuit works: whole packages split into their sections. A whole `dual-opamp` IC1 becomes
// IC1A and IC1B of kind opamp (the n-th section gets the n-th letter); a section written as a part keeps its reference; every
// other part is one section of its own. fit="no" parts are left out.
struct SectionPin {
    std::string name;                 // the section kind's own name
    PinState state = PinState::untraced;
    NetId net;
    PinId from;                       // the pin of the written part (for a pin that another section of the package gives: that one)
};
struct Section {
    PartId part;                      // the part as written
    std::string ref;
    KindId kind;
    std::vector<SectionPin> pins;     // the section kind's pins, in its order (open kinds: as the part has them)
};
// In file order, a whole's sections in the kind's order. Sections that only some packages have (a valve's heaters) come where
// their pins are given.
std::vector<Section> sections_of(const Circuit& circuit);
// "A" for the first section, "Z" for the 26th, then "AA".
std::string section_letters(std::size_t index);

// The parts that share a `package` name, for packages whose kinds a whole can hold (op-amps, triodes and their heaters).
struct Package {
    std::string name;
    std::vector<PartId> members;      // in file order
    std::vector<KindId> holders;      // whole kinds that can hold them all, smallest first
};
std::vector<Package> packages_of(const Circuit& circuit);

// The pins of the whole `kind` when `members` are put together in it: one entry a pin of `kind`, in its order. A pin that one
// member leaves out or has as `?` takes the net that another gives. Members take the kind's sections in file order where that
// fits, else in the first order and turn that does. Failure: two members give one pin different nets, in words.
struct WholePin {
    PinState state = PinState::untraced;
    NetId net;
    std::vector<PinId> from;          // every written pin that stands for it
};
Result<std::vector<WholePin>> assemble(const Circuit& circuit, const std::vector<PartId>& members, KindId kind);

}  // namespace tallyboard
