// known_families: families made with a known history, as files: a base, boards by number, production changes, repairs, gaps in
// tracing, fuzzy and wrong dates. What a table and a history say of them can be held against what was done.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "support/draft.h"
#include "values/date.h"

namespace tallyboard::test {

// One place of the circuit and what it goes over to.
struct KnownEdit {
    enum class How { value, absent, extra } how = How::value;
    std::string place;        // as the table calls it
    std::string ref;          // the part; of an extra one its reference on the boards
    std::string from, to;     // cell texts
    DraftPart part;           // extra: what is added
};

struct KnownChange {
    std::vector<KnownEdit> edits;
    std::size_t at = 0;       // the first unit built with it
    int serial = 0;           // the first number built with it, known unit or not
    Day day;                  // when it came in
};

struct KnownRepair { std::size_t unit = 0; KnownEdit edit; bool marked = false; };

struct KnownUnit {
    std::string file;
    int serial = 0;
    bool numbered = true, misdated = false, partial = false;
    Day day;                  // when it was made
    std::string made;         // what is said of it; empty: nothing
    Draft board;
    std::vector<std::string> hidden;   // references of parts whose value was not traced, or that were not reached
};

struct KnownFamily {
    Draft base;
    bool numbered = true;              // false: no unit of it has a number, dates alone order them
    std::size_t drawn_changes = 0;     // the drawing has the first so many changes in
    std::vector<KnownUnit> units;      // in the order they were built
    std::vector<KnownChange> changes;
    std::vector<KnownRepair> repairs;

    // What a unit shows at the place of an edit: a cell's text, "?" where it does not show.
    std::string shown(std::size_t unit, const KnownEdit& edit) const;
    bool repaired(std::size_t unit, const KnownEdit& edit, bool marked) const;
};

KnownFamily known_family(std::uint64_t seed);

// Writes the files; returns the family file's path.
std::filesystem::path write_family(const KnownFamily& family, const std::filesystem::path& folder);

}  // namespace tallyboard::test
