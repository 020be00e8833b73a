#include <catch2/catch.hpp>

#include "base/digest.h"
#include "draw/symbol.h"
#include "publish/svg.h"
#include "xml/read.h"

#include <cmath>
#include <set>

using namespace tallyboard;

namespace {

struct Named { std::string name; Symbol symbol; };

std::vector<std::string> pins_of(const Kind& kind, bool all) {
    std::vector<std::string> names;
    for (const KindPin& pin : kind.pins)
        if (all || !pin.may_be_left_out) names.push_back(pin.name);
    return names;
}

// Every kind of the format with every habit, pins drawn or left out; open kinds with several sets of pins.
std::vector<Named> all_symbols() {
    const KindTable& kinds = built_in_kinds();
    std::vector<Named> all;
    for (std::uint32_t i = 0; i < kinds.size(); ++i) {
        const KindId id{i};
        const Kind& kind = kinds[id];
        if (kind.pattern != PinPattern::fixed) continue;
        all.push_back({kind.name, symbol_for(kinds, id, pins_of(kind, true))});
        if (pins_of(kind, false).size() < kind.pins.size())
            all.push_back({kind.name + " without", symbol_for(kinds, id, pins_of(kind, false))});
        for (const Symbol& symbol : kind.symbols)
            if (!symbol.habit.empty()) all.push_back({kind.name + " " + symbol.habit, symbol_for(kinds, id, pins_of(kind, true), symbol.habit)});
    }
    const auto open = [&](const std::string& name, const std::string& kind, const std::vector<std::string>& pins) {
        all.push_back({name, symbol_for(kinds, kinds.find(kind).value(), pins)});
    };
    open("transformer", "transformer", {"p1", "p2", "s1", "s2"});
    open("output transformer", "transformer", {"p1", "p2", "p3", "s1", "s2"});
    open("mains transformer", "transformer", {"p1", "p2", "p3", "p4", "s1", "s2", "s3", "t1", "t2", "u1", "u2"});
    open("one winding", "transformer", {"p1", "p2", "p3"});
    open("selector", "selector", {"common", "1", "2", "3", "4", "5"});
    open("selector of none", "selector", {"common"});
    open("ic", "ic", {"in+", "in-", "bias", "v+", "v-", "out", "comp"});
    open("package", "ic", {"1", "2", "3", "4", "5", "6", "7", "8", "9"});
    open("long names", "ic", {"CLOCK_INPUT", "VCC", "GND", "VEE", "OUT1", "OUT2"});
    open("one pin", "ic", {"x"});
    return all;
}

std::vector<Turn> all_turns() {
    std::vector<Turn> turns;
    for (const bool flipped : {false, true})
        for (int quarter = 0; quarter < 4; ++quarter) turns.push_back({quarter, flipped});
    return turns;
}

// One symbol a row, in its eight orientations.
Sheet symbols_sheet() {
    Sheet sheet;
    double y = 10;
    for (const Named& named : all_symbols()) {
        Label label;
        label.text.text = named.name;
        label.text.at = {5, y};
        sheet.labels.push_back(label);
        double height = 10, x = 40;
        for (const Turn turn : all_turns()) {
            const Symbol symbol = turned(named.symbol, turn);
            const Box box = extent_of(symbol);
            PartFigure part;
            part.ref = named.name;
            part.items = symbol_items(symbol, {x - box.x * 2.5, y - box.y * 2.5}, 2.5);
            for (const SymbolPin& pin : symbol.pins)
                part.pins.push_back({pin.name, {x + (pin.x - box.x) * 2.5, y + (pin.y - box.y) * 2.5}});
            sheet.parts.push_back(std::move(part));
            x += box.w * 2.5 + 8;
            height = std::max(height, box.h * 2.5 + 8);
        }
        sheet.width = std::max(sheet.width, x);
        y += height;
    }
    sheet.height = y;
    return sheet;
}

}  // namespace

TEST_CASE("every kind of the format has a symbol with its pins on whole grid units") {
    const KindTable& kinds = built_in_kinds();
    for (const Named& named : all_symbols()) {
        INFO(named.name);
        CHECK_FALSE(named.symbol.shapes.empty());
        std::set<std::pair<double, double>> places;
        std::set<std::string> names;
        for (const SymbolPin& pin : named.symbol.pins) {
            INFO(pin.name);
            CHECK(pin.x == std::round(pin.x));
            CHECK(pin.y == std::round(pin.y));
            CHECK(places.insert({pin.x, pin.y}).second);
            CHECK(names.insert(pin.name).second);
            CHECK(std::string("lrud").find(pin.leaves) != std::string::npos);
        }
        if (const auto id = kinds.find(named.name))
            for (const KindPin& pin : kinds[*id].pins) CHECK(names.count(pin.name) == 1);
    }
}

TEST_CASE("a wire that leaves a pin does not run back through the symbol") {
    for (const Named& named : all_symbols()) {
        const Box box = extent_of(named.symbol);
        for (const SymbolPin& pin : named.symbol.pins) {
            INFO(named.name << " " << pin.name);
            const double dx = pin.leaves == 'l' ? -1 : pin.leaves == 'r' ? 1 : 0, dy = pin.leaves == 'u' ? -1 : pin.leaves == 'd' ? 1 : 0;
            // From the body's middle outwards: the pin lies on the side it leaves to.
            CHECK((pin.x - (box.x + box.w / 2)) * dx + (pin.y - (box.y + box.h / 2)) * dy > 0);
        }
    }
}

TEST_CASE("two-terminal parts lie alike: a at the left, b at the right, four units apart") {
    const KindTable& kinds = built_in_kinds();
    for (const std::string name : {"resistor", "capacitor", "inductor", "coil", "lamp", "neon", "fuse", "crystal", "ldr", "thermistor", "speaker",
                                   "head", "heater", "switch", "link", "electrolytic", "battery", "diode", "zener", "led"}) {
        INFO(name);
        const Symbol symbol = symbol_for(kinds, kinds.find(name).value(), {});
        REQUIRE(symbol.pins.size() == 2);
        CHECK(symbol.pins[0].x == -2);
        CHECK(symbol.pins[1].x == 2);
        CHECK(symbol.pins[0].y == 0);
        CHECK(symbol.pins[1].y == 0);
    }
}

TEST_CASE("a symbol is flipped left-right first and then turned anticlockwise") {
    CHECK(turned(2, 0, {1, false}) == std::pair(0.0, -2.0));   // right goes up
    CHECK(turned(2, 1, {0, true}) == std::pair(-2.0, 1.0));
    CHECK(turned(2, 0, {1, true}) == std::pair(0.0, 2.0));     // flipped to the left, then down
    CHECK(turned(3, 1, {2, false}) == std::pair(-3.0, -1.0));
    CHECK(turned(3, 1, {-1, false}) == turned(3, 1, {3, false}));
    const Symbol npn = symbol_for(built_in_kinds(), built_in_kinds().find("npn").value(), {});
    const Symbol on_its_side = turned(npn, {1, false});
    for (std::size_t i = 0; i < npn.pins.size(); ++i) {
        if (npn.pins[i].name == "base") CHECK(on_its_side.pins[i].leaves == 'd');
        if (npn.pins[i].name == "collector") CHECK(on_its_side.pins[i].leaves == 'l');
    }
}

TEST_CASE("turning keeps a symbol's size and arcs stay on the side of their pins") {
    for (const Named& named : all_symbols())
        for (const Turn turn : all_turns()) {
            INFO(named.name << " " << turn.quarter << " " << turn.flipped);
            Symbol bare = named.symbol;  // texts stay upright, so their boxes do not turn
            std::erase_if(bare.shapes, [](const SymbolShape& shape) { return std::holds_alternative<SymbolText>(shape); });
            const Box before = extent_of(bare), after = extent_of(turned(bare, turn));
            const bool lying = turn.quarter % 2;
            CHECK(after.w == Approx(lying ? before.h : before.w));
            CHECK(after.h == Approx(lying ? before.w : before.h));
            const auto corner = turned(before.x + before.w / 2, before.y + before.h / 2, turn);
            CHECK(after.x + after.w / 2 == Approx(corner.first).margin(1e-9));
            CHECK(after.y + after.h / 2 == Approx(corner.second).margin(1e-9));
        }
}

TEST_CASE("a pin left out takes its lead with it, and the third grid is tied inside") {
    const KindTable& kinds = built_in_kinds();
    const Symbol bare = symbol_for(kinds, kinds.find("opamp").value(), {"out", "in-", "in+"});
    const Symbol supplied = symbol_for(kinds, kinds.find("opamp").value(), {"out", "in-", "in+", "v-", "v+"});
    CHECK(bare.pins.size() == 3);
    CHECK(supplied.pins.size() == 5);
    CHECK(bare.shapes.size() + 2 == supplied.shapes.size());
    const Symbol four = symbol_for(kinds, kinds.find("pentode").value(), {"cathode", "grid", "screen", "anode"});
    const Symbol five = symbol_for(kinds, kinds.find("pentode").value(), {"cathode", "grid", "screen", "anode", "suppressor"});
    CHECK(four.pins.size() == 4);
    CHECK(five.pins.size() == 5);
}

TEST_CASE("a kind without a symbol is a box with its pins named") {
    KindTable kinds;
    Kind kind;
    kind.name = "valve-tester";
    for (const std::string name : {"in", "out", "ht", "0v"}) kind.pins.push_back({name, {}, false, PinRole::plain});
    kinds.set(kind);
    const Symbol box = symbol_for(kinds, KindId{0}, {"in", "out"});
    REQUIRE(box.pins.size() == 4);
    for (const SymbolPin& pin : box.pins) {
        if (pin.name == "in") CHECK(pin.leaves == 'l');
        if (pin.name == "out") CHECK(pin.leaves == 'r');
        if (pin.name == "ht") CHECK(pin.leaves == 'u');
        if (pin.name == "0v") CHECK(pin.leaves == 'd');
    }
    int names = 0;
    for (const SymbolShape& shape : box.shapes) names += std::holds_alternative<SymbolText>(shape);
    CHECK(names == 4);
}

// Looked at by eye; a change of any symbol must be looked at again before the digest is renewed:
//   test_publish "[.symbols]" writes symbols.svg into the folder it runs in.
TEST_CASE("all symbols in all orientations are as they were looked at") {
    CHECK(sha256(write_svg({symbols_sheet()})) == "977a283de8b99c0e5e49b862779e6eaee5ff697ba6744cee25fc7ab35e09c8f6");
}
TEST_CASE("write the sheet of symbols to look at", "[.symbols]") {
    std::FILE* file = std::fopen("symbols.svg", "wb");
    REQUIRE(file);
    const std::string svg = write_svg({symbols_sheet()}, {.title = "Symbols", .white_page = true});
    CHECK(std::fwrite(svg.data(), 1, svg.size(), file) == svg.size());
    std::fclose(file);
}
