// What the commands say of inputs that would mislead if they were taken without a word.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "support/program.h"

namespace fs = std::filesystem;
using namespace tallyboard;

namespace {

// A folder with a follower of one transistor, with and without its supply, and a board whose R1 has drifted.
struct Bench : test::ScratchFolder {
    test::Run run(const std::string& words) const { return test::run_program(words, path()); }
    void write(const std::string& name, const std::string& root, const std::string& more) const {
        std::ofstream(path() / name) << "<" << root << " xmlns=\"urn:tallyboard:circuit:1\">\n"
                                     << "<part ref=\"Q1\" kind=\"npn\" model=\"BC109\" pins=\"c=V b=B e=E\"/><part ref=\"R2\" kind=\"resistor\" value=\"470k\" pins=\"B 0V\"/>\n"
                                     << "<part ref=\"R3\" kind=\"resistor\" value=\"2k2\" pins=\"E 0V\"/>\n"
                                     << more << "</" << root << ">\n";
    }
    Bench() {
        const std::string r1 = "<part ref=\"R1\" kind=\"resistor\" value=\"470k\" pins=\"V B\">", supply = "<setup><supply plus=\"V\" minus=\"0V\" voltage=\"9V\"/></setup>\n";
        write("d.xml", "circulated", r1 + "</part>\n" + supply);
        write("bare.xml", "circulated", r1 + "</part>\n");
        write("b.xml", "as-found", r1 + "<found marking=\"470k 10%\" measured=\"610k\" where=\"lifted\" status=\"original\"/></part>\n" + supply);
    }
};

}  // namespace

TEST_CASE("a circuit that needs a supply and has none is told so") {
    Bench bench;
    CHECK(bench.run("solve bare.xml").errors.find("bare.xml: warning: no supply is set up") == 0);
    CHECK(bench.run("explain bare.xml").errors.find("no supply is set up") != std::string::npos);
    CHECK(bench.run("solve d.xml").errors.empty());
}

TEST_CASE("a date that is none is refused before anything is written") {
    Bench bench;
    for (const char* command : {"compare d.xml b.xml --corrected out.xml --date yesterday", "publish d.xml b.xml -o out.pdf --date 2026-13-45 --draft",
                                "draw d.xml -o out.svg --date gestern"}) {
        INFO(command);
        test::Run run = bench.run(command);
        CHECK(run.status == 2);
        CHECK(run.errors.find("--date takes a day, month or year") != std::string::npos);
    }
    for (const char* file : {"out.xml", "out.pdf", "out.svg"}) CHECK(!fs::exists(bench.path() / file));
}

TEST_CASE("the trade's words for several kinds lead to the kinds") {
    Bench bench;
    bench.write("t.xml", "circulated", "<part ref=\"Q9\" kind=\"transistor\" pins=\"c=V b=B e=E\"/><part ref=\"V9\" kind=\"valve\" pins=\"V B E\"/>\n");
    test::Run run = bench.run("check t.xml");
    CHECK(run.errors.find("unknown kind \"transistor\"; write npn or pnp") != std::string::npos);
    CHECK(run.errors.find("unknown kind \"valve\"; write triode or pentode") != std::string::npos);
}
