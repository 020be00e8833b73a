// Every output twice, the second time with another number of threads, place and language: the same bytes.
#include <catch2/catch.hpp>
#include <filesystem>
#include <map>
#include <string>

#include "support/program.h"

namespace fs = std::filesystem;
using namespace tallyboard;

namespace {

const fs::path samples = TALLYBOARD_SOURCE_DIR "/samples";

// What a run of every command leaves behind: what it printed, by the command's words, and its files by name.
std::map<std::string, std::string> outputs(const std::string& threads, const std::string& environment) {
    test::ScratchFolder scratch;
    for (const char* folder : {"tern-t12", "plover-family"}) fs::copy(samples / folder, scratch.path(), fs::copy_options::recursive);
    const std::string pair = "tern-t12.drawing.xml tern-t12-00731.board.xml ", drawn = " --draft --threads " + threads;
    const std::string commands[] = {
        "check tern-t12.drawing.xml tern-t12-00731.board.xml",
        "convert tern-t12.drawing.xml -o parts.csv",
        "compare " + pair + "--json --threads " + threads,
        "compare " + pair + "--corrected corrected.xml --review tern-t12-00731.review.xml",
        "compare " + pair + "--graph pairing.svg",
        "compare " + pair + "--graph pairing.dot",
        "review " + pair + "--review decisions.xml",
        "draw tern-t12.drawing.xml -o sheet.svg" + drawn,
        "draw tern-t12.drawing.xml -o sheet.pdf" + drawn,
        "publish " + pair + "--review tern-t12-00731.review.xml -o pack.pdf" + drawn,
        "arrange tern-t12.drawing.xml -o arranged.xml" + drawn,
        "solve tern-t12-00731.board.xml --json",
        "solve tern-t12.drawing.xml -o plot.svg",
        "solve tern-t12.drawing.xml -o plot.pdf",
        "expect tern-t12-00731.board.xml -o probe.pdf",
        "explain tern-t12-00731.board.xml --json",
        "trace tern-t12-00731.board.xml --drawing tern-t12.drawing.xml --sheet check.pdf",
        "family plover-p6.family.xml --csv table.csv -o variants.pdf --threads " + threads,
        "identify plover-p6-0112.board.xml --family plover-p6.family.xml --json",
    };
    std::map<std::string, std::string> out;
    for (const std::string& command : commands) {
        INFO(command);
        test::Run run = test::run_program(command, scratch.path(), "", environment);
        CHECK(run.status < 2);
        out[command.substr(0, command.find(" --threads"))] = run.output + run.errors;
    }
    for (const auto& entry : fs::directory_iterator(scratch.path()))
        if (entry.is_regular_file()) out[entry.path().filename().string()] = test::file_bytes(entry.path());
    return out;
}

}  // namespace

TEST_CASE("every output is the same bytes again, with other threads, in another folder, language and time zone") {
    const auto once = outputs("1", "LC_ALL=C TZ=UTC"), again = outputs("4", "LC_ALL=de_DE.UTF-8 TZ=Asia/Tokyo");
    CHECK(once.size() > 30);
    for (const auto& [name, bytes] : once) {
        INFO(name);
        REQUIRE(again.count(name) == 1);
        CHECK((bytes == again.at(name)));
    }
    CHECK(once.size() == again.size());
}
