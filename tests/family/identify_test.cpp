#include "family/identify.h"

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "known_families.h"
#include "support/program.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// Three versions of a small amplifier: R1 at 100 and on 2k2, C1 from 300 and on 22n, R3 left out from 300 on too.
std::string board(const std::string& r1, const std::string& c1, bool r3, const std::string& about = "") {
    return "<as-found xmlns=\"urn:tallyboard:circuit:1\">" + about +
           "<net name=\"0V\" role=\"ground\"/><part ref=\"R1\" kind=\"resistor\" " + (r1.empty() ? "" : "value=\"" + r1 + "\" ") +
           "pins=\"IN BASE\"/><part ref=\"R2\" kind=\"resistor\" value=\"47k\" pins=\"BASE 0V\"/>" +
           (r3 ? "<part ref=\"R3\" kind=\"resistor\" value=\"1M\" pins=\"IN 0V\"/>" : "") +
           "<part ref=\"C1\" kind=\"capacitor\" " + (c1.empty() ? "" : "value=\"" + c1 + "\" ") + "pins=\"OUT 0V\"/>" +
           "<part ref=\"R4\" kind=\"resistor\" value=\"10k\" pins=\"+9V OUT\"/><part ref=\"Q1\" kind=\"npn\" model=\"BC109\" pins=\"c=OUT b=BASE e=0V\"/></as-found>";
}

struct SmallFamily {
    ScratchFolder folder;
    GatheredFamily table;
    FamilyHistory history;
    SmallFamily() {
        std::string drawn = board("1k", "10n", true);
        drawn.replace(drawn.find("as-found"), 8, "circulated");
        drawn.replace(drawn.rfind("as-found"), 8, "circulated");
        write("base.xml", drawn);
        std::string members;
        for (int serial : {50, 80, 100, 200, 300, 400}) {
            write(fmt::format("{}.xml", serial), board(serial < 100 ? "1k" : "2k2", serial < 300 ? "10n" : "22n", serial < 300));
            members += fmt::format("<member file=\"{0}.xml\" serial=\"{0:04}\" made=\"{1}\"/>", serial, 1960 + serial / 50);
        }
        write("family.xml", "<family xmlns=\"urn:tallyboard:circuit:1\"><base file=\"base.xml\"/>" + members + "</family>");
        table = gather(read_family(read_file((folder.path() / "family.xml").string())), built_in_kinds());
        history = read_history(table);
    }
    void write(const std::string& name, const std::string& text) const { write_file((folder.path() / name).string(), text); }
    Identification of(const std::string& text) const {
        Circuit circuit = read_circuit(SourceText("bench.xml", text), built_in_kinds(), CircuitRole::board);
        return identify(table, history, circuit, compare(*table.base, circuit));
    }
};

}  // namespace

TEST_CASE("a board that shows all places is of one version, with the bounds of number and date") {
    SmallFamily family;
    REQUIRE(family.history.changes.size() == 2);
    CHECK(family.history.changes[1].places.size() == 2);   // C1 and R3 came in together
    Identification answer = family.of(board("2k2", "10n", true));
    CHECK(answer.left == std::vector<std::size_t>{1});
    CHECK(answer.looks.empty());
    REQUIRE(answer.bounds.after);
    REQUIRE(answer.bounds.by);
    CHECK(family.table.units[*answer.bounds.after].serial == "0080");
    CHECK(family.table.units[*answer.bounds.by].serial == "0300");
    CHECK(answer.bounds.not_before->to_text() == "1961-01-01");
    CHECK(answer.bounds.not_after->to_text() == "1966-12-31");
}

TEST_CASE("the fewest places are named, one for each change that is open") {
    SmallFamily family;
    Identification answer = family.of(board("", "", true, "<about><note>R3 was seen</note></about>"));
    // R3 is fitted: the last change is not in. R1 alone is left to read.
    CHECK(answer.left == std::vector<std::size_t>{0, 1});
    REQUIRE(answer.looks.size() == 1);
    CHECK(family.table.rows[answer.looks[0].row].place == "R1");
    CHECK(answer.looks[0].at == LookAt::marking);
    CHECK(answer.looks[0].by_variant == std::vector<std::string>{"1k", "2k2"});
}

TEST_CASE("a part marked as replaced says nothing of the version, and cannot be asked again") {
    SmallFamily family;
    std::string text = board("1k", "22n", false);
    std::size_t at = text.find("/>", text.find("ref=\"R1\""));
    text.replace(at, 2, "><found status=\"replaced\"/></part>");
    // As drawn, a place is in no finding, and its marking alone is no contradiction to the later version.
    Identification answer = family.of(text);
    CHECK_FALSE(answer.left.empty());
    CHECK(answer.left.back() == 2);
}

TEST_CASE("a board between versions is told as such, and no bounds are stated") {
    SmallFamily family;
    Identification answer = family.of(board("1k", "22n", true));
    CHECK_FALSE(answer.consistent);
    CHECK_FALSE(answer.bounds.after);
    CHECK_FALSE(answer.bounds.by);
    for (const VariantFit& fit : answer.fits) CHECK_FALSE(fit.against.empty());
}

TEST_CASE("a number that contradicts the places is told") {
    SmallFamily family;
    Identification answer = family.of(board("2k2", "22n", false, "<about><serial>0060</serial></about>"));
    CHECK(answer.left == std::vector<std::size_t>{2});
    REQUIRE(answer.remarks.size() == 1);
    CHECK(answer.remarks[0] == "its number 0060 is not above 0200, which is of an earlier version");
}

TEST_CASE("what no unit has is the board's own, and the nearest sister stands beside it") {
    SmallFamily family;
    std::string text = board("2k2", "22n", false);
    text.replace(text.find("47k"), 3, "33k");
    Identification answer = family.of(text);
    REQUIRE(answer.sister);
    CHECK(family.table.units[*answer.sister].serial == "0300");
    CHECK(answer.sister_differs == 0);
    REQUIRE(answer.own.size() == 1);
    CHECK(answer.own[0].find("R2") != std::string::npos);
    bool told = false;
    for (const ThreeWay& row : answer.three_way) told |= row.place == "R2" && row.drawn == "47k" && row.board == "33k" && row.sister == "as drawn";
    CHECK(told);
}

TEST_CASE("every unit of a generated family is found to be of a version that it can be") {
    for (std::uint64_t seed = 1001; seed <= 1010; ++seed) {
        KnownFamily truth = known_family(seed);
        ScratchFolder folder;
        GatheredFamily table = gather(read_family(read_file(write_family(truth, folder.path()).string())), built_in_kinds());
        FamilyHistory history = read_history(table);
        INFO("family of seed " << seed << "\n" << table_csv(table));
        for (std::size_t v = 0; v < history.variants.size(); ++v)
            for (std::size_t u : history.variants[v].units) {
                Circuit board = board_of(table.units[u], built_in_kinds());
                Identification answer = identify(table, history, board, compare(*table.base, board));
                INFO("unit " << table.units[u].label() << " of " << history.variants[v].name);
                CHECK(answer.consistent);
                CHECK(std::count(answer.left.begin(), answer.left.end(), v) == 1);
                CHECK(answer.sister_differs == 0);   // the family has the unit itself
            }
    }
}
