#pragma once

#include "publish/bench_pages.h"
#include "solve/solve.h"

namespace tallyboard {

// The heading of a sheet for the bench: the unit, its date, and the cautions that cannot be switched off.
BenchHead bench_head(const Circuit& circuit, const SolveOptions& options);

}  // namespace tallyboard
