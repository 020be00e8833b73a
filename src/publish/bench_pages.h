#pragma once

#include <string>
#include <vector>

#include "bench/probe_sheet.h"
#include "bench/tracing.h"
#include "publish/document.h"

namespace tallyboard {

// Heading of a sheet for the bench: the unit, the file's digest or date for the foot of the title, and what must be cautioned of.
struct BenchHead { std::string title, unit, date; std::vector<std::string> cautions; };

// The probe sheet on paper: cautions on top, readings in the order one works, each with room to write; dangerous places marked.
Document probe_document(const Circuit& circuit, const ProbeSheet& sheet, const BenchHead& head);

// One continuity test to make on paper; `to` is empty where the partner is to be found and written in.
struct TraceRow { std::string from, to, why; };

// The next tests, each taken to be answered as is most likely: a list for those who prefer paper. At most `most`.
std::vector<TraceRow> trace_rows(Tracing tracing, const Circuit& board, std::size_t most = 400);

// The check sheet: from, to, boxes to tick; the answers are typed back by number or by pins.
Document trace_document(const std::vector<TraceRow>& rows, const BenchHead& head);

}  // namespace tallyboard
