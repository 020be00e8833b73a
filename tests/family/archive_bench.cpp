// Finding a board's design in an archive of 10,000 boards, and comparing 500 boards of 300 parts with their base beside as many
// single comparisons. Processor time, so that other work on the machine does not count; run by hand.
#include <catch2/catch.hpp>
#include <ctime>
#include <fmt/format.h>

#include "family/archive.h"
#include "family/history.h"
#include "support/mutate.h"
#include "support/program.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

double seconds() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }   // of all threads together

template <class Work>
double timed(const std::string& what, Work work) {
    double from = seconds();
    work();
    double took = seconds() - from;
    fmt::print("{:<52} {:8.2f} s of processor time\n", what, took);
    std::fflush(stdout);
    return took;
}

}  // namespace

TEST_CASE("a board's design among ten thousand boards") {
    ScratchFolder folder;
    std::vector<Draft> designs;
    for (std::uint64_t seed = 1; seed <= 500; ++seed) {
        designs.push_back(random_circuit(recipe_of_case(seed, 20 + seed % 60)));
        designs.back().more.clear();
    }
    for (std::uint64_t i = 0; i < 10000; ++i) {
        const Draft& design = designs[i % designs.size()];
        Draft board = spoil(design, {.edits = i % 4, .disguise = Disguise::references}, i).board;
        write_file((folder.path() / fmt::format("board-{:05}.xml", i)).string(), xml_text(board, CircuitRole::board));
    }
    std::string path = folder.path().string();
    Circuit board = read_draft(spoil(designs[123], {.edits = 3}, 99999).board, CircuitRole::board);
    timed("indexing 10,000 boards the first time", [&] { CHECK(open_archive(path, built_in_kinds()).reread == 10000); });
    // The index vouches for files that were old when it was written.
    for (const auto& file : std::filesystem::directory_iterator(path))
        if (file.path().extension() == ".xml")
            std::filesystem::last_write_time(file.path(), std::filesystem::last_write_time(file.path()) - std::chrono::hours(1));
    open_archive(path, built_in_kinds());
    timed("finding the design, once indexed", [&] {
        Archive archive = open_archive(path, built_in_kinds());
        CHECK(archive.reread == 0);
        std::vector<DesignMatch> matches = likely_designs(archive, board, built_in_kinds());
        CHECK(matches.size() == 3);
    });
}

TEST_CASE("five hundred boards of 300 parts against their base") {
    ScratchFolder folder;
    Draft base = random_circuit(recipe_of_case(7, 300));
    base.more.clear();
    write_file((folder.path() / "base.xml").string(), xml_text(base, CircuitRole::drawing));
    std::string members;
    for (std::uint64_t i = 0; i < 500; ++i) {
        std::string name = fmt::format("board-{}.xml", i);
        write_file((folder.path() / name).string(), xml_text(spoil(base, {.edits = 3, .disguise = Disguise::references}, i).board, CircuitRole::board));
        members += fmt::format("<member file=\"{}\" serial=\"{:05}\"/>", name, i + 1);
    }
    write_file((folder.path() / "family.xml").string(), "<family xmlns=\"urn:tallyboard:circuit:1\"><base file=\"base.xml\"/>" + members + "</family>");
    Family family = read_family(read_file((folder.path() / "family.xml").string()));
    int cost = 0;
    timed("500 single comparisons, files read each time", [&] {
        for (const FamilyMember& member : family.members) {
            Circuit drawing = read_circuit(read_file((folder.path() / "base.xml").string()), built_in_kinds());
            Circuit board = read_circuit(read_file((folder.path() / member.file).string()), built_in_kinds());
            CompareOptions options;
            options.threads = 1;
            cost += compare(drawing, board, options).cost;
        }
    });
    for (double effort : {1.0, 0.1, 0.01}) {
        FamilyOptions options;
        options.effort = effort;
        GatheredFamily gathered;
        timed(fmt::format("the family gathered, effort {}", effort), [&] { gathered = gather(family, built_in_kinds(), options); });
        int family_cost = 0;
        for (const Unit& unit : gathered.units) family_cost += unit.cost;
        fmt::print("  findings cost {} together; single comparisons {}\n", family_cost, cost);
        timed("  its history read", [&] { CHECK_FALSE(gathered.rows.empty()); read_history(gathered); });
    }
}
