// The samples: what their boards differ in does not depend on what anything is called.
#include <filesystem>
#include <map>

#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "support/mutate.h"
#include "xml/read.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

Circuit sample(const std::string& name) {
    return read_circuit(read_file(std::string(TALLYBOARD_SOURCE_DIR) + "/samples/" + name), built_in_kinds());
}

std::string likeness_of(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    return circuit.kind_of(part).name + " " + (part.nominal() ? part.nominal()->text : part.model);
}

// The findings with parts told by kind and value: like parts may take each other's place.
std::map<std::string, int> findings_of_like_parts(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    std::map<std::string, int> result;
    for (const Finding& finding : comparison.findings) {
        std::string text(what_word(finding.what));
        if (!finding.drawing_parts.empty()) text += " " + likeness_of(drawing, finding.drawing_parts.front());
        else if (!finding.drawing_pins.empty()) text += " a pin of " + likeness_of(drawing, finding.drawing_pins.front().part);
        else if (!finding.board_parts.empty()) text += " " + std::string(board.kind_of(board[finding.board_parts.front()]).name);
        ++result[text];
    }
    return result;
}

struct Sample { const char *drawing, *board; };
constexpr Sample samples[] = {{"tern-t12/tern-t12.drawing.xml", "tern-t12/tern-t12-00731.board.xml"},
                              {"corrie-22/corrie-22.drawing.xml", "corrie-22/corrie-22-1186.board.xml"},
                              {"dunlin-d4/dunlin-d4.drawing.xml", "dunlin-d4/dunlin-d4-2093.board.xml"}};

}  // namespace

TEST_CASE("every sample's comparison passes the checker") {
    for (const Sample& each : samples) {
        INFO(each.board);
        const Circuit drawing = sample(each.drawing), board = sample(each.board);
        const Comparison comparison = compare(drawing, board);
        CHECK(check_comparison(drawing, board, comparison) == std::vector<std::string>{});
        CHECK(comparison.cost > 0);
    }
}

TEST_CASE("a sample with all names scrambled gives the same cost, proof, bound and findings, up to like parts") {
    for (const Sample& each : samples) {
        INFO(each.board);
        const Draft drawn = draft_of(sample(each.drawing)), found = draft_of(sample(each.board));
        const Circuit drawing = read_draft(drawn, CircuitRole::drawing);
        const Circuit as_written = read_draft(found, CircuitRole::board);
        const Comparison plain = compare(drawing, as_written);
        for (std::uint64_t seed = 1; seed <= 3; ++seed) {
            INFO("seed " << seed);
            const Circuit board = read_draft(disguise(found, Disguise::all, seed), CircuitRole::board);
            const Comparison scrambled = compare(drawing, board);
            CHECK(check_comparison(drawing, board, scrambled) == std::vector<std::string>{});
            CHECK(scrambled.cost == plain.cost);
            CHECK(scrambled.proved == plain.proved);
            CHECK(scrambled.bound == plain.bound);
            CHECK(findings_of_like_parts(drawing, board, scrambled) == findings_of_like_parts(drawing, as_written, plain));
        }
    }
}
