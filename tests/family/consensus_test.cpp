#include "family/consensus.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "known_families.h"
#include "support/program.h"

using namespace tallyboard;
using namespace tallyboard::test;

TEST_CASE("the drawing of a version agrees with the version as it was built") {
    std::size_t drawn = 0;
    for (std::uint64_t seed = 2001; seed <= 2012; ++seed) {
        KnownFamily truth = known_family(seed);
        ScratchFolder folder;
        GatheredFamily table = gather(read_family(read_file(write_family(truth, folder.path()).string())), built_in_kinds());
        FamilyHistory history = read_history(table);
        INFO("family of seed " << seed << "\n" << table_csv(table));
        for (std::size_t v = 0; v < history.variants.size(); ++v) {
            FamilyDrawing drawing = consensus_drawing(table, history, v, built_in_kinds());
            CHECK(drawing.remarks.empty());
            // Compared with the base, it has just the places of the version.
            Circuit as_board = drawing.circuit;
            as_board.role = CircuitRole::board;
            std::vector<Cell> cells = cells_of(table, as_board, compare(*table.base, as_board));
            for (std::size_t r = 0; r < table.rows.size(); ++r) {
                INFO("version " << v + 1 << ", place " << table.rows[r].place);
                CHECK(cells[r].text == text_in_variant(table, history, v, r));
            }
            ++drawn;
        }
    }
    CHECK(drawn >= 12);
}

TEST_CASE("a place that changed is lettered with its years") {
    for (std::uint64_t seed = 2001; seed <= 2012; ++seed) {
        KnownFamily truth = known_family(seed);
        ScratchFolder folder;
        GatheredFamily table = gather(read_family(read_file(write_family(truth, folder.path()).string())), built_in_kinds());
        FamilyHistory history = read_history(table);
        NotedDrawing noted = noted_drawing(table, history, built_in_kinds());
        std::string lettered;
        for (const Part& part : noted.circuit.parts) lettered += (part.value ? part.value->text : part.model) + "\n";
        for (const std::string& note : noted.notes) lettered += note + "\n";
        for (const ProductionChange& change : history.changes)
            for (const PlaceChange& place : change.places) {
                std::string note = year_note(table, history, place.row);
                INFO("family of seed " << seed << ": " << note);
                CHECK(note.starts_with(place.from));
                CHECK(note.find(", " + place.to) != std::string::npos);
                CHECK(lettered.find(note) != std::string::npos);
            }
    }
}

TEST_CASE("the family's drawing has what every unit has otherwise than drawn") {
    ScratchFolder folder;
    auto write = [&](const std::string& name, const std::string& text) { std::ofstream(folder.path() / name) << text; };
    auto board = [](const std::string& number, const std::string& r2) {
        return "<as-found xmlns=\"urn:tallyboard:circuit:1\"><about><serial>" + number + "</serial></about>\n<part ref=\"R1\" kind=\"resistor\" value=\"8k2\" pins=\"A B\"/>\n"
               "<part ref=\"R2\" kind=\"resistor\" value=\"" + r2 + "\" pins=\"B G\"/>\n<part ref=\"C1\" kind=\"capacitor\" value=\"10n\" pins=\"B G\"/>\n</as-found>\n";
    };
    write("d.xml", "<circulated xmlns=\"urn:tallyboard:circuit:1\">\n<part ref=\"R1\" kind=\"resistor\" value=\"82k\" pins=\"A B\"/>\n"
                   "<part ref=\"R2\" kind=\"resistor\" value=\"47k\" pins=\"B G\"/>\n<part ref=\"C1\" kind=\"capacitor\" value=\"10n\" pins=\"B G\"/>\n</circulated>\n");
    std::string members;
    for (const auto& [number, r2] : {std::pair("0100", "47k"), {"0200", "47k"}, {"0300", "56k"}, {"0400", "56k"}}) {
        write(std::string(number) + ".xml", board(number, r2));
        members += "<member file=\"" + std::string(number) + ".xml\"/>\n";
    }
    write("f.xml", "<family xmlns=\"urn:tallyboard:circuit:1\"><base file=\"d.xml\"/>\n" + members + "</family>\n");
    GatheredFamily table = gather(read_family(read_file((folder.path() / "f.xml").string())), built_in_kinds());
    NotedDrawing noted = noted_drawing(table, read_history(table), built_in_kinds());
    CHECK(noted.remarks.empty());
    auto text = [&](const char* ref) { return noted.circuit[*noted.circuit.part(ref)].value->text; };
    CHECK(text("R1") == "8k2");
    CHECK(text("R2") == "47k to no. 0200, 56k from no. 0300");
}
