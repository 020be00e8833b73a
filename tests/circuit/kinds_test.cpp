#include <catch2/catch.hpp>

#include <set>

#include "circuit/packages.h"
#include "circuit/symmetry.h"
#include "support/text_circuit.h"

using namespace tallyboard;
using test::board;
using test::drawing;

namespace {

// The allowed orders of a part's pins, each as the pin names in that order.
std::set<std::string> orders(const std::string& kind, std::vector<std::string> pins = {}) {
    const KindTable& kinds = built_in_kinds();
    KindId id = *kinds.find(kind);
    if (pins.empty())
        for (const KindPin& pin : kinds[id].pins) pins.push_back(pin.name);
    std::set<std::string> out;
    for (const auto& order : allowed_orders(kinds, id, pins)) {
        std::string words;
        for (std::uint32_t i : order) words += (words.empty() ? "" : " ") + pins[i];
        out.insert(words);
    }
    return out;
}

std::string package_error(const std::string& children) {
    try {
        board(children);
    } catch (const InputError& error) {
        return error.diagnostics().front().message;
    }
    return "";
}

}  // namespace

TEST_CASE("the kinds the format lists are built in, with their pins") {
    const std::pair<std::string, std::string> table[] = {
        {"resistor", "a b"}, {"capacitor", "a b"}, {"inductor", "a b"}, {"coil", "a b"}, {"lamp", "a b"}, {"neon", "a b"}, {"fuse", "a b"},
        {"crystal", "a b"}, {"ldr", "a b"}, {"thermistor", "a b"}, {"speaker", "a b"}, {"head", "a b"}, {"heater", "a b"}, {"switch", "a b"},
        {"link", "a b"}, {"electrolytic", "plus minus"}, {"battery", "plus minus"}, {"diode", "anode cathode"}, {"zener", "anode cathode"},
        {"led", "anode cathode"}, {"bridge", "ac1 ac2 plus minus"}, {"potentiometer", "ccw wiper cw"}, {"trimmer", "ccw wiper cw"},
        {"npn", "emitter base collector"}, {"pnp", "emitter base collector"}, {"njfet", "source gate drain"}, {"pjfet", "source gate drain"},
        {"nmos", "source gate drain"}, {"pmos", "source gate drain"}, {"triode", "cathode grid anode"},
        {"pentode", "cathode grid screen anode suppressor"}, {"opamp", "out in- in+ v- v+"}, {"dual-opamp", "1 2 3 4 5 6 7 8"},
        {"quad-opamp", "1 2 3 4 5 6 7 8 9 10 11 12 13 14"}, {"twin-triode", "1 2 3 4 5 6 7 8 9"}, {"transformer", ""},
        {"changeover", "common a b"}, {"selector", "common"}, {"jack", "tip sleeve"}, {"jack-stereo", "tip ring sleeve"},
        {"jack-break", "tip break sleeve"}, {"terminal", "a"}, {"testpoint", "a"}, {"ic", ""}};
    for (const auto& [name, pins] : table) {
        INFO(name);
        auto id = built_in_kinds().find(name);
        REQUIRE(id);
        std::string own;
        for (const KindPin& pin : built_in_kinds()[*id].pins) own += (own.empty() ? "" : " ") + pin.name;
        CHECK(own == pins);
    }
}

TEST_CASE("type numbers agree in another writing, as synonyms, and with a suffix on the found one") {
    const KindTable& kinds = built_in_kinds();
    CHECK(kinds.same_type("BC109", "bc 109"));
    CHECK(kinds.same_type("BC109", "BC109C"));
    CHECK(kinds.same_type("TL072", "TL-072CP"));
    CHECK(kinds.same_type("ECC83", "12AX7"));
    CHECK(kinds.same_type("ECC83", "12AX7WA"));
    CHECK(kinds.same_type("12ax7", "ECC 83"));
    CHECK_FALSE(kinds.same_type("2N390", "2N3904"));
    CHECK_FALSE(kinds.same_type("BC109C", "BC109"));
    CHECK_FALSE(kinds.same_type("ECC83", "ECC82"));
    CHECK_FALSE(kinds.same_type("ECC83", "12AX70"));
    CHECK_FALSE(kinds.same_type("", "BC109"));
}

TEST_CASE("pins that may be exchanged make the orders they should") {
    CHECK(orders("resistor") == std::set<std::string>{"a b", "b a"});
    CHECK(orders("npn").size() == 1);
    CHECK(orders("bridge") == std::set<std::string>{"ac1 ac2 plus minus", "ac2 ac1 plus minus"});
    CHECK(orders("dual-opamp") == std::set<std::string>{"1 2 3 4 5 6 7 8", "7 6 5 4 3 2 1 8"});
    CHECK(orders("quad-opamp").size() == 24);
    CHECK(orders("twin-triode") == std::set<std::string>{"1 2 3 4 5 6 7 8 9", "6 7 8 4 5 1 2 3 9", "1 2 3 5 4 6 7 8 9", "6 7 8 5 4 1 2 3 9"});
    CHECK(orders("transformer", {"s1", "p1", "p2", "p3", "s2"}) == std::set<std::string>{"s1 p1 p2 p3 s2", "s2 p3 p2 p1 s1"});
    CHECK(orders("changeover") == std::set<std::string>{"common a b", "common b a"});
    CHECK(orders("selector", {"common", "1", "2"}).size() == 1);
    CHECK(orders("ic", {"1", "2", "3"}).size() == 1);
}

TEST_CASE("sections of a package are put together in the smallest whole that holds them") {
    Circuit c = board("<part ref='IC1A' package='IC1' kind='opamp' pins='out=A in-=B in+=C v+=P v-=N'/>"
                      "<part ref='IC1B' package='IC1' kind='opamp' pins='out=D in-=E in+=F'/>");
    auto packages = packages_of(c);
    REQUIRE(packages.size() == 1);
    REQUIRE(packages[0].holders.size() == 2);
    CHECK(c.kinds[packages[0].holders[0]].name == "dual-opamp");
    auto whole = assemble(c, packages[0].members, packages[0].holders[0]);
    REQUIRE(whole);
    std::string nets;
    for (const WholePin& pin : *whole) nets += c[pin.net].name;
    CHECK(nets == "ABCNFEDP");
    auto sections = sections_of(c);
    REQUIRE(sections.size() == 2);
    CHECK(c[sections[1].pins[4].net].name == "P");
    CHECK(sections[1].pins[4].from == PinId{PartId{0}, 4});
    CHECK(sections[1].ref == "IC1B");
}

TEST_CASE("three op-amp sections are held by a quad alone") {
    Circuit c = board("<part ref='IC1A' package='IC1' kind='opamp'/><part ref='IC1B' package='IC1' kind='opamp'/>"
                      "<part ref='IC1C' package='IC1' kind='opamp'/><part ref='R1A' package='RN1' kind='resistor'/>");
    auto packages = packages_of(c);
    REQUIRE(packages.size() == 1);
    REQUIRE(packages[0].holders.size() == 1);
    CHECK(c.kinds[packages[0].holders[0]].name == "quad-opamp");
}

TEST_CASE("one heater is 4 and 5; two are 4 to 9 and 9 to 5, whichever way round they are written") {
    std::string triodes = "<part ref='V1A' package='V1' kind='triode' pins='k=K g=G a=A'/>";
    auto nets_of = [](const Circuit& c) {
        auto package = packages_of(c).front();
        auto whole = assemble(c, package.members, package.holders.front());
        REQUIRE(whole);
        std::string out;
        for (int pin : {3, 4, 8}) out += (*whole)[pin].state == PinState::traced ? c[(*whole)[pin].net].name : "?";
        return out;
    };
    CHECK(nets_of(board(triodes + "<part ref='V1H' package='V1' kind='heater' pins='X Y'/>")) == "XY?");
    CHECK(nets_of(board(triodes + "<part ref='V1H' package='V1' kind='heater' pins='X M'/>"
                                  "<part ref='V1J' package='V1' kind='heater' pins='M Y'/>")) == "XYM");
    CHECK(nets_of(board(triodes + "<part ref='V1H' package='V1' kind='heater' pins='M X'/>"
                                  "<part ref='V1J' package='V1' kind='heater' pins='M Y'/>")) == "XYM");
    CHECK(package_error(triodes + "<part ref='V1H' package='V1' kind='heater' pins='X M'/>"
                                  "<part ref='V1J' package='V1' kind='heater' pins='L Y'/>")
              .find("the package V1 is given two ways") == 0);
}

TEST_CASE("a whole package splits into its sections, heaters only where they are wired") {
    Circuit c = drawing("<part ref='IC1' kind='dual-opamp' pins='A B C N F E D P'/>"
                        "<part ref='V1' kind='twin-triode' pins='1=A 2=B 3=C 6=D 7=E 8=F'/>"
                        "<part ref='V2' kind='twin-triode' pins='1=A 2=B 3=C 6=D 7=E 8=F 4=H 5=J'/>"
                        "<part ref='V3' kind='twin-triode' pins='1=A 2=B 3=C 6=D 7=E 8=F 4=H 5=H 9=J'/>"
                        "<part ref='R1' kind='resistor' fit='no' pins='A B'/>");
    std::string refs;
    for (const Section& section : sections_of(c)) refs += section.ref + ":" + c.kinds[section.kind].name + " ";
    CHECK(refs == "IC1A:opamp IC1B:opamp V1A:triode V1B:triode V2A:triode V2B:triode V2C:heater "
                  "V3A:triode V3B:triode V3C:heater V3D:heater ");
    CHECK(section_letters(0) == "A");
    CHECK(section_letters(25) == "Z");
    CHECK(section_letters(26) == "AA");
}
