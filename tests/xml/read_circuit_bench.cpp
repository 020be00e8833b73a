// How long reading takes, beside a plain copy of the bytes and beside the smallest file there is.
#include <catch2/catch.hpp>

#include "support/random_circuits.h"
#include "xml/read.h"
#include "xml/write_circuit.h"

using namespace tallyboard;

namespace {

std::string row_of_parts(std::size_t parts) {
    std::string out = "<circulated xmlns=\"urn:tallyboard:circuit:1\">\n";
    for (std::size_t i = 0; i < parts; ++i)
        out += "  <part ref=\"R" + std::to_string(i) + "\" kind=\"resistor\" value=\"47k\" pins=\"N" + std::to_string(i) + " N" +
               std::to_string(i + 1) + "\"/>\n";
    return out + "</circulated>\n";
}

}  // namespace

TEST_CASE("reading circuits", "[bench]") {
    SourceText small("s.xml", row_of_parts(30)), large("l.xml", row_of_parts(100000)), one("1.xml", row_of_parts(1));
    const KindTable& kinds = built_in_kinds();
    Circuit thirty = read_circuit(small, kinds);
    BENCHMARK("1 part (what copying the kinds costs)") { return read_circuit(one, kinds).parts.size(); };
    BENCHMARK("30 parts") { return read_circuit(small, kinds).parts.size(); };
    BENCHMARK("write 30 parts") { return write_circuit(thirty).size(); };
    BENCHMARK("100,000 parts") { return read_circuit(large, kinds).parts.size(); };
    BENCHMARK("copy of their bytes, as a measure") { return SourceText("c.xml", large.bytes()).bytes().size(); };
}
