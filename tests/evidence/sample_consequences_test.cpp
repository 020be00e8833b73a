// What the consequences say of the samples: the order one would give by ear, and the readings accounted for.
#include <catch2/catch.hpp>

#include "base/file.h"
#include "bench/explain.h"
#include "consequence/consequence.h"
#include "xml/read.h"

using namespace tallyboard;

namespace {

struct Sample { const char *folder, *board; };
constexpr Sample tern{"tern-t12/tern-t12", "-00731"}, corrie{"corrie-22/corrie-22", "-1186"}, dunlin{"dunlin-d4/dunlin-d4", "-2093"};

struct Worked { Circuit drawn, found; Comparison comparison; Consequences all; };
Worked worked(const Sample& sample) {
    const std::string path = std::string(TALLYBOARD_SOURCE_DIR "/samples/") + sample.folder;
    Worked out{read_circuit(read_file(path + ".drawing.xml"), built_in_kinds()), read_circuit(read_file(path + sample.board + ".board.xml"), built_in_kinds()), {}, {}};
    CompareOptions little;   // the findings, not their proof
    little.effort = 0.05;
    out.comparison = compare(out.drawn, out.found, little);
    ConsequenceOptions options;
    options.solve.devices = built_in_devices();
    out.all = consequences(out.drawn, out.found, out.comparison, options);
    return out;
}

// Ids in the order of what they do, without those that come first for safety.
std::vector<std::string> by_ear(const Worked& it) {
    std::vector<std::string> out;
    for (std::size_t i : it.all.ranking)
        if (!it.all.findings[i].safety) out.push_back(it.all.findings[i].finding);
    return out;
}
std::string says(const Worked& it, const std::string& id) {
    for (const Consequence& one : it.all.findings)
        if (one.finding == id) return one.says;
    return "no " + id;
}

// Every reading as found: the board explains it, or it lies at the edge of what it allows, or one fault alone explains them all.
void check_found_readings(const Worked& it) {
    bool strange = false;
    for (const ReadingEvidence& reading : it.all.readings) {
        INFO(reading.reading->is_text << ": " << reading.says);
        CHECK(reading.by_board.expected);
        strange = strange || (!reading.board_explains && !reading.drawing_explains);
    }
    CHECK(it.all.readings.size() >= 9);
    if (!strange) return;
    ExplainOptions options;
    options.solve.devices = built_in_devices();
    options.seek_pairs = false;
    const Diagnosis diagnosis = explain(it.found, options);
    REQUIRE_FALSE(diagnosis.explanations.empty());
    CHECK(diagnosis.explanations.front().fits);
}

// As left the repaired unit reads what it should.
void check_left_readings(const Circuit& board) {
    SolveOptions options;
    options.devices = built_in_devices();
    options.when = When::left;
    const Solver solver(board, options);
    int readings = 0;
    for (const Reading& reading : board.bench.readings) {
        if (reading.when != When::left) continue;
        ++readings;
        const Expectation expected = solver.expectation(reading);
        const double within = reading_within(board, reading);
        INFO((reading.at ? reading.at->text : reading.through) << " " << reading.is_text << " expected " << *expected.low << " to " << *expected.high);
        CHECK((reading.is >= *expected.low - within && reading.is <= *expected.high + within));
    }
    CHECK(readings >= 2);
}

}  // namespace

TEST_CASE("of the tape echo the equaliser's resistor comes first, then what dulls the treble, then a capacitor drawn the wrong way round") {
    const Worked it = worked(tern);
    const auto order = by_ear(it);
    REQUIRE(order.size() >= 3);
    CHECK((order[0] == "value@R8" && order[1] == "moved@C3.b" && order[2] == "reversed@C7"));
    CHECK(says(it, "value@R8").find("treble 17.4 dB duller at 10 kHz, 11.2 dB less at 1 kHz") == 0);
    CHECK(says(it, "reversed@C7") == "C7 stands right; as drawn it would stand at 7.7 V the wrong way round");
    check_found_readings(it);
    check_left_readings(it.found);
}

TEST_CASE("of the valve amplifier what is unsafe comes first, then the coupling capacitor that makes the bass") {
    const Worked it = worked(corrie);
    std::vector<std::string> safety;
    for (std::size_t i : it.all.ranking)
        if (it.all.findings[i].safety) safety.push_back(it.all.findings[i].finding);
    CHECK(safety == std::vector<std::string>{"bypassed@F2", "missing@C31"});
    CHECK(by_ear(it).at(0) == "value@C10");
    CHECK(says(it, "value@C10") == "bass 6.2 dB fuller at 40 Hz; outside production spread");
    check_left_readings(it.found);
}

TEST_CASE("of the mixer channel the op-amp that would latch comes first, then the treble") {
    const Worked it = worked(dunlin);
    const auto order = by_ear(it);
    REQUIRE(order.size() >= 2);
    CHECK((order[0] == "reversed@IC2" && order[1] == "value@C12"));
    check_found_readings(it);
    check_left_readings(it.found);
}

TEST_CASE("one fault explains what the valve amplifier reads", "[long]") { check_found_readings(worked(corrie)); }
