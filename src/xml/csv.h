#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace tallyboard {

// Circuits as a spreadsheet's comma-separated values (RFC 4180). The first row names the columns: ref and kind, then any of value,
// model, tol, package, fit, on, taper, half, resistance, inductance, capacitance, note; and either pin and net (one row a pin) or
// pins (one row a part). Delimiter: comma, semicolon or tab, whichever the first row uses.

// A circuit out of such a table, checked as a circuit file is. InputError with the places in the table. In one row a pin, a row with
// an empty ref goes on with the part above; a field given again must be the same.
Circuit read_csv(SourceText text, CircuitRole role, const KindTable& kinds);

enum class CsvRows { pins, parts };
struct CsvStyle {
    CsvRows rows = CsvRows::pins;
    char delimiter = ',';
    bool decimal_comma = false;  // values are written 4,7k, quoted where the comma delimits
};
// The table of a circuit's parts. Reading it gives the same parts, pins and nets; what a table has no column for is not in it.
std::string write_csv(const Circuit& circuit, const CsvStyle& style = {});

}  // namespace tallyboard
