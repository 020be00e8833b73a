// Whole commands. tests/cases/NAME/ holds inputs and a file `session`: a line `$ tallyboard …`, then what it prints: standard
// output as it is, standard error behind "! ", and "= N" where the exit status is not 0. Run with TALLYBOARD_UPDATE=1 to
// rewrite the expectations for review as a diff.
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <sys/wait.h>

#include "base/text.h"
#include "support/program.h"

namespace fs = std::filesystem;
using namespace tallyboard;

TEST_CASE("each session prints what its file says") {
    bool update = std::getenv("TALLYBOARD_UPDATE") != nullptr;
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(TALLYBOARD_SOURCE_DIR "/tests/cases"))
        if (fs::exists(entry.path() / "session")) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    REQUIRE(!folders.empty());
    for (const fs::path& folder : folders) {
        test::ScratchFolder scratch;
        fs::copy(folder, scratch.path(), fs::copy_options::recursive);
        std::string expected = test::file_bytes(folder / "session"), got;
        for (const std::string& line : split(expected, '\n')) {
            if (!line.starts_with("$ ")) continue;
            REQUIRE(line.starts_with("$ tallyboard "));
            test::Run run = test::run_program(line.substr(13), scratch.path());
            got += line + "\n" + run.output;
            if (!run.output.empty() && run.output.back() != '\n') got += "\n";
            std::vector<std::string> errors = split(run.errors, '\n');
            if (!errors.empty() && errors.back().empty()) errors.pop_back();
            for (const std::string& error : errors) got += "! " + error + "\n";
            if (run.status != 0) got += "= " + std::to_string(run.status) + "\n";
        }
        if (update) std::ofstream(folder / "session", std::ios::binary) << got;
        else {
            INFO(folder.filename().string());
            CHECK(got == expected);
        }
    }
}
