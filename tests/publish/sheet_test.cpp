#include <catch2/catch.hpp>

#include "draw/furniture.h"
#include "publish/pdf.h"
#include "publish/svg.h"
#include "publish/tools.h"

#include <pugixml.hpp>

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

SheetFields full_fields() {
    SheetFields fields;
    fields.owner = "Bench of A. Nother";
    fields.number = "T-12-SCH-1";
    fields.title = "Tern T-12 replay amplifier";
    fields.supplementary = "Oakhollow Audio Works, no. 00731, 1972?";
    fields.date = "2026-03-04";
    fields.creator = "A. Nother";
    fields.redrawn_from = "service sheet 12, a third copy";
    fields.revision = "A";
    fields.digest = std::string(64, 'e');
    for (int i = 1; i <= 3; ++i)
        fields.revisions.push_back({std::to_string(i), "B3", "R" + std::to_string(i) + " was 220k, found 180k", "2026-03-02", ""});
    fields.notes = {"All resistors in ohms, unless marked."};
    fields.cautions = {"Hazardous voltage: 310 V on net HT."};
    fields.legend = {"value", "missing"};
    return fields;
}

// A divider with a tie, a junction, labels and a mark.
Sheet small_sheet() {
    Sheet sheet;
    sheet.title = "Divider & friends";
    SheetFields fields = full_fields();
    add_furniture(sheet, paper_named("A4"), fields, 1, 1);
    PartFigure part;
    part.ref = "R1";
    part.kind = "resistor";
    part.box = {95, 98, 10, 4};
    part.pins = {{"R1.a", {95, 100}}, {"R1.b", {105, 100}}};
    part.items.push_back(Line{{{97, 99}, {103, 99}, {103, 101}, {97, 101}}, {0.3, Ink::normal, Dash::solid}, true, {}});
    sheet.parts.push_back(part);
    sheet.wires.push_back({{{105, 100}, {120, 100}, {120, 110}}, {}});
    sheet.wires.push_back({{{110, 100}, {110, 130}}, {0.55, Ink::added, Dash::solid}});
    sheet.junctions.push_back({{110, 100}});
    sheet.ties.push_back({"0V", {117, 110, 6, 5}, {120, 110}, {Line{{{118, 111}, {122, 111}}, {}, false, {}}}});
    Label label;
    label.text.at = {98, 96};
    label.text.text = "R1 <47k> µΩ± \u21924k7";
    label.box = {98, 93, 20, 4};
    label.struck = true;
    sheet.labels.push_back(label);
    for (int i = 1; i <= 3; ++i) sheet.anchors.push_back({"mark " + std::to_string(i), {100, 100}});
    return sheet;
}

int count(const std::string& text, const std::string& piece) {
    int n = 0;
    for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece, at + 1)) ++n;
    return n;
}

}  // namespace

TEST_CASE("an SVG says its parts, pins, wires, ties, junctions and labels as the format does") {
    const std::string svg = write_svg({small_sheet()});
    pugi::xml_document document;
    REQUIRE(document.load_string(svg.c_str()));
    const pugi::xml_node root = document.document_element();
    CHECK(std::string(root.attribute("viewBox").value()) == "0 0 297 210");
    CHECK(svg.find("transform") == std::string::npos);
    const auto one = [&](const char* path) { return root.select_node(path).node(); };
    const pugi::xml_node part = one("//*[@class='part']");
    CHECK(std::string(part.name()) == "g");
    CHECK(std::string(part.attribute("data-ref").value()) == "R1");
    CHECK(std::string(part.attribute("data-kind").value()) == "resistor");
    CHECK(std::string(part.attribute("data-box").value()) == "95 98 10 4");
    CHECK(root.select_nodes("//*[@class='part']/*[@class='pin']").size() == 2);
    const pugi::xml_node pin = one("//*[@data-pin='R1.b']");
    CHECK(std::string(pin.attribute("cx").value()) == "105");
    CHECK(std::string(pin.attribute("cy").value()) == "100");
    CHECK(std::string(pin.attribute("r").value()) == "0");
    CHECK(root.select_nodes("//*[@class='wire']").size() == 2);
    CHECK(std::string(one("//*[@class='wire']").attribute("points").value()) == "105,100 120,100 120,110");
    CHECK(std::string(one("//*[@class='tie']").attribute("data-net").value()) == "0V");
    CHECK(root.select_nodes("//*[@class='tie']/*[@class='pin']").size() == 1);
    CHECK(std::string(one("//*[@class='junction']").attribute("cx").value()) == "110");
    const pugi::xml_node label = one("//*[@class='label']");
    CHECK(std::string(label.name()) == "text");
    CHECK(std::string(label.attribute("data-box").value()) == "98 93 20 4");
    CHECK(std::string(label.child_value()) == "R1 <47k> µΩ± →4k7");
}

TEST_CASE("sheets stand one below the other in one viewBox") {
    const std::string svg = write_svg({small_sheet(), small_sheet()});
    pugi::xml_document document;
    REQUIRE(document.load_string(svg.c_str()));
    CHECK(std::string(document.document_element().attribute("viewBox").value()) == "0 0 297 430");
    const auto pins = document.select_nodes("//*[@data-pin='R1.a']");
    REQUIRE(pins.size() == 2);
    CHECK(std::string(pins[1].node().attribute("cy").value()) == "320");
}

TEST_CASE("an SVG is the same bytes each time, and carries the fonts it is lettered in") {
    const std::string svg = write_svg({small_sheet()});
    CHECK(svg == write_svg({small_sheet()}));
    CHECK(count(svg, "@font-face") == 2);  // the arrow is in the second font
    CHECK(svg.size() < 80000);
    CHECK(with_file(svg, "a.svg", "xmllint --noout a.svg && rsvg-convert a.svg -o a.png").status == 0);
    CHECK(write_svg({small_sheet()}, {.white_page = true}).find("prefers-color-scheme") == std::string::npos);
    CHECK(svg.find("prefers-color-scheme: dark") != std::string::npos);
}

TEST_CASE("an empty picture is still a picture") {
    CHECK(with_file(write_svg(std::vector<Sheet>{}), "a.svg", "xmllint --noout a.svg").status == 0);
    CHECK(with_file(write_svg({Sheet{}}), "a.svg", "xmllint --noout a.svg").status == 0);
}

TEST_CASE("a length that is no number is refused, not written") {
    Sheet sheet = small_sheet();
    sheet.wires[0].points[0].x = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(write_svg({sheet}), std::logic_error);
    CHECK_THROWS_AS(write_pdf({sheet}), std::logic_error);
    sheet.wires[0].points[0].x = 1e7;
    CHECK_THROWS_AS(write_pdf({sheet}), std::logic_error);
}

TEST_CASE("a sheet's PDF is sound, its fonts are embedded and its text can be searched") {
    const std::string pdf = write_pdf({small_sheet()}, {.title = "Tern T-12 – é Ω", .author = "A. Nother"});
    const Run check = with_file(pdf, "a.pdf", "qpdf --check a.pdf");
    CHECK(check.status == 0);
    CHECK(check.output.find("WARNING") == std::string::npos);
    CHECK(check.output.find("PDF Version: 1.7") != std::string::npos);
    const Run text = with_file(pdf, "a.pdf", "pdftotext -layout a.pdf -");
    CHECK(text.errors == "");
    for (const std::string word : {"Tern T-12 replay amplifier", "R1 <47k> µΩ± →4k7", "Hazardous voltage", "R2 was 220k"}) {
        INFO(word);
        CHECK(text.output.find(word) != std::string::npos);
    }
    const std::string fonts = with_file(pdf, "a.pdf", "pdffonts a.pdf").output;
    CHECK(count(fonts, "yes yes yes") == 2);
    CHECK(fonts.find(" no ") == std::string::npos);
    CHECK(with_file(pdf, "a.pdf", "pdfinfo a.pdf").output.find("Tern T-12 – é Ω") != std::string::npos);
    CHECK(with_file(pdf, "a.pdf", "pdfinfo -meta a.pdf").output.find("<dc:creator>") != std::string::npos);
    CHECK(pdf.size() < 40000);
}

TEST_CASE("a PDF is the same bytes each time") { CHECK(write_pdf({small_sheet()}) == write_pdf({small_sheet()})); }

TEST_CASE("attachments come out of a PDF as they went in") {
    PdfOptions options;
    options.attachments = {{"board Ω.xml", "the board", "<as-found/>\n"}};
    const std::string pdf = write_pdf({small_sheet()}, options);
    CHECK(with_file(pdf, "a.pdf", "pdfdetach -list a.pdf").output.find("board Ω.xml") != std::string::npos);
    CHECK(with_file(pdf, "a.pdf", "pdfdetach -save 1 -o got.xml a.pdf && cat got.xml").output == "<as-found/>\n");
}

TEST_CASE("links to places that are not in the document are left out") {
    Sheet sheet = small_sheet();
    sheet.anchors.clear();
    sheet.links.push_back({{0, 0, 10, 10}, "nowhere"});
    CHECK(with_file(write_pdf({sheet}), "a.pdf", "qpdf --check a.pdf").status == 0);
    Document document;
    document.pages.push_back(page_of(sheet));
    CHECK_THROWS_AS(write_pdf(document), std::logic_error);
}

TEST_CASE("zones are counted from the middle, letters down without I and O") {
    const Paper a4 = paper_named("A4"), a3 = paper_named("A3");
    CHECK(zone_of(a4, {25, 15}) == "A1");
    CHECK(zone_of(a4, {148.4, 104.9}) == "B3");
    CHECK(zone_of(a4, {148.6, 105.1}) == "C4");
    CHECK(zone_of(a4, {286, 199}) == "D6");
    CHECK(zone_of(a3, {25, 15}) == "A1");
    CHECK(zone_of(a3, {409, 286}) == "F8");
    CHECK(zone_of(a3, {-50, 900}) == "F1");  // outside counts to the nearest
}

TEST_CASE("the room left for the circuit touches no block, whatever the blocks hold") {
    SheetFields fields = full_fields();
    for (const std::size_t revisions : {0u, 1u, 5u, 40u})
        for (const std::size_t cautions : {0u, 2u, 8u})
            for (const std::string paper : {"A4", "A3"}) {
                fields.revisions.assign(revisions, {"1", "B3", "a change told at some length, so that it takes two lines of the block or more", "2026-03-02", ""});
                fields.cautions.assign(cautions, "Mains: isolate, lock and prove dead; fuse only of the marked type and rating.");
                const Field field = field_of(paper_named(paper), fields);
                INFO(paper << " " << revisions << " " << cautions);
                CHECK(field.drawing.w * field.drawing.h > 0.3 * field.frame.w * field.frame.h);
                for (const Box& box : field.taken)
                    CHECK((box.x + box.w <= field.drawing.x + 1e-9 || field.drawing.x + field.drawing.w <= box.x + 1e-9 ||
                           box.y + box.h <= field.drawing.y + 1e-9 || field.drawing.y + field.drawing.h <= box.y + 1e-9));
            }
}

TEST_CASE("a title too long for its box is set smaller, then cut, and never below 1.8 mm") {
    const FittedText fits = fitted("Tern", Face::sheet, 3.5, 100);
    CHECK(cap_height(Face::sheet, fits.size) == Approx(3.5));
    const std::string longer = "A replay amplifier with a title of some length";
    const FittedText smaller = fitted(longer, Face::sheet, 3.5, 80);
    CHECK(smaller.text == longer);
    CHECK(cap_height(Face::sheet, smaller.size) < 3.5);
    const FittedText cut = fitted(longer + longer + longer, Face::sheet, 3.5, 80);
    CHECK(cut.text.ends_with("…"));
    CHECK(cap_height(Face::sheet, cut.size) == Approx(1.8));
    CHECK(text_width(cut.text, Face::sheet, cut.size) <= 80);
}

TEST_CASE("text is broken at blanks, a word wider than the line anywhere") {
    CHECK(wrapped("", Face::text, 3, 20).size() == 1);
    for (const std::string text : {"one two three four five six seven", "R1,R2,R3,R4,R5,R6,R7,R8,R9,R10,R11,R12,R13", "ΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩ µ"}) {
        std::string all;
        for (const std::string& line : wrapped(text, Face::text, 3, 20)) {
            CHECK(text_width(line, Face::text, 3) <= 20);
            all += line;
        }
        CHECK(all.size() + 7 >= text.size());
    }
}

TEST_CASE("a legend shows only the marks used") {
    SheetFields fields = full_fields();
    Sheet sheet;
    add_furniture(sheet, paper_named("A4"), fields, 1, 2);
    const auto says = [&](const std::string& text) {
        for (const Item& item : sheet.furniture)
            if (const auto* words = std::get_if<Text>(&item); words && words->text == text) return true;
        return false;
    };
    CHECK(says("drawn, not on the board"));
    CHECK_FALSE(says("on the board, not drawn"));
    CHECK(says("1/2"));
    CHECK(legend_names().size() == 11);
}
