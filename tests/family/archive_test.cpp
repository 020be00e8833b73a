#include "family/archive.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <unistd.h>

#include "support/mutate.h"
#include "support/program.h"
#include "support/random_circuits.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

Draft design(std::uint64_t seed) { return random_circuit(recipe_of_case(seed, 24)); }

void write_designs(const std::filesystem::path& folder, std::uint64_t count) {
    for (std::uint64_t seed = 1; seed <= count; ++seed)
        write_file((folder / ("design-" + std::to_string(seed) + ".xml")).string(), xml_text(design(seed), CircuitRole::drawing));
}

// Whoever may do everything takes on the rights of nobody for a while.
class WithoutRights {
public:
    WithoutRights() : was_(::geteuid()) { if (was_ == 0) REQUIRE(::seteuid(65534) == 0); }
    ~WithoutRights() { if (was_ == 0 && ::seteuid(0) != 0) std::abort(); }

private:
    uid_t was_;
};

}  // namespace

TEST_CASE("names, order and notation do not change a fingerprint") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        Draft drawn = design(seed);
        drawn.more.clear();
        Draft other = disguise(drawn, Disguise::references, seed);
        CHECK(fingerprint_of(read_draft(drawn, CircuitRole::drawing)) == fingerprint_of(read_draft(other, CircuitRole::drawing)));
    }
}

TEST_CASE("a board with three edits is found among forty designs") {
    ScratchFolder folder;
    write_designs(folder.path(), 40);
    Archive archive = open_archive(folder.path().string(), built_in_kinds());
    CHECK(archive.entries.size() == 40);
    for (std::uint64_t seed = 1; seed <= 40; seed += 3) {
        Draft drawn = design(seed);
        drawn.more.clear();
        Spoiled spoilt = spoil(drawn, {.edits = 3}, seed);
        std::vector<DesignMatch> matches = likely_designs(archive, read_draft(spoilt.board, CircuitRole::board), built_in_kinds());
        REQUIRE_FALSE(matches.empty());
        INFO("design " << seed);
        // Small designs may be as near to one another as three edits: then the one found is as good.
        bool found = matches.front().file == "design-" + std::to_string(seed) + ".xml";
        CHECK((found || matches.front().comparison.cost <= spoilt.cost));
    }
}

TEST_CASE("the index is used again, and read anew where a file changed, came or went") {
    ScratchFolder folder;
    write_designs(folder.path(), 5);
    auto open = [&] { return open_archive(folder.path().string(), built_in_kinds()); };
    CHECK(open().reread == 5);
    Archive again = open();
    CHECK(again.reread == 0);
    REQUIRE(again.entries.size() == 5);
    CHECK(again.entries[0].fingerprint == fingerprint_of(read_draft(design(1), CircuitRole::drawing)));

    write_file((folder.path() / "design-2.xml").string(), xml_text(design(7), CircuitRole::drawing));
    write_file((folder.path() / "design-9.xml").string(), xml_text(design(9), CircuitRole::drawing));
    std::filesystem::remove(folder.path() / "design-1.xml");
    Archive changed = open();
    CHECK(changed.reread == 2);
    REQUIRE(changed.entries.size() == 5);
    CHECK(changed.entries[0].fingerprint == fingerprint_of(read_draft(design(7), CircuitRole::drawing)));
    CHECK(open().reread == 0);

    std::filesystem::remove(folder.path() / archive_cache_name);
    CHECK(open().reread == 5);
}

TEST_CASE("a file that changed without a new time or size is noticed while the index is fresh") {
    ScratchFolder folder;
    write_designs(folder.path(), 1);
    std::filesystem::path path = folder.path() / "design-1.xml";
    open_archive(folder.path().string(), built_in_kinds());
    auto time = std::filesystem::last_write_time(path);
    std::string text = file_bytes(path);
    std::size_t at = text.find("resistor");
    REQUIRE(at != std::string::npos);
    text.replace(at, 8, "inductor");
    std::ofstream(path, std::ios::binary) << text;
    std::filesystem::last_write_time(path, time);
    CHECK(open_archive(folder.path().string(), built_in_kinds()).reread == 1);
}

TEST_CASE("a damaged index is told and made anew") {
    ScratchFolder folder;
    write_designs(folder.path(), 3);
    open_archive(folder.path().string(), built_in_kinds());
    std::filesystem::path cache = folder.path() / archive_cache_name;
    std::string bytes = file_bytes(cache);
    for (std::size_t at : {std::size_t{3}, bytes.size() / 2, bytes.size() - 2}) {
        std::string spoilt = bytes;
        spoilt[at] = spoilt[at] == 'x' ? 'y' : 'x';
        std::ofstream(cache, std::ios::binary) << spoilt;
        Archive archive = open_archive(folder.path().string(), built_in_kinds());
        CHECK(archive.reread == 3);
        REQUIRE(archive.remarks.size() == 1);
        CHECK(archive.remarks[0].find("damaged") != std::string::npos);
    }
}

TEST_CASE("a folder that cannot be written works without an index, which is told") {
    namespace fs = std::filesystem;
    ScratchFolder folder;
    write_designs(folder.path(), 3);
    for (const auto& file : fs::directory_iterator(folder.path())) fs::permissions(file.path(), fs::perms(0444));
    fs::permissions(folder.path(), fs::perms(0555));
    for (int again = 0; again < 2; ++again) {
        WithoutRights nobody;
        Archive archive = open_archive(folder.path().string(), built_in_kinds());
        CHECK(archive.entries.size() == 3);
        CHECK(archive.reread == 3);
        REQUIRE(archive.remarks.size() == 1);
        CHECK(archive.remarks[0].starts_with("the index is not kept"));
        Draft drawn = design(2);
        drawn.more.clear();
        std::vector<DesignMatch> matches = likely_designs(archive, read_draft(drawn, CircuitRole::board), built_in_kinds());
        REQUIRE_FALSE(matches.empty());
        CHECK(matches.front().file == "design-2.xml");
    }
    fs::permissions(folder.path(), fs::perms(0755));
    CHECK_FALSE(fs::exists(folder.path() / archive_cache_name));
    CHECK(open_archive(folder.path().string(), built_in_kinds()).remarks.empty());
}

TEST_CASE("a file that cannot be read is passed over and told, each time") {
    ScratchFolder folder;
    write_designs(folder.path(), 2);
    write_file((folder.path() / "broken.xml").string(), "<circulated xmlns=\"urn:tallyboard:circuit:1\"><part/></circulated>");
    for (int i = 0; i < 2; ++i) {
        Archive archive = open_archive(folder.path().string(), built_in_kinds());
        CHECK(archive.entries.size() == 2);
        REQUIRE(archive.remarks.size() == 1);
        CHECK(archive.remarks[0].starts_with("broken.xml is passed over"));
    }
}
