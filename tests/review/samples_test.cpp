#include <catch2/catch.hpp>

#include "base/file.h"
#include "review/corrected.h"
#include "review/decisions.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

struct Sample { const char *drawing, *board, *review; };
// The mixer channel's comparison takes half a minute to prove: it is left to the command's own tests.
constexpr Sample samples[] = {
    {"tern-t12/tern-t12.drawing.xml", "tern-t12/tern-t12-00731.board.xml", "tern-t12/tern-t12-00731.review.xml"},
    {"corrie-22/corrie-22.drawing.xml", "corrie-22/corrie-22-1186.board.xml", "corrie-22/corrie-22-1186.review.xml"},
};

SourceText sample_text(const char* name) { return read_file(std::string(TALLYBOARD_SOURCE_DIR "/samples/") + name); }

}  // namespace

TEST_CASE("the samples' drawings, fully corrected, agree with their boards") {
    for (const Sample& sample : samples) {
        INFO(sample.drawing);
        const Circuit drawn = read_circuit(sample_text(sample.drawing), built_in_kinds(), CircuitRole::drawing);
        const Circuit found = read_circuit(sample_text(sample.board), built_in_kinds(), CircuitRole::board);
        fully_corrected(drawn, found);
    }
}

TEST_CASE("the samples' drawings keep every difference that is not decided to be the drawing's") {
    for (const Sample& sample : samples) {
        INFO(sample.drawing);
        const Circuit drawn = read_circuit(sample_text(sample.drawing), built_in_kinds(), CircuitRole::drawing);
        const Circuit found = read_circuit(sample_text(sample.board), built_in_kinds(), CircuitRole::board);
        const Review review = read_review(sample_text(sample.review));
        const Comparison before = compare(drawn, found);
        CHECK(decision_changes(review, before).empty());
        const std::set<std::string> accepted = accepted_findings(review);
        const Circuit again = read_corrected(corrected_drawing(drawn, found, before, &accepted));
        std::set<std::string> expected, left;
        for (const Finding& finding : before.findings)
            if (finding.cost > 0 && !accepted.count(finding.id)) expected.insert(finding.id);
        for (const Finding& finding : compare(again, found).findings)
            if (finding.cost > 0) left.insert(finding.id);
        CHECK(left == expected);
    }
}
