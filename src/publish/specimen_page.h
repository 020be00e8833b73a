#pragma once

#include <string>
#include <vector>

#include "publish/text_pages.h"

namespace tallyboard {

// What the unit's owner gets: faults and drift found, what was done, the unit as left.
struct SpecimenRow { std::string part, found, done, left, remark; };
struct SpecimenReading { std::string what, found, left, expected; };   // "base of Q1 to 0V", "3.92 V", "3.95 V", "3.7 … 4.1 V"

struct SpecimenSection {
    std::string unit;                     // "Oakhollow Tern T-12, no. 00731, 1972?"
    std::string by, found_on, left_on;    // hand and dates
    std::string conditions;               // meter, supply, how the controls stood
    std::vector<SpecimenRow> rows;
    std::vector<SpecimenReading> readings;
    std::vector<std::string> remarks;     // parts removed, leakage check
    std::vector<std::string> cautions;
};

// Heading, the unit, table of parts, table of readings before and after, room for the leakage check and a signature.
void add_specimen(TextPages& pages, const SpecimenSection& section);
Document specimen_document(const SpecimenSection& section);

}  // namespace tallyboard
