#include "publish/specimen_page.h"

namespace tallyboard {

void add_specimen(TextPages& pages, const SpecimenSection& section) {
    pages.new_page();
    pages.heading("Specimen sheet: this unit as found and as left", "specimen sheet");
    pages.paragraph(Words(section.unit, true));
    std::string dates;
    if (!section.found_on.empty()) dates += "As found: " + section.found_on + ". ";
    if (!section.left_on.empty()) dates += "As left: " + section.left_on + ". ";
    if (!section.by.empty()) dates += "By " + section.by + ".";
    if (!dates.empty()) pages.paragraph(dates);
    if (!section.conditions.empty()) pages.paragraph(section.conditions);
    pages.cautions(section.cautions);
    // A repair without its leakage check is not finished: room to write the figure, by hand if it is not in the file.
    Table last{{{"Leakage or insulation check by the local rule", 80, Align::left}, {"Figure and instrument", 60, Align::left}, {"Date and signature", 60, Align::left}}, {}};
    TableRow room;
    room.cells = {"", "", ""};
    room.least_height = 11;
    last.rows.push_back(room);
    const double sign_off = pages.height_of_table(last);
    if (!section.rows.empty()) {
        pages.subheading("Parts");
        Table table{{{"Part", 26, Align::left}, {"As found", 60, Align::left}, {"Done", 50, Align::left}, {"As left", 40, Align::left}, {"Remark", 60, Align::left}}, {}};
        for (const SpecimenRow& row : section.rows) {
            TableRow printed;
            printed.cells = {TableCell(Words(row.part, true)), row.found, row.done, row.left, row.remark};
            table.rows.push_back(std::move(printed));
        }
        pages.table(table, section.readings.empty() ? sign_off : 0);
    }
    if (!section.readings.empty()) {
        pages.subheading("Readings before and after");
        Table table{{{"Reading", 70, Align::left}, {"As found", 35, Align::right}, {"As left", 35, Align::right}, {"Expected", 50, Align::right}}, {}};
        for (const SpecimenReading& row : section.readings) {
            TableRow printed;
            printed.cells = {row.what, row.found, row.left, row.expected};
            table.rows.push_back(std::move(printed));
        }
        pages.table(table, sign_off);
    }
    for (const std::string& remark : section.remarks) pages.paragraph(remark);
    pages.table(last);
}

Document specimen_document(const SpecimenSection& section) {
    Document document;
    document.title = "Specimen sheet: " + section.unit;
    document.author = section.by;
    document.date = section.left_on;
    TextPages pages(document, {false, section.unit, section.left_on});
    add_specimen(pages, section);
    number_pages(document);
    return document;
}

}  // namespace tallyboard
