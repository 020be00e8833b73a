#pragma once

#include <string>

#include "family/history.h"
#include "publish/document.h"
#include "publish/graph.h"

namespace tallyboard {

// The variants sheet of a family: what changed when, the timeline of units and changes, the lineage of versions, the table of places by
// unit, each with its evidence. `date`: of issue.
Document variants_document(const GatheredFamily& family, const FamilyHistory& history, const std::string& owner, const std::string& date);

// The versions in their order, with the changes between them and, hanging from each, its units.
Graph lineage_graph(const GatheredFamily& family, const FamilyHistory& history);

}  // namespace tallyboard
