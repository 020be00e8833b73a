#include "family/consensus.h"

#include <catch2/catch.hpp>

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
