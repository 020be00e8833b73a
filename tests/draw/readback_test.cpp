#include <catch2/catch.hpp>

#include "draw/readback.h"

namespace tallyboard {
namespace {

using Nets = std::vector<std::vector<std::string>>;

PartFigure part(const std::string& ref, Point a, Point b) {
    PartFigure figure;
    figure.ref = figure.label = ref;
    figure.kind = "resistor";
    figure.box = {std::min(a.x, b.x), std::min(a.y, b.y) - 1, std::abs(a.x - b.x), std::abs(a.y - b.y) + 2};
    figure.pins = {{ref + ".a", a}, {ref + ".b", b}};
    return figure;
}
Wire wire(std::vector<Point> points) { return {std::move(points), {}}; }
Picture picture_of(Sheet sheet) {
    Picture picture;
    picture.sheets.push_back(std::move(sheet));
    picture.modules.push_back(1);
    return picture;
}

// R1 from x 0 to 10, R2 from 30 to 40, both at y 0.
Sheet two_parts() {
    Sheet sheet;
    sheet.parts = {part("R1", {0, 0}, {10, 0}), part("R2", {30, 0}, {40, 0})};
    return sheet;
}

}  // namespace

TEST_CASE("what ends at one point is one net") {
    Sheet sheet = two_parts();
    sheet.wires = {wire({{10, 0}, {20, 0}, {20, 5}}), wire({{20, 5}, {30, 5}, {30, 0}})};
    CHECK(nets_read_back({sheet}) == Nets{{"R1.a"}, {"R1.b", "R2.a"}, {"R2.b"}});
}

TEST_CASE("wires that cross are two nets, with a junction they are one") {
    Sheet sheet = two_parts();
    sheet.parts.push_back(part("R3", {20, -20}, {20, -10}));
    sheet.parts.push_back(part("R4", {20, 10}, {20, 20}));
    sheet.wires = {wire({{10, 0}, {30, 0}}), wire({{20, -10}, {20, 10}})};
    CHECK(nets_read_back({sheet}).size() == 6);
    CHECK(measure(picture_of(sheet)).crossings == 1);
    sheet.junctions.push_back({{20, 0}, 0.5, Ink::normal});
    CHECK(nets_read_back({sheet}) == Nets{{"R1.a"}, {"R1.b", "R2.a", "R3.b", "R4.a"}, {"R2.b"}, {"R3.a"}, {"R4.b"}});
}

TEST_CASE("a wire that ends on the inside of another joins it only where a junction stands") {
    Sheet sheet = two_parts();
    sheet.parts.push_back(part("R3", {20, 10}, {20, 20}));
    sheet.wires = {wire({{10, 0}, {30, 0}}), wire({{20, 10}, {20, 0}})};
    CHECK(nets_read_back({sheet}) == Nets{{"R1.a"}, {"R1.b", "R2.a"}, {"R2.b"}, {"R3.a"}, {"R3.b"}});
    sheet.junctions.push_back({{20, 0}, 0.5, Ink::normal});
    CHECK(nets_read_back({sheet}) == Nets{{"R1.a"}, {"R1.b", "R2.a", "R3.a"}, {"R2.b"}, {"R3.b"}});
}

TEST_CASE("ties of one name are one net, on all sheets") {
    Sheet one = two_parts(), two;
    one.ties = {{"0V", {}, {10, 0}, {}}, {"+9V", {}, {30, 0}, {}}};
    two.parts = {part("R3", {0, 0}, {10, 0})};
    two.ties = {{"0V", {}, {0, 0}, {}}};
    CHECK(nets_read_back({one, two}) == Nets{{"R1.a"}, {"R1.b", "R3.a"}, {"R2.a"}, {"R2.b"}, {"R3.b"}});
}

TEST_CASE("points that differ by less than a thousandth of a millimetre are one") {
    Sheet sheet = two_parts();
    sheet.wires = {wire({{10.0000001, 0}, {30, 0.0000001}})};
    CHECK(nets_read_back({sheet}).size() == 3);
    CHECK(measure(picture_of(sheet)).slanted == 0);
}

TEST_CASE("symbols, texts, ties and wires on one another are counted") {
    Sheet sheet = two_parts();
    CHECK(measure(picture_of(sheet)).faultless());
    SECTION("a wire through a symbol") {
        sheet.wires = {wire({{35, -10}, {35, 10}})};
        CHECK(measure(picture_of(sheet)).wires_through == 1);
    }
    SECTION("a wire that ends at its pin is none") {
        sheet.wires = {wire({{10, 0}, {30, 0}})};
        CHECK(measure(picture_of(sheet)).faultless());
    }
    SECTION("two symbols") {
        sheet.parts.push_back(part("R3", {5, 0}, {15, 0}));
        CHECK(measure(picture_of(sheet)).symbol_overlaps == 1);
    }
    SECTION("a text on a symbol and on a wire") {
        Label label;
        label.box = {8, -3, 6, 4};
        sheet.labels.push_back(label);
        CHECK(measure(picture_of(sheet)).label_overlaps == 1);
        sheet.wires = {wire({{10, 0}, {30, 0}})};
        CHECK(measure(picture_of(sheet)).label_overlaps == 2);
    }
    SECTION("a tie on a symbol") {
        sheet.ties.push_back({"0V", {35, -1, 2, 2}, {35, -1}, {}});
        CHECK(measure(picture_of(sheet)).tie_overlaps == 1);
    }
    SECTION("a slanted wire") {
        sheet.wires = {wire({{10, 0}, {30, 5}})};
        CHECK(measure(picture_of(sheet)).slanted == 1);
    }
}

TEST_CASE("bends, arms and lengths are counted in grid units") {
    Sheet sheet = two_parts();
    sheet.wires = {wire({{10, 0}, {20, 0}}), wire({{20, 0}, {20, 10}, {30, 10}}), wire({{20, 0}, {30, 0}}), wire({{20, 0}, {20, -10}})};
    Picture picture = picture_of(sheet);
    picture.modules[0] = 2.5;
    const Metrics m = measure(picture);
    CHECK(m.bends == 1);
    CHECK(m.four_arms == 1);
    CHECK(m.wire == Approx(50 / 2.5));
    CHECK(m.width == Approx(40 / 2.5));
}

TEST_CASE("steps count as right where the next device stands further right") {
    Sheet sheet = two_parts();
    Picture picture = picture_of(sheet);
    picture.steps = {{"R1", "R2"}, {"R2", "R1"}};
    CHECK(measure(picture).flow == Approx(0.5));
}

}  // namespace tallyboard
