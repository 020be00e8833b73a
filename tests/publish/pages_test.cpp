#include <catch2/catch.hpp>

#include "publish/bench_pages.h"
#include "publish/graph.h"
#include "publish/pair_graph.h"
#include "publish/pdf.h"
#include "publish/response_page.h"
#include "publish/specimen_page.h"
#include "publish/svg.h"
#include "publish/text_pages.h"
#include "publish/tools.h"
#include "publish/variants_page.h"
#include "support/text_circuit.h"

#include <cmath>
#include <set>
#include <thread>

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

int count(const std::string& text, const std::string& piece) {
    int n = 0;
    for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece, at + piece.size())) ++n;
    return n;
}

ResponseSection response() {
    ResponseSection section;
    section.conditions = "Volume at half turn.";
    ResponseCurve drawing{"drawing", {}}, board{"board", {}};
    SpreadBand spread;
    for (int i = 0; i <= 30; ++i) {
        section.hz.push_back(20 * std::pow(10, i / 10.0));
        drawing.db.push_back(30.0 - i / 10.0);
        board.db.push_back(i == 7 ? std::nullopt : std::optional(29.0));
        spread.low.push_back(28.0 - i / 10.0);
        spread.high.push_back(31.0);
    }
    section.drawing = drawing;
    section.board = board;
    section.spread = spread;
    section.effects = {{1, "value@C7", "C7", "bass 2.1 dB thinner at 40 Hz", "audible"}};
    section.first = "First for safety: F2.";
    section.readings = {{"BASE to 0V", "dmm", "3.9 V to 4.1 V", "3.71 V to 4.1 V", "3.92V", "as expected"}};
    section.voltages = {{"COLL", 12.3, 8.4, 11.9, 12.7, "outside production spread, audible"}, {"DUST", 3.6e-11, {}, {}, {}, ""}};
    return section;
}

}  // namespace

TEST_CASE("a table runs on from page to page with its head on each, and no row is lost") {
    Document document;
    TextPages pages(document, {false, "Head", "right"});
    pages.heading("List", "list");
    Table table{{{"Number", 1, Align::left}, {"Text", 3, Align::left}}, {}};
    for (int i = 0; i < 200; ++i) {
        TableRow row;
        row.cells = {"row" + std::to_string(i) + ";", i % 7 ? "short" : "a longer text that takes several lines of its narrow column, over and over again, until it wraps"};
        table.rows.push_back(row);
    }
    pages.table(table);
    number_pages(document);
    CHECK(document.pages.size() > 3);
    const std::string text = pdf_text(write_pdf(document));
    for (int i = 0; i < 200; ++i) CHECK(count(text, "row" + std::to_string(i) + ";") == 1);
    CHECK(count(text, "Number") == static_cast<int>(document.pages.size()));
    CHECK(text.find("page 1 of " + std::to_string(document.pages.size())) != std::string::npos);
    for (const Page& page : document.pages)
        for (const PageItem& item : page.items)
            if (const auto* words = std::get_if<Text>(&item)) CHECK(words->at.y < page.height - 8);
}

TEST_CASE("a cell longer than a page is broken between lines and keeps every word") {
    Document document;
    TextPages pages(document, {true, "", ""});
    std::string longest;
    for (int i = 0; i < 3000; ++i) longest += "w" + std::to_string(i) + "; ";
    TableRow row;
    row.cells = {"R1", longest};
    row.anchor = "here";
    pages.table({{{"Part", 1, Align::left}, {"Text", 4, Align::left}}, {row}});
    number_pages(document);
    CHECK(document.pages.size() > 2);
    const std::string text = pdf_text(write_pdf(document));
    for (int i = 0; i < 3000; i += 97) CHECK(text.find("w" + std::to_string(i) + ";") != std::string::npos);
}

TEST_CASE("the last rows of a table, and what stands below it, are not parted by a page's end") {
    for (int lines = 0; lines < 60; ++lines)
        for (double below : {0.0, 20.0}) {
            Document document;
            TextPages pages(document, {false, "", ""});
            for (int i = 0; i < lines; ++i) pages.paragraph("line");
            Table table{{{"Reading", 1, Align::left}}, {}};
            for (int i = 0; i < 9; ++i) table.rows.emplace_back().cells = {"row" + std::to_string(i)};
            table.rows[5].spans = true;
            pages.table(table, below);
            const std::size_t page_of_table = document.pages.size();
            if (below > 0) pages.figure(below);
            CHECK(document.pages.size() == page_of_table);
            int rows = 0;
            for (const PageItem& item : document.pages.back().items)
                if (const auto* words = std::get_if<Text>(&item)) rows += words->text.starts_with("row");
            CHECK(rows >= 4);  // with the heading between rows that they stand under
        }
}

TEST_CASE("a heading is not left alone at the foot of a page") {
    for (int lines = 0; lines < 60; ++lines) {
        Document document;
        TextPages pages(document, {false, "", ""});
        for (int i = 0; i < lines; ++i) pages.paragraph("line");
        pages.heading("Heading", "h");
        pages.paragraph("follows");
        const Page& last = document.pages.back();
        CHECK(std::any_of(last.anchors.begin(), last.anchors.end(), [](const Anchor& anchor) { return anchor.name == "h"; }));
    }
}

TEST_CASE("texts of any kind are printed or replaced, never refused") {
    Document document;
    TextPages pages(document, {false, std::string(3000, 'x'), "\xFF\xFE"});
    pages.paragraph(std::string("a\tb\x01\x7F \xC3 \U0001F600 漢字 ") + std::string(20000, 'm'));
    pages.cautions({std::string(9000, '!')});
    number_pages(document);
    CHECK(with_file(write_pdf(document), "a.pdf", "qpdf --check a.pdf").status == 0);
}

TEST_CASE("a response is drawn with its spread, its difference and its gaps") {
    Document document;
    TextPages pages(document, {true, "T", ""});
    add_response(pages, response());
    number_pages(document);
    drop_dangling_links(document);
    const std::string text = pdf_text(write_pdf(document));
    for (const std::string word : {"What the differences do", "production spread", "board less drawing", "bass 2.1 dB thinner", "First for safety: F2.", "3.92V", "as expected", "outside production spread, audible", "20k"}) {
        INFO(word);
        CHECK(text.find(word) != std::string::npos);
    }
    const std::string svg = write_svg(response_document("Replay amplifier", response()));
    CHECK(with_file(svg, "a.svg", "xmllint --noout a.svg && rsvg-convert a.svg -o a.png").status == 0);
    CHECK(svg == write_svg(response_document("Replay amplifier", response())));
}

TEST_CASE("a response of which nothing or next to nothing is known is still a page") {
    ResponseSection empty;
    CHECK_FALSE(write_pdf(response_document("nothing", empty)).empty());
    ResponseSection one = response();
    one.hz = {1000};
    one.drawing->db = {30.0};
    one.board.reset();
    one.spread.reset();
    CHECK_FALSE(write_svg(response_document("one point", one)).empty());
    ResponseSection gaps = response();
    for (auto& db : gaps.drawing->db) db.reset();
    for (auto& db : gaps.board->db) db.reset();
    CHECK(write_svg(response_document("gaps", gaps)).find("nan") == std::string::npos);
}

TEST_CASE("the specimen sheet has the unit before and after, and room for the leakage check") {
    SpecimenSection section;
    section.unit = "Oakhollow Tern T-12, no. 00731";
    section.found_on = "2026-03-02";
    section.left_on = "2026-03-04";
    section.rows = {{"C7", "leaky", "replaced", "10 µF 63 V", ""}};
    section.readings = {{"base of Q1 to 0V", "3.92 V", "3.95 V", "3.71 … 4.10 V"}};
    const std::string text = pdf_text(write_pdf(specimen_document(section)));
    for (const std::string word : {"As found: 2026-03-02", "leaky", "10 µF 63 V", "3.71 … 4.10 V", "Leakage or insulation check"}) CHECK(text.find(word) != std::string::npos);
}

TEST_CASE("a graph's boxes stand apart, alike whatever the order of its nodes, in several threads") {
    Graph graph;
    for (int i = 0; i < 40; ++i) graph.nodes.push_back({"n" + std::to_string(i), {"node " + std::to_string(i), "second line"}, i % 2 == 0, {}});
    for (std::size_t i = 1; i < 40; ++i) graph.edges.push_back({i / 3, i, "", {}, false});
    const GraphPlaces places = place_graph(graph);
    for (std::size_t a = 0; a < 40; ++a)
        for (std::size_t b = a + 1; b < 40; ++b) {
            const Box &p = places.boxes[a], &q = places.boxes[b];
            CHECK((p.x + p.w < q.x || q.x + q.w < p.x || p.y + p.h < q.y || q.y + q.h < p.y));
        }
    Graph turned = graph;
    std::reverse(turned.nodes.begin(), turned.nodes.end());
    for (GraphEdge& edge : turned.edges) {
        edge.from = 39 - edge.from;
        edge.to = 39 - edge.to;
    }
    std::vector<GraphPlaces> again(4);
    std::vector<std::thread> threads;
    for (GraphPlaces& one : again) threads.emplace_back([&] { one = place_graph(turned); });
    for (std::thread& thread : threads) thread.join();
    for (const GraphPlaces& one : again)
        for (std::size_t i = 0; i < 40; ++i) CHECK(one.boxes[39 - i] == places.boxes[i]);
    CHECK(place_graph({}).boxes.empty());
}

TEST_CASE("the pairing as a graph shows what agrees, what is changed and what is on one side alone") {
    const Circuit d = drawing(R"(<part ref="R1" kind="resistor" value="10k" pins="A B"/><part ref="R2" kind="resistor" value="1k" pins="B C"/>
<part ref="C1" kind="capacitor" value="1n" pins="C A"/><part ref="C2" kind="capacitor" value="2n" pins="C B"/>)");
    const Circuit b = board(R"(<part ref="R7" kind="resistor" value="12k" pins="a b"/><part ref="R8" kind="resistor" value="1k" pins="b c"/>
<part ref="C1" kind="capacitor" value="1n" pins="c a"/>)");
    const Comparison comparison = compare(d, b);
    const Graph graph = pair_graph(d, b, comparison);
    std::set<std::string> first_lines;
    for (const GraphNode& node : graph.nodes) {
        first_lines.insert(node.lines.front());
        if (node.lines.front() == "C2") CHECK(node.pen.dash == Dash::dashed);
    }
    CHECK(first_lines.count("R1 = R7"));
    CHECK(first_lines.count("R2 = R8"));
    CHECK(first_lines.count("C2"));
    const std::string dot = dot_text(graph);
    CHECK(dot == dot_text(pair_graph(d, b, comparison)));
    CHECK(with_file(dot, "a.dot", "dot -Tplain a.dot").status == 0);
    CHECK(dot.find("10k, found 12k") != std::string::npos);
    const std::string svg = write_svg(graph_document("Pairing", graph, pair_graph_legend()));
    CHECK(with_file(svg, "a.svg", "xmllint --noout a.svg").status == 0);
}

TEST_CASE("names that Graphviz would read as its own are quoted") {
    Graph graph;
    graph.nodes = {{"a\"b\\", {"<b>\\N", "\"x\""}, false, {}}, {"graph", {"node"}, true, {}}};
    graph.edges = {{0, 1, "->", {}, true}};
    CHECK(with_file(dot_text(graph), "a.dot", "dot -Tplain a.dot").status == 0);
}

TEST_CASE("the probe sheet has its cautions on top and a row a reading") {
    const Circuit circuit = board(R"(<net name="0V" role="ground"/><part ref="R1" kind="resistor" value="10k" pins="V M"/><part ref="R2" kind="resistor" value="10k" pins="M 0V"/>)");
    ProbeSheet sheet;
    sheet.meter = "a meter of 10 MΩ, 1 %";
    VoltageRow row;
    row.place = "Q1 base";
    row.back = "0V";
    row.shows = 3.97;
    row.low = 3.7;
    row.high = 4.1;
    row.hazardous = true;
    sheet.voltages = {row};
    ResistanceRow resistance;
    resistance.part = PartId{1};
    resistance.from = "R2.a";
    resistance.to = "R2.b";
    resistance.shows = 4700;
    resistance.lift = "R2.a";
    sheet.resistances = {resistance};
    const std::string text = pdf_text(write_pdf(probe_document(circuit, sheet, {"Probe sheet", "T-12", "2026-03-04", {"Mains: isolate."}})));
    CHECK(text.find("Mains: isolate.") < text.find("Q1 base"));
    for (const std::string word : {"⚠ Q1 base", "3.97 V", "proves nothing", "lift R2.a"}) {
        INFO(word);
        CHECK(text.find(word) != std::string::npos);
    }
}

TEST_CASE("the check sheet lists the tests a tracing would make, each pair once") {
    const Circuit b = board(R"(<part ref="R1" kind="resistor" value="10k" pins="? ?"/><part ref="R2" kind="resistor" value="1k" pins="? ?"/><part ref="C1" kind="capacitor" value="1n" pins="? ?"/>)");
    const Circuit d = drawing(R"(<part ref="R1" kind="resistor" value="10k" pins="A B"/><part ref="R2" kind="resistor" value="1k" pins="B C"/><part ref="C1" kind="capacitor" value="1n" pins="C A"/>)");
    const std::vector<TraceRow> rows = trace_rows(Tracing(b, &d), b, 50);
    CHECK_FALSE(rows.empty());
    std::set<std::pair<std::string, std::string>> seen;
    for (const TraceRow& row : rows) CHECK(seen.insert({row.from, row.to}).second);
    const std::string pdf = write_pdf(trace_document(rows, {"Check sheet", "", "", {}}));
    CHECK(pdf_text(pdf).find(rows.front().from) != std::string::npos);
    CHECK(pdf_text(write_pdf(trace_document({}, {"Check sheet", "", "", {}}))).find("Nothing is left") != std::string::npos);
}

TEST_CASE("the variants sheet says what changed when, and shows it") {
    GatheredFamily family;
    family.title = "Tern T-12";
    for (int i = 0; i < 12; ++i) {
        Unit unit;
        unit.serial = "00" + std::to_string(100 + i);
        if (i != 5) unit.made = *read_date(i < 6 ? "1970" : "1972?");
        family.units.push_back(unit);
    }
    PlaceRow row{"R7", "47k", std::vector<Cell>(12)};
    for (std::size_t i = 6; i < 12; ++i) row.cells[i] = {CellState::value, "56k", false, "", false, {}};
    family.rows = {row};
    FamilyHistory history;
    ProductionChange change;
    change.places = {{0, "47k", "56k"}};
    change.bounds = {5, 6, Day::of(1970, 1, 1), Day::of(1972, 12, 31)};
    change.last_old = 5;
    change.first_new = 6;
    history.changes = {change};
    history.variants = {{"version 1", {0, 1, 2, 3, 4, 5}, {}}, {"version 2", {6, 7, 8, 9, 10, 11}, {}}};
    const std::string pdf = write_pdf(variants_document(family, history, "Bench", "2026-03-04"));
    const std::string text = pdf_text(pdf);
    for (const std::string word : {"R7: 47k to 56k", "00105 (undated)", "00106 (1972?)", "1970-01-01 and 1972-12-31", "version 2", "Timeline", "undated", "1972?", "56k", "00111"}) {
        INFO(word);
        CHECK(text.find(word) != std::string::npos);
    }
    CHECK(pdf == write_pdf(variants_document(family, history, "Bench", "2026-03-04")));
    CHECK(lineage_graph(family, history).nodes.size() == 3);
    CHECK(with_file(write_pdf(variants_document({}, {}, "", "")), "a.pdf", "qpdf --check a.pdf").status == 0);
}
