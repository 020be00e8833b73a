// Finding a board's design in an archive of 10,000 boards, and comparing 125, 250 and 500 boards of 300 parts with their base
// beside as many single comparisons. Processor time, so that other work on the machine does not count; run by hand.
#include <catch2/catch.hpp>
#include <ctime>
#include <fmt/format.h>
#include <sys/resource.h>

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

namespace {

// As many boards of one design of 300 parts, three differences each, under other references.
void write_boards(const std::filesystem::path& folder, const Draft& base, std::size_t count) {
    write_file((folder / "base.xml").string(), xml_text(base, CircuitRole::drawing));
    std::string members;
    for (std::uint64_t i = 0; i < count; ++i) {
        std::string name = fmt::format("board-{}.xml", i);
        write_file((folder / name).string(), xml_text(spoil(base, {.edits = 3, .disguise = Disguise::references}, i).board, CircuitRole::board));
        members += fmt::format("<member file=\"{}\" serial=\"{:05}\"/>", name, i + 1);
    }
    write_file((folder / "family.xml").string(), "<family xmlns=\"urn:tallyboard:circuit:1\"><base file=\"base.xml\"/>" + members + "</family>");
}

long kilobytes_at_most() {
    rusage use;
    getrusage(RUSAGE_SELF, &use);
    return use.ru_maxrss;
}

}  // namespace

TEST_CASE("families of boards of 300 parts against their base") {
    Draft base = random_circuit(recipe_of_case(7, 300));
    base.more.clear();
    for (std::size_t count : {125u, 250u, 500u}) {
        ScratchFolder folder;
        write_boards(folder.path(), base, count);
        Family family = read_family(read_file((folder.path() / "family.xml").string()));
        GatheredFamily gathered;
        timed(fmt::format("{} boards gathered", count), [&] { gathered = gather(family, built_in_kinds()); });
        timed("  the history read", [&] { read_history(gathered); });
        fmt::print("  room taken so far at most: {} MB\n", kilobytes_at_most() / 1024);
        if (count < 500) continue;
        // Single comparisons read both files each time. Those as `compare` makes them seek a proof too, and are measured on fifty.
        for (bool prove : {false, true}) {
            const std::size_t singles = prove ? 50 : 500;
            int cost = 0, family_cost = 0;
            timed(fmt::format("{} single comparisons{}", singles, prove ? ", with their proofs" : ""), [&] {
                for (std::size_t i = 0; i < singles; ++i) {
                    Circuit drawing = read_circuit(read_file((folder.path() / "base.xml").string()), built_in_kinds());
                    CompareOptions options;
                    options.threads = 1;
                    options.prove = prove;
                    cost += compare(drawing, board_of(gathered.units[i], built_in_kinds()), options).cost;
                }
            });
            for (std::size_t i = 0; i < singles; ++i) family_cost += gathered.units[i].cost;
            fmt::print("  findings cost {} together; in the family {}\n", cost, family_cost);
        }
    }
}
