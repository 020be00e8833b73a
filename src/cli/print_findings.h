#pragma once

#include <string>

#include "compare/compare.h"
#include "compare/why.h"

namespace tallyboard {

// A comparison for people: what was compared, a line or two a finding, the summary.
std::string comparison_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison);

// Why a part is paired as it is, for people.
std::string why_text(const Why& why);

// `text` wrapped to `width` characters, lines after the first behind `indent` blanks; the first is taken to begin there.
std::string wrapped(const std::string& text, std::size_t indent, std::size_t width = 100);

// `text` with blanks behind it up to `width` characters; a longer one as it is.
std::string padded(const std::string& text, std::size_t width);

}  // namespace tallyboard
