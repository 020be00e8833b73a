#pragma once

#include <optional>
#include <string>

#include "circuit/circuit.h"

namespace tallyboard {

// The latest of the dates considered (EDTF days, months, years as written); what is no date does not count.
class LatestDate {
public:
    void consider(const std::string& date);
    // All that a circuit's file names: when it was traced or transcribed, revised, worked on.
    void consider(const Circuit& circuit);
    const std::string& text() const { return text_; }   // as written; empty: none

private:
    std::string text_;
    std::optional<Day> day_;
};

}  // namespace tallyboard
