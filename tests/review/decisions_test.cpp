#include <catch2/catch.hpp>

#include "review/decisions.h"
#include "support/text_circuit.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

const std::string drawn = R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/><part ref="R2" kind="resistor" value="2k" pins="B C"/>
<part ref="R3" kind="resistor" value="3k" pins="C D"/><part ref="R4" kind="resistor" value="4k" pins="D A"/>)";

Comparison with_values(const char* r1, const char* r3) {
    std::string found = drawn;
    found.replace(found.find("1k"), 2, r1);
    found.replace(found.find("3k"), 2, r3);
    return compare(drawing(drawn), board(found));
}

const std::string kept = R"(<review xmlns="urn:tallyboard:circuit:1" drawing="d.xml" board="b.xml">
  <!-- after lunch -->
  <decision finding="value@R1"   is='drawing' by="E. Vance" on="2026-03-04">marked 5k &amp; <!-- twice --> original</decision>
</review>
)";

Review review(const std::string& text) { return read_review(SourceText("r.xml", text)); }

}  // namespace

TEST_CASE("a new review holds every finding open") {
    const Review fresh = review(new_review("d & e.xml", "b.xml", with_values("5k", "7k")));
    CHECK(fresh.drawing == "d & e.xml");
    REQUIRE(fresh.decisions.size() == 2);
    CHECK(fresh.decisions[0].finding == "value@R1");
    CHECK(fresh.decisions[0].is == DecisionIs::open);
    CHECK(review(new_review("d.xml", "b.xml", with_values("1k", "3k"))).decisions.empty());
}

TEST_CASE("findings without a decision are added and the rest stays byte for byte") {
    const std::string text = with_open_decisions(review(kept), with_values("5k", "7k"));
    CHECK(text == std::string(kept).insert(kept.find("\n</review>"), "\n  <decision finding=\"value@R3\" is=\"open\"/>"));
    CHECK(with_open_decisions(review(text), with_values("5k", "7k")) == text);
}

TEST_CASE("a decision is set where it stands, and its note is left alone") {
    Decision decision = *decision_on(review(kept), "value@R1");
    decision.is = DecisionIs::repair;
    std::string expected = kept;
    expected.replace(expected.find("'drawing'"), 9, "'repair'");
    CHECK(with_decision(review(kept), decision) == expected);

    decision.note = "a later hand";
    const Review after = review(with_decision(review(kept), decision));
    CHECK(decision_on(after, "value@R1")->note == "a later hand");
    CHECK(after.source.bytes().find("after lunch") != std::string::npos);

    const Review two = review(with_decision(review(kept), {"missing@C1", DecisionIs::production, "", "", "seen on 3 of 4", {}}));
    REQUIRE(two.decisions.size() == 2);
    CHECK(two.decisions[1].note == "seen on 3 of 4");
}

TEST_CASE("only what is decided drawing is accepted") {
    CHECK(accepted_findings(review(kept)) == std::set<std::string>{"value@R1"});
    std::string rejected = kept;
    rejected.replace(rejected.find("'drawing'"), 9, "'rejected'");
    CHECK(accepted_findings(review(rejected)).empty());
}

TEST_CASE("a decision whose finding is gone is told, not dropped") {
    const auto gone = decision_changes(review(kept), with_values("1k", "3k"));
    REQUIRE(gone.size() == 1);
    CHECK(gone[0].how == DecisionChange::How::gone);
    CHECK(gone[0].says == "value@R1: no such difference any more; decided drawing");
    CHECK(decision_changes(review(kept), with_values("5k", "3k")).empty());
    // The same part differs otherwise now.
    std::string lost = drawn;
    lost.replace(lost.find(R"(<part ref="R1" kind="resistor" value="1k" pins="A B"/>)"), 54, "");
    const auto elsewhere = decision_changes(review(kept), compare(drawing(drawn), board(lost)));
    REQUIRE(elsewhere.size() == 1);
    CHECK(elsewhere[0].how == DecisionChange::How::elsewhere);
    CHECK(elsewhere[0].says.find("missing@R1") != std::string::npos);
}
