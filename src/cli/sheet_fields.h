#pragma once

#include "cli/files.h"
#include "draw/fields.h"

namespace tallyboard {

// The title block of a circuit's sheet: title, maker, model, serial and year from <about>, owner and hand from the settings,
// the date given or the latest in the inputs, the file's digest, the cautions that the circuit asks for.
SheetFields sheet_fields(const Circuit& circuit, const Settings& settings, const std::string& date);

}  // namespace tallyboard
