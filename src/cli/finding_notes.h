#pragma once

#include <map>
#include <string>

#include "cli/files.h"
#include "consequence/consequence.h"
#include "evidence/evidence.h"
#include "publish/pack.h"

namespace tallyboard {

// What the pack prints beside each finding: its decision or the suggestion, grade, evidence, consequence; by finding id.
std::map<std::string, FindingNotes> finding_notes(const Circuit& board, const Comparison& comparison, const EvidenceReport& evidence, const Consequences& consequences,
                                                  const std::optional<LoadedReview>& review);

// Findings of one cause, told once.
std::vector<RevisionGroup> finding_groups(const EvidenceReport& evidence);

}  // namespace tallyboard
