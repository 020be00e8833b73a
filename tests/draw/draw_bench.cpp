// The table of docs/drawing.md: the six circuits drawn at full effort (or as drafts), measured on the finished geometry.
// Run: bench_draw "the six circuits", or bench_draw "drafts".
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <ctime>

#include "base/file.h"
#include "draw/draw.h"
#include "draw/readback.h"
#include "xml/read.h"

namespace tallyboard {
namespace {

// The parts in rows in the order of the file: what drawing without placing would give.
Circuit in_rows(Circuit circuit) {
    const int columns = static_cast<int>(std::ceil(std::sqrt(1.6 * static_cast<double>(circuit.parts.size()))));
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        Stands stands;
        stands.x = 10 * static_cast<double>(i % static_cast<std::size_t>(columns));
        stands.y = 10 * static_cast<double>(i / static_cast<std::size_t>(columns));
        circuit.parts[i].stands = stands;
    }
    return circuit;
}

void print_row(const std::string& name, const Circuit& circuit, const DrawOptions& options) {
    const std::clock_t cpu = std::clock();
    const auto before = std::chrono::steady_clock::now();
    const Picture picture = draw_picture(circuit, options);
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - before).count();
    const double work = static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC;
    const Metrics m = measure(picture);
    fmt::print("{:9} {:5} {:5} {:5} {:6.0f} {:5} {:5.0f}x{:<4.0f} {:5.1f} {:4.0f}% {:4.0f}% {:7.2f} {:7.2f}  {}\n", name, circuit.parts.size(),
               m.crossings, m.bends, m.wire, m.four_arms, m.width, m.height, picture.modules[0], 100 * m.flow, 100 * m.page_use, seconds, work,
               m.faultless() ? "none"
                             : fmt::format("symbols {} lettering {} ties {} wires {}", m.symbol_overlaps, m.label_overlaps, m.tie_overlaps,
                                           m.wires_through));
}

// `baseline`: each circuit again with its parts in rows.
void measure_all(const DrawOptions& options, bool baseline) {
    fmt::print("{:9} {:>5} {:>5} {:>5} {:>6} {:>5} {:>10} {:>5} {:>5} {:>5} {:>7} {:>7}  {}\n", "", "parts", "cross", "bends", "wire", "4-arm",
               "size u", "mm/u", "flow", "page", "wall s", "cpu s", "faults");
    for (const char* name : {"a", "b", "c", "d", "e", "f"}) {
        const Circuit circuit = read_circuit(read_file(fmt::format("{}/tests/draw/circuits/{}.xml", TALLYBOARD_SOURCE_DIR, name)),
                                             built_in_kinds());
        print_row(name, circuit, options);
        if (baseline) print_row(std::string(name) + " rows", in_rows(circuit), options);
    }
}

}  // namespace

TEST_CASE("the six circuits", "[.][bench]") { measure_all({}, true); }
TEST_CASE("drafts", "[.][bench]") {
    DrawOptions options;
    options.draft = true;
    measure_all(options, false);
}

}  // namespace tallyboard
