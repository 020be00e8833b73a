// evidence: what speaks for which decision on a finding: markings, measurements, dates, condition, continuity, likely slips. Start
// here; the rules are one table in suggestion.cpp, told in docs/evidence.md with an example each.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "evidence/slip.h"
#include "xml/read.h"

namespace tallyboard {

// How surely something is known. A: seen and measured out of circuit; B: measured in circuit, or continuity both ways; C: read from a
// marking; D: from a photograph; E: inferred.
enum class EvidenceGrade { A, B, C, D, E };
char grade_letter(EvidenceGrade grade);

enum class Certainty { sure, likely, weak };
std::string_view certainty_word(Certainty certainty);

// What is known of one finding, and what follows from it. A suggestion is no decision.
struct Assessment {
    std::string finding;                 // its id
    std::string title;                   // what it may be called once it is decided as suggested: title_of
    std::vector<std::string> evidence;   // sentences, what weighs most first
    EvidenceGrade grade = EvidenceGrade::E;
    DecisionIs suggestion = DecisionIs::open;
    Certainty certainty = Certainty::weak;
    std::vector<std::string> reasons;    // of the suggestion, in words
    std::string rule;                    // name of the rule in the table that gave it
    std::optional<Slip> slip;            // told first: "probably the tracing: look again at …"
};

// Findings of one cause, told in one line: "six capacitors by another maker's marking".
struct CauseGroup { std::string says; std::vector<std::string> findings; };

struct EvidenceReport {
    std::vector<Assessment> findings;    // in the order of the comparison's findings
    std::vector<CauseGroup> groups;
    std::string summary;                 // what was compared, how many agree, what is unverified
};

// What a finding may be called in print, never more than the evidence supports: "corrected for no. 00731", "repair, not production".
// Undecided (`open`) it is called no more than that.
std::string title_of(const Circuit& board, const Assessment& assessment, DecisionIs decided);

EvidenceReport assess(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

}  // namespace tallyboard
