#include <catch2/catch.hpp>

#include <filesystem>
#include <string>
#include <sys/stat.h>
#include <unistd.h>

#include "base/diagnostic.h"
#include "base/file.h"

using namespace tallyboard;
namespace fs = std::filesystem;

namespace {

// A folder of its own for each test, gone afterwards.
struct Folder {
    fs::path path;
    Folder() {
        std::string name = (fs::temp_directory_path() / "tallyboard-base-XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()));
        path = name;
    }
    ~Folder() { fs::remove_all(path); }
    std::string operator/(const char* name) const { return (path / name).string(); }
};

}  // namespace

TEST_CASE("what is written is read back, byte for byte") {
    const Folder folder;
    const std::string bytes("a\0b\r\n\xFF", 6);
    write_file(folder / "a.xml", bytes);
    CHECK(read_file(folder / "a.xml").bytes() == bytes);
    CHECK(read_file(folder / "a.xml").name() == folder / "a.xml");
    write_file(folder / "a.xml", "new");
    CHECK(read_file(folder / "a.xml").bytes() == "new");
    // Nothing is left lying about.
    CHECK(std::distance(fs::directory_iterator(folder.path), fs::directory_iterator{}) == 1);
}

TEST_CASE("a file keeps its permissions and its link when it is rewritten") {
    const Folder folder;
    write_file(folder / "real.xml", "old");
    ::chmod((folder / "real.xml").c_str(), 0640);
    fs::create_symlink("real.xml", folder.path / "link.xml");
    write_file(folder / "link.xml", "new");
    CHECK(fs::is_symlink(folder.path / "link.xml"));
    CHECK(read_file(folder / "real.xml").bytes() == "new");
    CHECK((fs::status(folder / "real.xml").permissions() & fs::perms::all) == fs::perms(0640));
}

TEST_CASE("paths that name no file are refused in words") {
    const Folder folder;
    const auto why = [](auto&& action) -> std::string {
        try {
            action();
        } catch (const CommandError& error) {
            return error.what();
        }
        return "";
    };
    const auto has = [](const std::string& text, const char* word) {
        INFO(text);
        CHECK(text.find(word) != std::string::npos);
    };
    has(why([&] { read_file(folder / "none.xml"); }), "no such file");
    has(why([&] { read_file(folder.path.string()); }), "is a folder");
    has(why([&] { read_file("/dev/null"); }), "device");
    has(why([&] { write_file(folder / "none/a.xml", ""); }), "there is no folder");
    has(why([&] { write_file(folder.path.string(), ""); }), "is a folder");
    has(why([&] { write_file("", ""); }), "empty");
    write_file(folder / "big.xml", std::string(2000, 'x'));
    has(why([&] { read_file(folder / "big.xml", 1000); }), "is larger");
}

TEST_CASE("a path in a file is relative to that file") {
    CHECK(path_beside("/a/b.xml", "c.xml") == "/a/c.xml");
    CHECK(path_beside("/a/b.xml", "../c.xml") == "/c.xml");
    CHECK(path_beside("b.xml", "c.xml") == "c.xml");
    CHECK(path_beside("/a/b.xml", "/c.xml") == "/c.xml");
}
