// A part measured off what is marked is the specimen's matter: drift, told at no cost.
#include <catch2/catch.hpp>

#include "compare/compared.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// The stage with R3 (4k7) measured so; further attributes of the part, children of the root.
std::string measured(const std::string& reading, const std::string& more = "", const std::string& root = "") {
    return root + with(stage, R"(value="4k7" pins="V C"/>)", "value=\"4k7\" " + more + " pins=\"V C\"><found " + reading + "/></part>");
}

}  // namespace

TEST_CASE("a resistor lifted and measured beyond its tolerance has drifted") {
    CHECK(told(stage, measured("measured='6k1' where='lifted'", "tol='10%'")) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='3k9' where='lifted'", "tol='10%'")) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='5k1' where='lifted'", "tol='10%'")) == "= 0");
    CHECK(compared(stage, measured("measured='6k1' where='lifted'")).agree);
}

TEST_CASE("drift is told against a marking only where there is one") {
    const auto says = [](const std::string& found) { return compared(stage, found).findings.front().says; };
    CHECK(says(measured("measured='6k1' where='lifted'")).find("R3 is 4k7 and measured 6.1") == 0);
    const std::string marked = with(stage, R"(value="4k7" pins="V C"/>)", R"(pins="V C"><found marking="yellow violet red silver" measured="6k1" where="lifted"/></part>)");
    CHECK(says(marked).find("R3 is marked yellow violet red silver and measured 6.1") == 0);
}

TEST_CASE("in circuit only a resistance above the upper limit counts") {
    CHECK(told(stage, measured("measured='3k3' where='in'")) == "= 0");
    CHECK(told(stage, measured("measured='3k3'")) == "= 0");
    CHECK(told(stage, measured("measured='6k1' where='in'")) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='6k1'")) == "drift@R3 = 0");
}

TEST_CASE("in circuit nothing but a resistance counts") {
    const std::string c3 = R"(value="1u" pins="C OUT"/>)";
    CHECK(told(stage, with(stage, c3, R"(value="1u" pins="C OUT"><found measured="2u2"/></part>)")) == "= 0");
    CHECK(told(stage, with(stage, c3, R"(value="1u" pins="C OUT"><found measured="2u2" where="out"/></part>)")) == "drift@C3 = 0");
}

TEST_CASE("without any tolerance the unit's date decides") {
    const auto made = [](const char* year) { return "<about><made>" + std::string(year) + "</made></about>"; };
    CHECK(told(stage, measured("measured='5k1' where='out'")) == "= 0");                                 // undated: 10 %
    CHECK(told(stage, measured("measured='5k3' where='out'")) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='5k1' where='out'", "", made("1975"))) == "drift@R3 = 0");      // 5 %
    CHECK(told(stage, measured("measured='5k1' where='out'", "", made("1965"))) == "= 0");               // 10 %
    CHECK(told(stage, measured("measured='5k5' where='out'", "", made("1950"))) == "= 0");               // 20 %
}

TEST_CASE("the board's tolerance comes before its marking's, its defaults, and the drawing's") {
    const std::string wide = "<defaults resistor-tol='20%'/>";
    CHECK(told(stage, measured("measured='5k5' where='out'", "tol='5%'", wide)) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='5k5' where='out' marking='yellow violet red silver'", "", wide)) == "drift@R3 = 0");
    CHECK(told(stage, measured("measured='5k5' where='out'", "", wide)) == "= 0");
    CHECK(told(with(stage, "\"4k7\"", "\"4k7\" tol=\"20%\""), measured("measured='5k5' where='out'")) == "= 0");
    CHECK(told("<defaults resistor-tol='20%'/>" + stage, measured("measured='5k5' where='out'")) == "= 0");
    CHECK(told(with(stage, "\"4k7\"", "\"4k7\" tol=\"20%\""), measured("measured='5k5' where='out'", "", "<defaults resistor-tol='5%'/>")) ==
          "drift@R3 = 0");
}

TEST_CASE("the meter's error widens the tolerance") {
    const std::string meter = "<bench><meter id='dmm' error='5%'/></bench>";
    CHECK(told(stage, measured("measured='5k3' where='out' meter='dmm'", "tol='10%'", meter)) == "= 0");
    CHECK(told(stage, measured("measured='5k3' where='out'", "tol='10%'", meter)) == "drift@R3 = 0");
}

TEST_CASE("electrolytics may be 80 percent above and 20 below") {
    const auto electrolytic = [](const char* reading) {
        return with(stage, R"(value="47u" pins="plus=E minus=0V"/>)", std::string(R"(value="47u" pins="plus=E minus=0V"><found where="out" measured=")") + reading + "\"/></part>");
    };
    CHECK(told(stage, electrolytic("80u")) == "= 0");
    CHECK(told(stage, electrolytic("90u")) == "drift@C2 = 0");
    CHECK(told(stage, electrolytic("39u")) == "= 0");
    CHECK(told(stage, electrolytic("33u")) == "drift@C2 = 0");
}

TEST_CASE("a marking is the value where none is written, a measurement never is") {
    const auto found = [](const std::string& reading) {
        return with(stage, R"(value="4k7" pins="V C"/>)", R"(pins="V C"><found )" + reading + "/></part>");
    };
    CHECK(told(stage, found("marking='yellow violet red gold'")) == "= 0");
    CHECK(told(stage, found("marking='green blue red gold'")) == "value@R3 = 1");
    CHECK(told(stage, found("measured='5k6' where='out'")) == "unverified@R3 = 0");
}
