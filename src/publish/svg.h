#pragma once

#include <string>
#include <vector>

#include "draw/sheet.h"
#include "publish/document.h"

namespace tallyboard {

struct SvgOptions {
    std::string title = {};  // of the whole picture; empty: the first sheet's
    bool white_page = false; // a white page behind, black on it in dark surroundings too; else transparent, turning light on dark pages
};

// The sheets one below the other in one viewBox, in millimetres, as the format says: parts, pins, wires, ties, junctions and labels
// can be read back from it. Text is text, in fonts cut down to its glyphs and embedded. Deterministic.
std::string write_svg(const std::vector<Sheet>& sheets, const SvgOptions& options = {});

// The pages of a document one below the other, for plots and graphs by themselves.
std::string write_svg(const Document& document, const SvgOptions& options = {});

}  // namespace tallyboard
