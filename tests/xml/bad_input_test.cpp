#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <set>

#include "base/file.h"
#include "support/program.h"
#include "xml/csv.h"
#include "xml/read.h"

using namespace tallyboard;

namespace {

namespace fs = std::filesystem;

const fs::path folder = TALLYBOARD_SOURCE_DIR "/tests/bad-input";

// Reads a file as its name asks: NAME.drawing.xml and NAME.board.xml where that side is wanted, NAME.csv as a drawing's table, the
// others as whatever their root says.
void read_as_named(const SourceText& text) {
    const std::string& name = text.name();
    if (name.ends_with(".csv")) read_csv(text, CircuitRole::drawing, built_in_kinds());
    else if (name.ends_with(".drawing.xml")) read_circuit(text, built_in_kinds(), CircuitRole::drawing);
    else if (name.ends_with(".board.xml")) read_circuit(text, built_in_kinds(), CircuitRole::board);
    else {
        std::string root = root_of(text);
        KindTable kinds = built_in_kinds();
        std::vector<Device> devices;
        if (root == "review") read_review(text);
        else if (root == "family") read_family(text);
        else if (root == "kinds") add_kinds(text, kinds);
        else if (root == "devices") add_devices(text, devices);
        else read_circuit(text, kinds);
    }
}

std::string told_of(const fs::path& path) {
    try {
        read_as_named(SourceText(path.filename().string(), test::file_bytes(path)));
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error\n";
}

std::set<fs::path> bad_files() {
    std::set<fs::path> files;
    for (const auto& entry : fs::directory_iterator(folder))
        if (entry.path().extension() != ".expected") files.insert(entry.path());
    return files;
}

}  // namespace

// TALLYBOARD_UPDATE=1 in the environment writes the expectations anew, for review as a diff.
TEST_CASE("each bad file is told in exactly these words") {
    bool update = std::getenv("TALLYBOARD_UPDATE") != nullptr;
    std::size_t count = 0;
    for (const fs::path& path : bad_files()) {
        fs::path expected = path;
        expected += ".expected";
        std::string told = told_of(path);
        INFO(path.filename().string());
        CHECK(told != "no error\n");
        if (update) std::ofstream(expected, std::ios::binary) << told;
        else CHECK(told == test::file_bytes(expected));
        ++count;
    }
    CHECK(count >= 60);
}

TEST_CASE("what is no readable file is told by its path") {
    test::ScratchFolder scratch;
    auto told = [](const std::string& path) {
        try {
            read_file(path);
        } catch (const CommandError& error) {
            return std::string(error.what());
        }
        return std::string("no error");
    };
    std::string missing = (scratch.path() / "t13.xml").string(), dir = scratch.path().string();
    CHECK(told(missing) == missing + ": error: cannot be read: no such file");
    CHECK(told(dir) == dir + ": error: is a folder; name a file in it");
    CHECK(told("/dev/null") == "/dev/null: error: is a device or pipe, not a file; use - to read standard input");
}
