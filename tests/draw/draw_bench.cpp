// The table of docs/drawing.md: the six circuits drawn at full effort (or as drafts), measured on the finished geometry.
// Run: bench_draw "the six circuits", or bench_draw "drafts".
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <chrono>

#include "base/file.h"
#include "draw/draw.h"
#include "draw/readback.h"
#include "xml/read.h"

namespace tallyboard {
namespace {

void measure_all(bool draft) {
    fmt::print("{:2} {:>5} {:>4} {:>4} {:>6} {:>4} {:>9} {:>4} {:>5} {:>7}  {}\n", "", "parts", "x", "bend", "wire", "arms", "size u", "flow",
               "page", "seconds", "faults");
    for (const char* name : {"a", "b", "c", "d", "e", "f"}) {
        const Circuit circuit = read_circuit(read_file(fmt::format("{}/tests/draw/circuits/{}.xml", TALLYBOARD_SOURCE_DIR, name)),
                                             built_in_kinds());
        DrawOptions options;
        options.draft = draft;
        const auto before = std::chrono::steady_clock::now();
        const Picture picture = draw_picture(circuit, options);
        const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - before).count();
        const Metrics m = measure(picture);
        fmt::print("{:2} {:5} {:4} {:4} {:6.0f} {:4} {:4.0f}x{:<4.0f} {:3.0f}% {:4.0f}% {:7.2f}  {}\n", name, circuit.parts.size(), m.crossings,
                   m.bends, m.wire, m.four_arms, m.width, m.height, 100 * m.flow, 100 * m.page_use, seconds,
                   m.faultless() ? "none"
                                 : fmt::format("symbols {} lettering {} ties {} wires {}", m.symbol_overlaps, m.label_overlaps,
                                               m.tie_overlaps, m.wires_through));
    }
}

}  // namespace

TEST_CASE("the six circuits", "[.][bench]") { measure_all(false); }
TEST_CASE("drafts", "[.][bench]") { measure_all(true); }

}  // namespace tallyboard
