#pragma once

#include <deque>
#include <vector>

#include "circuit/diagnoses.h"
#include "circuit/rows.h"
#include "xml/document.h"

namespace tallyboard {

// The cells of a CSV text with their places.
struct CsvTable {
    char delimiter = ',';
    std::vector<std::vector<Written>> rows;  // the first names the columns; blank lines left out
    std::deque<Decoded> decoded;             // cells that quoting makes differ from their bytes
};

// Splits the text as RFC 4180 says; a bare line feed or carriage return ends a row too. Tells stray and missing quotes and rows
// longer than the first.
CsvTable read_csv_table(const SourceText& text, Diagnoses& diagnoses);

// A field as it may stand in a row, quoted where it must be.
std::string csv_field(std::string_view text, char delimiter);

}  // namespace tallyboard
