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

// So many of them, spread evenly over all.
std::vector<InjectedFault> evenly(const std::vector<InjectedFault>& faults, std::size_t count);

// How the faults were found.
struct Findings {
    std::size_t faults = 0, outside = 0;
    std::size_t named = 0;                     // outside, and the true part among the suspects
    std::vector<std::string> accused;          // no reading outside its span, and still not "nothing to explain"
    std::vector<std::size_t> suspects;         // outside: parts named; those that no reading could tell apart count as one
    // Where a further reading was suggested: the suspects before it, and with what it shows on the faulty unit taken in.
    std::vector<std::size_t> before_further, after_further;
    std::size_t named_further = 0;
    std::vector<std::string> missed;           // names of faults whose part was not among the suspects
};
Findings find_faults(const Circuit& circuit, const std::vector<InjectedFault>& faults, const SolveOptions& options);

// Units with every value somewhere within its tolerance and no fault, read like those with one: how many are accused.
std::size_t fault_free_accused(const Circuit& circuit, std::size_t units, const SolveOptions& options);

// The size that this share of the sizes does not exceed; 0 where there are none.
std::size_t quantile(std::vector<std::size_t> sizes, double share);
std::string summary(const Findings& findings);

}  // namespace tallyboard::test
