#include <catch2/catch.hpp>

#include "base/file.h"
#include "evidence/evidence.h"
#include "review/decisions.h"

using namespace tallyboard;

TEST_CASE("on the samples every suggestion is what their technician decided") {
    const std::string folder = TALLYBOARD_SOURCE_DIR "/samples/";
    const std::string names[][2] = {{"tern-t12/tern-t12", "-00731"}, {"corrie-22/corrie-22", "-1186"}, {"dunlin-d4/dunlin-d4", "-2093"}};
    int decided = 0;
    for (const auto& [name, serial] : names) {
        const Circuit drawn = read_circuit(read_file(folder + name + ".drawing.xml"), built_in_kinds());
        const Circuit found = read_circuit(read_file(folder + name + serial + ".board.xml"), built_in_kinds());
        const Review review = read_review(read_file(folder + name + serial + ".review.xml"));
        for (const Assessment& assessment : assess(drawn, found, compare(drawn, found)).findings) {
            const Decision* decision = decision_on(review, assessment.finding);
            if (!decision) continue;
            ++decided;
            INFO(name << " " << assessment.finding << " by " << assessment.rule);
            CHECK(std::string(decision_word(assessment.suggestion)) == std::string(decision_word(decision->is)));
        }
    }
    CHECK(decided >= 25);
}
