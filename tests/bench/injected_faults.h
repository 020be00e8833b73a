#pragma once

#include <string>
#include <vector>

#include "bench/explain.h"

namespace tallyboard::test {

// A single fault put into a circuit, and six readings a technician would take then: two supplies, and the device pins that
// have gone furthest out. Readings are rounded to four digits, as a meter shows them.
struct InjectedFault {
    Fault fault;
    std::string name;               // "R4 open"
    std::vector<Reading> readings;
    bool outside = false;           // at least one reading is outside its span (tolerances and meter)
};

// Open, short, leaky, half, double and tenfold, part by part in file order; faults with which no operating point is found are left out.
std::vector<InjectedFault> injected_faults(const Circuit& circuit, const SolveOptions& options);

// How the faults were found.
struct Findings {
    std::size_t faults = 0, outside = 0;
    std::size_t named = 0;                     // outside, and the true part among the suspects
    std::size_t accused = 0;                   // inside, and someone accused all the same
    std::vector<std::size_t> suspects;         // outside: parts named; those that no reading could tell apart count as one
    std::vector<double> suspects_after;        // with the further reading suggested: expected number
    std::vector<std::string> missed;           // names of faults whose part was not among the suspects
};
Findings find_faults(const Circuit& circuit, const std::vector<InjectedFault>& faults, const SolveOptions& options);

}  // namespace tallyboard::test
