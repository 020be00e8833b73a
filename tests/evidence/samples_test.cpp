#include <catch2/catch.hpp>

#include "base/file.h"
#include "evidence/evidence.h"
#include "review/decisions.h"

using namespace tallyboard;

namespace {

// How many findings their technician decided; each is held against the suggestion.
int held_against_decisions(const std::string& name, const std::string& serial) {
    const std::string path = TALLYBOARD_SOURCE_DIR "/samples/" + name;
    const Circuit drawn = read_circuit(read_file(path + ".drawing.xml"), built_in_kinds());
    const Circuit found = read_circuit(read_file(path + serial + ".board.xml"), built_in_kinds());
    const Review review = read_review(read_file(path + serial + ".review.xml"));
    int decided = 0;
    for (const Assessment& assessment : assess(drawn, found, compare(drawn, found)).findings) {
        const Decision* decision = decision_on(review, assessment.finding);
        if (!decision) continue;
        ++decided;
        INFO(name << " " << assessment.finding << " by " << assessment.rule);
        CHECK(std::string(decision_word(assessment.suggestion)) == std::string(decision_word(decision->is)));
    }
    return decided;
}

}  // namespace

TEST_CASE("on the samples every suggestion is what their technician decided") {
    CHECK(held_against_decisions("tern-t12/tern-t12", "-00731") >= 8);
    CHECK(held_against_decisions("corrie-22/corrie-22", "-1186") >= 10);
}

// Proving this comparison takes half a minute.
TEST_CASE("on the mixer channel every suggestion is what its technician decided", "[long]") {
    CHECK(held_against_decisions("dunlin-d4/dunlin-d4", "-2093") >= 9);
}
