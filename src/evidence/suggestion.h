#pragma once

#include <initializer_list>
#include <span>
#include <string_view>

#include "evidence/evidence.h"
#include "evidence/facts.h"

namespace tallyboard {

// One rule: for findings of these sorts, where all facts of `needs` hold and none of `unless`. The first that fits in the table
// gives the suggestion. docs/evidence.md tells each with an example.
struct EvidenceRule {
    std::string_view name;
    std::uint32_t whats = 0;        // bits 1 << What
    std::uint32_t needs = 0, unless = 0;
    DecisionIs suggestion = DecisionIs::open;
    Certainty certainty = Certainty::weak;
    std::string_view reason;        // a sentence, without full stop
};
std::span<const EvidenceRule> evidence_rules();

// The first rule that fits; the last of the table fits everything.
const EvidenceRule& rule_for(const Finding& finding, const detail::Facts& facts);

}  // namespace tallyboard
