#pragma once

#include <string>

#include "publish/document.h"

namespace tallyboard::detail {

// What the PDF library leaves undone, on the bytes it wrote: a sound ToUnicode map, XMP, language, attachments, a file
// identifier that depends on the contents alone, version 1.7.
std::string finished_pdf(const std::string& bytes, const Document& document);

}  // namespace tallyboard::detail
