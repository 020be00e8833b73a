// How many continuity tests a trace takes, by simulated technicians: the samples, and two hundred boards that differ from their
// drawing. Beside each the fixed order without a drawing, and the least that proves the same.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "bench/simulated_technician.h"
#include "support/program.h"
#include "xml/read.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

Circuit sample(const std::string& path) {
    return read_circuit(SourceText(path, file_bytes(std::string(TALLYBOARD_SOURCE_DIR "/samples/") + path)), built_in_kinds());
}

// The floor of a thorough trace proves as many nets apart as it did; of one of the tests that matter, as many as it asked to be apart.
void print_row(const std::string& what, const Circuit& truth, const Traced& traced, bool thorough = true) {
    const std::size_t floor = floor_tests(truth, thorough ? traced.apart : traced.isolation), fixed = fixed_order_tests(truth);
    const double asked = static_cast<double>(traced.questions);
    fmt::print("{:<46} asked {:5}  floor {:5} ({:.2f})  fixed order {:6} ({:3.0f} %)  {}\n", what, traced.questions, floor, asked / static_cast<double>(floor),
               fixed, 100 * asked / static_cast<double>(fixed), !traced.ended ? "not ended" : traced.right ? "right" : traced.astray);
    std::fflush(stdout);
}

}  // namespace

TEST_CASE("tests a trace takes on the samples") {
    const std::pair<const char*, const char*> samples[] = {{"tern-t12/tern-t12.drawing.xml", "tern-t12/tern-t12-00731.board.xml"},
                                                           {"corrie-22/corrie-22.drawing.xml", "corrie-22/corrie-22-1186.board.xml"},
                                                           {"dunlin-d4/dunlin-d4.drawing.xml", "dunlin-d4/dunlin-d4-2093.board.xml"}};
    for (const auto& [drawn, found] : samples) {
        const Circuit drawing = sample(drawn), board = sample(found);
        for (bool thorough : {false, true}) {
            const std::string how = thorough ? ", every two nets apart" : ", tests that matter";
            print_row(std::string(drawn) + how, drawing, trace_by_simulation(drawing, &drawing, {thorough}, {}), thorough);
            print_row(std::string(found) + how, board, trace_by_simulation(board, &drawing, {thorough}, {}), thorough);
        }
        print_row(std::string(found) + ", no drawing", board, trace_by_simulation(board, nullptr, {true}, {}));
        print_row(std::string(found) + ", 1 % wrong, 5 % skips", board, trace_by_simulation(board, &drawing, {true}, {10, 50, 1}));
    }
}

TEST_CASE("tests a trace takes on two hundred boards that differ from their drawing") {
    for (const Technician& technician : {Technician{0, 0, 1}, Technician{10, 50, 1}}) {
        const ManyTraced many = trace_boards(200, technician);
        fmt::print("{} in 1000 wrong, {} skipped:\n{}", technician.wrong_per_thousand, technician.skips_per_thousand, summary(many));
        std::fflush(stdout);
    }
}
