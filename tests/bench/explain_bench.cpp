// Single faults put into the samples and explained from six readings each: how often the true part is named, among how many, and
// what the further reading that is suggested gains. Processor time, so that other work on the machine does not count.
#include <catch2/catch.hpp>
#include <algorithm>
#include <ctime>
#include <fmt/format.h>

#include "bench/injected_faults.h"
#include "support/program.h"
#include "xml/read.h"

using namespace tallyboard;
using namespace tallyboard::test;

TEST_CASE("three hundred single faults on the samples") {
    SolveOptions options;
    options.devices = built_in_devices();
    for (const char* path : {"tern-t12/tern-t12-00731.board.xml", "corrie-22/corrie-22-1186.board.xml", "dunlin-d4/dunlin-d4-2093.board.xml"}) {
        const Circuit circuit = read_circuit(SourceText(path, file_bytes(std::string(TALLYBOARD_SOURCE_DIR "/samples/") + path)), built_in_kinds());
        const std::vector<InjectedFault> faults = evenly(injected_faults(circuit, options), 100);
        const std::clock_t from = std::clock();
        const Findings found = find_faults(circuit, faults, options);
        const double seconds = static_cast<double>(std::clock() - from) / CLOCKS_PER_SEC;
        fmt::print("{}\n{}  {:.2f} s of processor time a fault\n", path, summary(found), seconds / static_cast<double>(std::max<std::size_t>(faults.size(), 1)));
        fmt::print("  of 100 units without a fault, every value within its tolerance, {} accused\n", fault_free_accused(circuit, 100, options));
        std::fflush(stdout);
    }
}
