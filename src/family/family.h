// family: the boards of one design across its production years: what varies, what changed when, what is one unit's own, and
// which version a board is. Start here: gather() makes the table, history.h reads it.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "compare/compare.h"
#include "xml/read.h"

namespace tallyboard {

// What a board has at one place of the base drawing.
enum class CellState { same, value, kind, connected, absent, extra, untraced };
std::string_view cell_word(CellState state);

struct Cell {
    CellState state = CellState::same;
    std::string text;          // what is there: "56k", "turned round", "on TRAP", "not fitted"; equal texts are equal states of a place
    bool later = false;        // its own evidence says that it is no production: replaced, added, decided a repair
    std::string why_later;     // in words; empty unless `later`
    bool production = false;   // decided a change in production
    std::vector<std::string> findings;  // ids of the comparison's findings that it tells
};

// A place that varies, with a cell a unit, in the order of Family::units.
struct PlaceRow {
    std::string place;         // "R7", "C3.b", "a resistor from FB to Q1E"
    std::string drawn;         // the cell's text where a unit is as drawn
    std::vector<Cell> cells;
};

// A member, read and compared with the base. The board itself is not kept, so that a family of hundreds takes little room;
// board_of() reads it again.
struct Unit {
    std::string file;          // as found from the family file
    std::string serial, seen, note;
    std::optional<Date> made;
    std::string label() const; // the serial number, else the file's name
    std::string dated;         // the latest date that its file names; empty: none
    int cost = 0;              // of its differences from the base
};

struct GatheredFamily {
    std::string title;
    std::shared_ptr<const Circuit> base;
    std::vector<Unit> units;         // in the order of serial numbers; those without one behind, by date, then file order
    std::vector<PlaceRow> rows;      // places where some unit is not as drawn, in natural order of the place
    std::vector<std::string> remarks;  // same serial with other content, dates that differ between files, …
};

struct FamilyOptions {
    double effort = 0.7;             // of each comparison, which seeks no proof: a table needs the differences
    int threads = 0;                 // 0: as many as the machine has; the result does not depend on it
    std::function<void(double)> progress;
};

// Reads every member beside the family file and compares it with the base, in parallel. InputError with the faults of the first
// file that cannot be read, CommandError for a path.
GatheredFamily gather(const Family& family, const KindTable& kinds, const FamilyOptions& options = {});

// A unit's board, read anew. InputError, CommandError as for any board.
Circuit board_of(const Unit& unit, const KindTable& kinds);

// The least differences of another design than the family's: boards of one design differ by a few parts; past one in cost for
// each drawn part it is another.
bool is_other_design(const Comparison& comparison);

// The cells of one more board against the same base, a cell a row; for telling which version it is.
std::vector<Cell> cells_of(const GatheredFamily& family, const Circuit& board, const Comparison& comparison);

// The table as CSV (RFC 4180): a row a place, a column a unit.
std::string table_csv(const GatheredFamily& family);

}  // namespace tallyboard
