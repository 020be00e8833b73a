#include "cli/sheet_fields.h"

#include "base/digest.h"
#include "base/text.h"

namespace tallyboard {

SheetFields sheet_fields(const Circuit& circuit, const Settings& settings, const std::string& date) {
    const About& about = circuit.about;
    SheetFields fields;
    fields.owner = settings.owner.value_or("");
    fields.creator = settings.by.value_or(about.by);
    fields.title = about.title.empty() ? circuit.source.name() : about.title;
    std::vector<std::string> supplementary;
    for (const std::string& piece : {about.maker, about.model}) if (!piece.empty()) supplementary.push_back(piece);
    if (!about.serial.empty()) supplementary.push_back("no. " + about.serial);
    if (about.made) supplementary.push_back(about.made->text);
    fields.supplementary = join(supplementary, ", ");
    fields.date = settings.date.value_or(date);
    if (settings.number) fields.number = *settings.number;
    else if (!about.model.empty()) fields.number = about.model + (about.serial.empty() ? "" : "-" + about.serial);
    if (!circuit.revisions.empty()) fields.revision = circuit.revisions.back().letter;
    fields.redrawn_from = about.source;
    fields.digest = sha256(circuit.source.bytes());
    fields.language = "en";
    return fields;
}

}  // namespace tallyboard
