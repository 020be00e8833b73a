// The examples of docs/format.md are read: whole files as what they are, the others together as one board.
#include <catch2/catch.hpp>

#include "support/program.h"
#include "support/text_circuit.h"
#include "xml/csv.h"
#include "xml/schema.h"

using namespace tallyboard;

namespace {

const std::string& page() {
    static const std::string text = test::file_bytes(TALLYBOARD_SOURCE_DIR "/docs/format.md");
    return text;
}

std::vector<std::string> blocks(const std::string& language) {
    std::vector<std::string> out;
    std::string opens = "\n```" + language + "\n";
    for (std::size_t at = page().find(opens); at != std::string::npos; at = page().find(opens, at)) {
        at += opens.size();
        out.push_back(page().substr(at, page().find("```", at) - at));
    }
    return out;
}

bool is_whole(const std::string& block) {
    for (const std::string& root : root_names())
        if (block.starts_with("<" + root) || block.starts_with("<?xml")) return true;
    return false;
}

}  // namespace

TEST_CASE("whole files on the format page read without errors or warnings") {
    std::size_t count = 0;
    for (const std::string& block : blocks("xml")) {
        if (!is_whole(block)) continue;
        INFO(block);
        ++count;
        SourceText text("format.md", block);
        std::string root = root_of(text);
        KindTable kinds = built_in_kinds();
        if (root == "review") CHECK_NOTHROW(read_review(text));
        else if (root == "family") CHECK_NOTHROW(read_family(text));
        else if (root == "kinds") CHECK_NOTHROW(add_kinds(text, kinds));
        else CHECK(read_circuit(text, kinds).remarks.empty());
    }
    CHECK(count >= 6);
}

TEST_CASE("the other examples on the format page make up one board") {
    std::string children;
    for (const std::string& block : blocks("xml"))
        if (!is_whole(block)) children += block;
    Circuit circuit = test::board(children, "", "format.md");
    for (const Diagnostic& remark : circuit.remarks) FAIL_CHECK(format(remark));
    CHECK(circuit.parts.size() > 15);
    CHECK(circuit.bench.readings.size() == 4);
    CHECK(net_name(circuit, circuit[*circuit.part("R20")].pins[0].net) == "BASE");
}

TEST_CASE("the table on the format page is read") {
    REQUIRE(blocks("csv").size() == 1);
    Circuit circuit = read_csv(SourceText("format.csv", blocks("csv").front()), CircuitRole::board, built_in_kinds());
    CHECK(circuit.parts.size() == 2);
    CHECK(circuit.parts[0].value->si() == 4700);
}

TEST_CASE("the format page names every element, attribute and kind") {
    for (const ElementRule& rule : element_rules()) {
        if (rule.type == "line" || rule.type == "signal" || rule.type == "stroke" || rule.type == "letters") continue;
        INFO("<" << rule.type << ">");
        CHECK((page().find("<" + rule.type) != std::string::npos));
        for (const AttributeRule& a : rule.attributes) {
            INFO(a.name);
            bool named = page().find("`" + a.name + "`") != std::string::npos || page().find(" " + a.name + "=\"") != std::string::npos ||
                         page().find("`" + a.name + "=\"") != std::string::npos || page().find(" " + a.name + " ") != std::string::npos ||
                         page().find(" " + a.name + ">`") != std::string::npos;
            CHECK(named);
        }
    }
    for (const std::string& kind : built_in_kinds().names()) {
        INFO(kind);
        CHECK(page().find("`" + kind + "`") != std::string::npos);
    }
}
