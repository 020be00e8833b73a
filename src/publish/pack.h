// The pack that goes out: the annotated schematic, the revision sheet, the parts list and what else is known, in one document.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "compare/compare.h"
#include "draw/draw.h"
#include "publish/document.h"
#include "publish/response_page.h"
#include "publish/scan_page.h"
#include "publish/specimen_page.h"

namespace tallyboard {

// What is known of a finding besides the finding itself; every field may be empty.
struct FindingNotes {
    std::string decision;               // "corrected for no. 00731", with who and when: as it is to be printed
    std::string decided_by, decided_on;
    std::string grade;                  // A … E: how it was seen
    std::string suggestion;             // where nothing is decided
    std::vector<std::string> evidence;  // sentences
    std::string consequence;            // "bass 2.1 dB thinner at 40 Hz; outside production spread"
    bool corrects = true;               // false: not the drawing's (drift, repair, rejected): no mark on the sheet
};

// One row of the revision sheet.
struct RevisionSheetRow {
    int mark = 0;                       // number of the mark on the sheet; 0: none
    std::string id, what;               // "value@R3", "value"
    int cost = 0;
    std::string zone, drawing, board;   // zone on the sheet; the places in both files
    std::string drawn, found, says;
    FindingNotes notes;
};

// One row of the parts list.
struct PartsListRow { std::string drawing, board, kind, drawn, found, remark; int mark = 0; };

// A heading over findings of one cause, and the rows it is for: "six capacitors by another maker's marking".
struct RevisionGroup { std::string says; std::vector<std::string> ids; };

struct PackContents {
    SheetFields fields;                 // owner, title, date …: also of the text pages
    std::string summary;                // what was compared, how many agree, what is unproved or unverified
    std::string drawing_file, board_file, drawing_digest, board_digest;
    std::vector<Sheet> sheets;          // annotated
    std::vector<Sheet> before;          // as drawn, for comparing; may be empty
    std::vector<RevisionSheetRow> rows;
    std::vector<RevisionGroup> groups;
    std::vector<PartsListRow> parts;
    std::vector<std::string> cautions;
    std::vector<std::string> remarks;   // assumptions made, warnings
    std::optional<ResponseSection> response;
    std::optional<SpecimenSection> specimen;
    std::optional<ScanSection> scan;
    std::vector<Attachment> attachments;
};

struct PackOptions {
    DrawOptions draw;                   // its fields are the title block; revisions and legend are filled in
    std::map<std::string, FindingNotes> notes;  // by finding id
};

// Draws the annotated sheets and gathers rows and lists. The optional sections are left empty for the caller to fill.
PackContents pack_contents(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const PackOptions& options);

// The document: sheets, revision sheet, consequences, parts list, specimen sheet, scan, the drawing as it was; bookmarks, links from
// mark to row and back, attachments.
Document pack_document(const PackContents& contents);

}  // namespace tallyboard
