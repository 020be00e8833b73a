// libFuzzer target: any bytes are read as a circuit or refused with a place; what is read can be written and read again.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "xml/csv.h"
#include "xml/read.h"
#include "xml/write_circuit.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace tallyboard;
    std::string bytes(reinterpret_cast<const char*>(data), size);
    try {
        std::string written = write_circuit(read_circuit(SourceText("f.xml", bytes), built_in_kinds()));
        try {
            if (write_circuit(read_circuit(SourceText("g.xml", written), built_in_kinds())) != written) std::abort();
        } catch (const InputError&) {
            std::abort();
        }
    } catch (const InputError& error) {
        if (error.diagnostics().empty()) std::abort();
    }
    try {
        write_csv(read_csv(SourceText("f.csv", bytes), CircuitRole::board, built_in_kinds()));
    } catch (const InputError& error) {
        if (error.diagnostics().empty()) std::abort();
    }
    return 0;
}
