#pragma once

#include <string>
#include <vector>

namespace tallyboard {

// One row of the revision block: the mark at the change, the zone it stands in ("B3", or "2/B3" with the sheet before it).
struct RevisionRow { std::string mark, zone, description, date, approved; };

// What the title block and the blocks beside it say. Empty fields stay empty boxes; the sheet's number, their count and the
// paper are filled in by draw.
struct SheetFields {
    std::string owner;                 // legal owner of this sheet; not the maker of the unit
    std::string number;                // identification number
    std::string title;
    std::string supplementary;         // maker, model, serial, year
    std::string date;                  // of issue
    std::string creator, approved;
    std::string document_type = "Circuit diagram";
    std::string status, revision, language;
    std::string redrawn_from;          // the source's name
    std::string digest;                // of the file drawn
    std::vector<RevisionRow> revisions;
    std::vector<std::string> notes;    // "all resistors in ohms", conditions of the voltages shown
    std::vector<std::string> cautions; // printed in a box
    std::vector<std::string> legend;   // names of the marks used ("missing", "extra", …); draw adds those it used
};

}  // namespace tallyboard
