#pragma once

#include <string>

#include "bench/explain.h"

namespace tallyboard {

// "R2 of about 200 kΩ instead of 100k", "C3 leaking, about 47 kΩ", "Q1 open", "Q1 short from base to emitter".
std::string fault_text(const Circuit& circuit, const Fault& fault);

// The faults of one explanation: "C3 leaking, about 47 kΩ and R2 open".
std::string explanation_text(const Circuit& circuit, const Explanation& explanation);

// For the pack: which part alone would explain every reading, in a sentence; empty where the readings need none, or no part does.
std::string faults_sentence(const Circuit& circuit, const Diagnosis& diagnosis);

}  // namespace tallyboard
