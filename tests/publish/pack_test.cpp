#include <catch2/catch.hpp>

#include "publish/marks.h"
#include "publish/pack.h"
#include "publish/pdf.h"
#include "publish/svg.h"
#include "publish/tools.h"
#include "support/text_circuit.h"

#include <set>

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

// A stage; the board has another value, a part turned about, one not fitted, one more, an untraced pin.
Circuit drawn() {
    return drawing(R"(
<about><title>Replay &amp; more</title><source>sheet 4</source></about>
<net name="0V" role="ground"/><net name="+24V" role="supply"/>
<part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/>
<part ref="C1" kind="electrolytic" value="10u" pins="plus=B1 minus=IN"/>
<part ref="R1" kind="resistor" value="220k" pins="+24V B1"/>
<part ref="R2" kind="resistor" value="47k" pins="B1 0V"/>
<part ref="Q1" kind="npn" model="BC109" pins="c=C1 b=B1 e=E1"/>
<part ref="R3" kind="resistor" value="10k" pins="+24V C1"/>
<part ref="R4" kind="resistor" value="1k" pins="E1 0V"/>
<part ref="C2" kind="electrolytic" value="47u" pins="plus=E1 minus=0V"/>
<part ref="C3" kind="capacitor" value="100p" pins="C1 B1"/>
<part ref="C4" kind="electrolytic" value="22u" pins="plus=C1 minus=OUT"/>
<part ref="R5" kind="resistor" value="100k" pins="OUT 0V"/>
<part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>)", "replay.drawing.xml");
}
Circuit found() {
    return board(R"(
<part ref="J1" kind="jack" pins="tip=in sleeve=gnd"/>
<part ref="C1" kind="electrolytic" value="10u" pins="plus=in minus=b"/>
<part ref="R1" kind="resistor" pins="v b"><found marking="brown grey yellow silver" status="original"/></part>
<part ref="R2" kind="resistor" value="47k" pins="b gnd"/>
<part ref="TR1" kind="npn" model="BC109C" pins="c=c b=b e=e"/>
<part ref="R3" kind="resistor" value="10k" pins="v c"/>
<part ref="R4" kind="resistor" value="1k" pins="e gnd"/>
<part ref="C5" kind="electrolytic" value="47u" pins="plus=e minus=?"/>
<part ref="C4" kind="electrolytic" value="22u" pins="plus=c minus=out"/>
<part ref="R5" kind="resistor" value="100k" pins="out gnd"/>
<part ref="Q1" kind="pnp" model="BC179" pins="e=v b=b c=gnd"/>
<part ref="J2" kind="jack" pins="tip=out sleeve=gnd"/>)", "", "replay.board.xml");
}

PackOptions plain_options() {
    PackOptions options;
    options.draw.draft = true;
    options.draw.fields.title = "Replay & more";
    options.draw.fields.date = "2026-03-04";
    options.draw.fields.owner = "Bench of A. Nother";
    options.draw.fields.cautions = {"Mains: isolate, lock and prove dead."};
    return options;
}

struct Packed { Circuit drawing, board; Comparison comparison; PackContents contents; };
const Packed& packed() {
    static const Packed pack = [] {
        Packed p{drawn(), found(), {}, {}};
        p.comparison = compare(p.drawing, p.board);
        p.contents = pack_contents(p.drawing, p.board, p.comparison, plain_options());
        return p;
    }();
    return pack;
}

}  // namespace

TEST_CASE("every finding that costs has its number, its mark on the sheet and its row") {
    const Packed& p = packed();
    REQUIRE(p.contents.rows.size() == p.comparison.findings.size());
    int last = 0;
    for (std::size_t i = 0; i < p.contents.rows.size(); ++i) {
        const RevisionSheetRow& row = p.contents.rows[i];
        INFO(row.id);
        CHECK((row.cost > 0) == (row.mark > 0));
        if (row.mark == 0) continue;
        CHECK(row.mark == ++last);
        CHECK_FALSE(row.zone.empty());
        int anchors = 0;
        for (const Sheet& sheet : p.contents.sheets)
            for (const Anchor& anchor : sheet.anchors) anchors += anchor.name == "mark " + std::to_string(row.mark);
        CHECK(anchors == 1);
    }
    CHECK(last >= 4);
}

TEST_CASE("the pack can be read, searched, and has both files in it as they were") {
    const Packed& p = packed();
    const Document document = pack_document(p.contents);
    const std::string pdf = write_pdf(document);
    const Run check = with_file(pdf, "a.pdf", "qpdf --check a.pdf");
    CHECK(check.status == 0);
    CHECK(check.output.find("WARNING") == std::string::npos);
    const std::string text = pdf_text(pdf);
    for (const std::string word : {"Revision sheet", "Parts list", "Replay & more", "Mains: isolate", "TR1", "BC109C", "220k", "180k", "not on the board"}) {
        INFO(word);
        CHECK(text.find(word) != std::string::npos);
    }
    CHECK(with_file(pdf, "a.pdf", "pdfdetach -save 1 -o b.xml a.pdf && cat b.xml").output == p.board.source.bytes());
    CHECK(with_file(pdf, "a.pdf", "pdfdetach -save 2 -o d.xml a.pdf && cat d.xml").output == p.drawing.source.bytes());
    CHECK(with_file(pdf, "a.pdf", "pdffonts a.pdf").output.find(" no ") == std::string::npos);
    CHECK(pdf == write_pdf(pack_document(p.contents)));
}

TEST_CASE("links lead from mark to row and from row to mark") {
    const Document document = pack_document(packed().contents);
    std::multiset<std::string> to;
    std::set<std::string> places;
    for (const Page& page : document.pages) {
        for (const Link& link : page.links) to.insert(link.to);
        for (const Anchor& anchor : page.anchors) places.insert(anchor.name);
        for (const PageItem& item : page.items)
            if (const auto* text = std::get_if<Text>(&item); text && !text->link.empty()) to.insert(text->link);
    }
    for (const RevisionSheetRow& row : packed().contents.rows) {
        if (row.mark == 0) continue;
        INFO(row.mark);
        CHECK(places.count("mark " + std::to_string(row.mark)));
        CHECK(places.count("row " + std::to_string(row.mark)));
        CHECK(to.count("mark " + std::to_string(row.mark)) >= 1);
        CHECK(to.count("row " + std::to_string(row.mark)) >= 1);
    }
    for (const std::string& name : to) CHECK(places.count(name));
}

TEST_CASE("every part of both files stands in the parts list once") {
    const Packed& p = packed();
    std::multiset<std::string> drawing_refs, board_refs;
    for (const PartsListRow& row : p.contents.parts) {
        if (row.drawing != "–") drawing_refs.insert(row.drawing);
        if (row.board != "–") board_refs.insert(row.board);
    }
    for (const Part& part : p.drawing.parts) CHECK(drawing_refs.count(part.ref) == 1);
    for (const Part& part : p.board.parts) CHECK(board_refs.count(part.ref) == 1);
    CHECK(drawing_refs.size() == p.drawing.parts.size());
    CHECK(board_refs.size() == p.board.parts.size());
}

TEST_CASE("an extra part whose reference the drawing uses gets a free one on the sheet, and the list says so") {
    const Packed& p = packed();
    bool told = false;
    for (const PartsListRow& row : p.contents.parts) told = told || (row.board == "Q1" && row.drawing == "–" && row.remark.find("Q2 on the sheet") == 0);
    const bool extra_is_q1 = std::any_of(p.comparison.findings.begin(), p.comparison.findings.end(), [](const Finding& finding) {
        return finding.what == What::extra && finding.board == std::vector<std::string>{"Q1"};
    });
    REQUIRE(extra_is_q1);
    CHECK(told);
}

TEST_CASE("a value known by its marking is printed as a value") {
    for (const RevisionSheetRow& row : packed().contents.rows)
        if (row.id == "value@R1") {
            CHECK(row.found == "180k");
            CHECK(row.drawn == "220k");
        }
}

TEST_CASE("what is decided to be no correction has no mark on the sheet, but keeps its row and reason") {
    const Packed& p = packed();
    PackOptions options = plain_options();
    FindingNotes notes;
    notes.corrects = false;
    notes.decision = "a later repair (A. Nother, 2026-03-04)";
    notes.evidence = {"hand solder"};
    notes.grade = "A";
    options.notes["value@R1"] = notes;
    const PackContents contents = pack_contents(p.drawing, p.board, p.comparison, options);
    const auto row = std::find_if(contents.rows.begin(), contents.rows.end(), [](const RevisionSheetRow& r) { return r.id == "value@R1"; });
    REQUIRE(row != contents.rows.end());
    CHECK(row->mark == 0);
    const std::string text = pdf_text(write_pdf(pack_document(contents)));
    CHECK(text.find("a later repair") != std::string::npos);
    CHECK(text.find("hand solder") != std::string::npos);
    CHECK(text.find("no correction of the drawing") != std::string::npos);
    const std::string svg = write_svg(contents.sheets);
    CHECK(svg.find("180k") == std::string::npos);
    CHECK(write_svg(p.contents.sheets).find("180k") != std::string::npos);
}

TEST_CASE("a drawing that agrees gives a pack that says so") {
    const Circuit d = drawn();
    const Comparison comparison = compare(d, d);
    const PackContents contents = pack_contents(d, d, comparison, plain_options());
    const std::string pdf = write_pdf(pack_document(contents));
    CHECK(with_file(pdf, "a.pdf", "qpdf --check a.pdf").status == 0);
    CHECK(pdf_text(pdf).find("the drawing and the board agree") != std::string::npos);
    CHECK(with_file(pdf, "a.pdf", "pdfdetach -list a.pdf").output.find("2 embedded files") != std::string::npos);  // of one name, kept apart
}

TEST_CASE("an empty circuit against an empty board is still a pack") {
    const Circuit d = drawing("", "empty.xml"), b = board("", "", "empty.board.xml");
    const std::string pdf = write_pdf(pack_document(pack_contents(d, b, compare(d, b), plain_options())));
    CHECK(with_file(pdf, "a.pdf", "qpdf --check a.pdf").status == 0);
}
