// The corpus of bad files through the whole program: the words of the reader, exit status 2, nothing printed, nothing written.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <set>

#include "support/program.h"

namespace fs = std::filesystem;
using namespace tallyboard;

namespace {

const std::string drawing =
    R"(<circulated xmlns="urn:tallyboard:circuit:1"><part ref="R1" kind="resistor" value="1k" pins="A B"/></circulated>)";
const std::string board = R"(<as-found xmlns="urn:tallyboard:circuit:1"><part ref="R1" kind="resistor" value="1k" pins="A B"/></as-found>)";

// The commands that read a file of this name, each of which would write `kept`.
std::vector<std::string> commands_on(const std::string& file) {
    if (file.ends_with(".csv")) return {"convert " + file + " -o kept.pdf"};
    if (file.ends_with(".drawing.xml")) return {"compare " + file + " board.xml --corrected kept", "publish " + file + " board.xml -o kept.pdf"};
    if (file.ends_with(".board.xml")) return {"compare drawing.xml " + file + " --corrected kept", "publish drawing.xml " + file + " -o kept.pdf"};
    return {"check " + file};
}

}  // namespace

TEST_CASE("each bad file stops the program with its words and status 2, and nothing is written") {
    const fs::path corpus = TALLYBOARD_SOURCE_DIR "/tests/bad-input";
    test::ScratchFolder scratch;
    auto write = [&](const std::string& name, const std::string& text) { std::ofstream(scratch.path() / name, std::ios::binary) << text; };
    write("drawing.xml", drawing);
    write("board.xml", board);
    std::size_t count = 0;
    for (const auto& entry : fs::directory_iterator(corpus)) {
        if (entry.path().extension() == ".expected") continue;
        std::string file = entry.path().filename().string(), words = test::file_bytes(entry.path());
        fs::copy_file(entry.path(), scratch.path() / file);
        for (const std::string& command : commands_on(file)) {
            INFO(command);
            write("kept", "what stood here before\n");
            test::Run run = test::run_program(command, scratch.path());
            CHECK(run.status == 2);
            CHECK(run.output.empty());
            CHECK(run.errors == test::file_bytes(entry.path().string() + ".expected"));
            CHECK(test::file_bytes(scratch.path() / "kept") == "what stood here before\n");
            CHECK(test::file_bytes(scratch.path() / file) == words);
        }
        ++count;
    }
    CHECK(count >= 60);
    std::set<std::string> left;
    for (const auto& entry : fs::directory_iterator(scratch.path())) left.insert(entry.path().filename().string());
    CHECK(left.size() == count + 3);  // no temporary files stay behind
}

TEST_CASE("an output that cannot be written is told, and what stands there stays whole") {
    test::ScratchFolder scratch;
    std::ofstream(scratch.path() / "drawing.xml") << drawing;
    std::ofstream(scratch.path() / "board.xml") << board;
    fs::create_directory(scratch.path() / "folder");
    for (const char* command : {"compare drawing.xml board.xml --corrected folder", "convert drawing.xml -o folder",
                                "compare drawing.xml board.xml --corrected nowhere/out.xml", "draw drawing.xml -o nowhere/out.svg",
                                "publish drawing.xml board.xml -o nowhere/out.pdf", "compare drawing.xml board.xml --corrected board.xml"}) {
        INFO(command);
        test::Run run = test::run_program(command, scratch.path());
        CHECK(run.status == 2);
        CHECK(run.errors.find(": error: ") != std::string::npos);
        CHECK(std::count(run.errors.begin(), run.errors.end(), '\n') == 1);
        CHECK(test::file_bytes(scratch.path() / "board.xml") == board);
        CHECK(fs::is_empty(scratch.path() / "folder"));
    }
}
