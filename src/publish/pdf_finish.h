#pragma once

#include <map>
#include <string>

#include "publish/document.h"

namespace tallyboard::detail {

// What the PDF library leaves undone, on the bytes it wrote: the fonts themselves with their maps, XMP, language, attachments, a file
// identifier that depends on the contents alone, version 1.7. `fonts`: the TrueType file of each font by the name the library gave it.
std::string finished_pdf(const std::string& bytes, const Document& document, const std::map<std::string, std::string>& fonts);

}  // namespace tallyboard::detail
