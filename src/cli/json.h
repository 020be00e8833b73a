#pragma once

#include <optional>
#include <string>

#include "bench/explain.h"
#include "bench/tracing.h"
#include "compare/compare.h"
#include "solve/solve.h"

namespace tallyboard {

// The contract's JSON of `compare`: one object, a line break at the end. Keys in the order of the format's page.
std::string comparison_json(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

// The contract's JSON of `solve`. What cannot be computed is null.
std::string solution_json(const Circuit& circuit, const Solution& solution);

// The contract's JSON of `explain`; `pairs` and `further` stand beside it where there are any.
std::string diagnosis_json(const Circuit& circuit, const Diagnosis& diagnosis);

// The next continuity test, or null, and how far the trace is.
std::string question_json(const Circuit& board, const std::optional<Question>& question, const TracingState& state);

}  // namespace tallyboard
