#include "cli/bench_head.h"

#include "base/text.h"
#include "cli/files.h"
#include "consequence/caution.h"

namespace tallyboard {

BenchHead bench_head(const Circuit& circuit, const SolveOptions& options) {
    const About& about = circuit.about;
    std::vector<std::string> unit;
    for (const std::string& piece : {about.maker, about.model}) if (!piece.empty()) unit.push_back(piece);
    if (!about.serial.empty()) unit.push_back("no. " + about.serial);
    Solver solver(circuit, options);
    return {about.title.empty() ? circuit.source.name() : about.title, join(unit, ", "), latest_date({&circuit}),
            caution_lines(circuit, cautions(circuit, solver, solver.operating_point()))};
}

}  // namespace tallyboard
