#include "bench/tracing.h"

#include <catch2/catch.hpp>

#include "bench/simulated_technician.h"
#include "support/mutate.h"
#include "support/program.h"
#include "support/random_circuits.h"
#include "support/text_circuit.h"

using namespace tallyboard;

namespace {

Circuit sample(const std::string& path) {
    return read_circuit(SourceText(path, test::file_bytes(std::string(TALLYBOARD_SOURCE_DIR "/samples/") + path)), built_in_kinds());
}

const char* small_drawing = R"(
  <net name="0V" role="ground"/> <net name="V" role="supply"/>
  <part ref="R1" kind="resistor" value="10k" pins="V C"/>
  <part ref="R2" kind="resistor" value="100k" pins="V B"/>
  <part ref="R3" kind="resistor" value="1k" pins="E 0V"/>
  <part ref="R4" kind="resistor" value="22k" pins="B 0V"/>
  <part ref="Q1" kind="npn" model="BC109" pins="e=E b=B c=C"/>
  <part ref="C1" kind="electrolytic" value="10u" pins="plus=C minus=OUT"/>
  <part ref="TB1" kind="terminal" pins="V"/> <part ref="TB2" kind="terminal" pins="0V"/> <part ref="TB3" kind="terminal" pins="OUT"/>)";

}  // namespace

TEST_CASE("a board that is as drawn is traced right, with few tests more than it has joints") {
    Circuit drawing = test::drawing(small_drawing), truth = test::board(small_drawing);
    test::Traced traced = test::trace_by_simulation(truth, &drawing, {}, {});
    CHECK(traced.ended);
    CHECK(traced.right);
    std::size_t joints = test::floor_tests(truth, 0);
    CHECK(traced.joining <= joints + 4);
    CHECK(traced.questions <= test::fixed_order_tests(truth));
}

TEST_CASE("without a drawing the trace still ends right") {
    Circuit truth = test::board(small_drawing);
    test::Traced traced = test::trace_by_simulation(truth, nullptr, {true}, {});
    CHECK(traced.ended);
    CHECK(traced.right);
}

TEST_CASE("two nets joined on the board are found when every two nets are proven apart") {
    Circuit drawing = test::drawing(small_drawing);
    std::string joined = small_drawing;
    for (std::size_t at; (at = joined.find("OUT")) != std::string::npos;) joined.replace(at, 3, "E");
    Circuit truth = test::board(joined);
    test::Traced traced = test::trace_by_simulation(truth, &drawing, {true}, {});
    CHECK(traced.ended);
    CHECK(traced.right);
}

TEST_CASE("an answer against earlier ones is told with the chain between, and not taken in") {
    Circuit truth = test::board(small_drawing);
    Circuit board = test::untraced_board(truth);
    Tracing tracing(board, nullptr);
    auto pin = [&](const char* ref, std::uint32_t index) { return PinId{board.part(ref).value(), index}; };
    CHECK_FALSE(tracing.answer({pin("R1", 0), pin("R2", 0), Beeps::yes}));
    CHECK_FALSE(tracing.answer({pin("R2", 0), pin("TB1", 0), Beeps::yes}));
    std::optional<Contradiction> c = tracing.answer({pin("R1", 0), pin("TB1", 0), Beeps::no});
    REQUIRE(c);
    CHECK(c->chain == std::vector<std::size_t>{0, 1});
    CHECK(tracing.tests().size() == 2);
    CHECK_FALSE(tracing.answer({pin("R1", 0), pin("R3", 0), Beeps::no}));
    c = tracing.answer({pin("R3", 0), pin("TB1", 0), Beeps::yes});
    REQUIRE(c);
    CHECK(c->chain.size() == 3);
    // Taking the wrong one back makes room.
    tracing.retract(2);
    CHECK_FALSE(tracing.answer({pin("R3", 0), pin("TB1", 0), Beeps::yes}));
}

TEST_CASE("through a low part joins nothing") {
    Circuit board = test::untraced_board(test::board(small_drawing));
    Tracing tracing(board, nullptr);
    PinId a{board.part("R1").value(), 0}, b{board.part("R3").value(), 0};
    CHECK_FALSE(tracing.answer({a, b, Beeps::part}));
    CHECK(tracing.state().proven == 0);
}

TEST_CASE("the samples are traced right, and where the drawing is right with few tests") {
    for (const char* path : {"tern-t12/tern-t12.drawing.xml", "dunlin-d4/dunlin-d4.drawing.xml"}) {
        Circuit drawing = sample(path);
        Circuit truth = drawing;
        truth.role = CircuitRole::board;
        for (bool thorough : {false, true}) {
            test::Traced traced = test::trace_by_simulation(truth, &drawing, {thorough}, {});
            INFO(path << ": " << traced.questions << " tests, " << traced.joining << " joining, fixed order " << test::fixed_order_tests(truth)
                      << ", floor " << test::floor_tests(truth, traced.isolation));
            CHECK(traced.ended);
            CHECK(traced.right);
            CHECK(static_cast<double>(traced.questions) <= 0.6 * static_cast<double>(test::fixed_order_tests(truth)));
            CHECK(static_cast<double>(traced.questions) <= 1.3 * static_cast<double>(test::floor_tests(truth, traced.isolation)));
        }
    }
}

TEST_CASE("mutated boards are traced right to the end") {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        test::Draft drawn = test::random_circuit(test::recipe_of_case(seed, 25));
        test::SpoilOptions spoiling;
        spoiling.disguise = test::Disguise::references;
        test::Spoiled spoiled = test::spoil(drawn, spoiling, seed);
        Circuit drawing = test::read_draft(drawn, CircuitRole::drawing), truth = test::read_draft(spoiled.board, CircuitRole::board);
        test::Traced traced = test::trace_by_simulation(truth, &drawing, {true}, {});
        INFO("seed " << seed << ": " << test::edits_text(spoiled.edits));
        CHECK(traced.ended);
        CHECK(traced.right);
    }
}

TEST_CASE("wrong answers and skips do not keep a trace from its end") {
    Circuit drawing = sample("tern-t12/tern-t12.drawing.xml");
    Circuit truth = drawing;
    truth.role = CircuitRole::board;
    std::size_t right = 0, wrong = 0;
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        test::Traced traced = test::trace_by_simulation(truth, &drawing, {true}, {10, 0, seed});
        CHECK(traced.ended);
        right += traced.right;
        wrong += traced.wrong;
        CHECK(test::trace_by_simulation(truth, &drawing, {false}, {0, 50, seed}).ended);
    }
    CHECK(wrong > 0);
    CHECK(right >= 4);
}
