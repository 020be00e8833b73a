// lettering: the fonts built into the program: measuring text, choosing a font by runs for glyphs that one lacks, subsets and
// outlines to embed. Fonts and licences stand in lettering/fonts/.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tallyboard {

// sheet: technical lettering (ISO 3098) for schematics; text: for pages of text.
enum class Face { sheet, text, text_bold };

// A stretch of text set in one face: `sheet` text falls back to `text` for glyphs the sheet's font lacks.
struct TextRun { Face face; std::string text; };

// Text split by the face that has its glyphs; look-alikes that no face has are replaced first (U+2126 by U+03A9, U+2212 by an
// en dash). A character that no face has becomes U+FFFD's glyph, never an empty box silently.
std::vector<TextRun> runs(std::string_view text, Face face);

// Advance width in the unit of `size`. `size` is the font's em size, not the capital height.
double text_width(std::string_view text, Face face, double size);
// Capital height, ascent (above the baseline) and descent (below, positive) of text of that size.
double cap_height(Face face, double size);
double ascent(Face face, double size);
double descent(Face face, double size);
// The em size whose capital letters are `cap` high: how sheets give letter sizes (ISO 3098: 1.8, 2.5, 3.5, 5, 7 mm).
double size_for_cap_height(Face face, double cap);

// The whole font file, for embedding.
std::string_view font_file(Face face);
// A TrueType file with just the glyphs of `text` (deterministic), for SVG.
std::string font_subset(Face face, std::string_view text);
// The number of each character's glyph in a TrueType file of font_subset, by rising character.
std::vector<std::pair<char32_t, std::uint16_t>> glyph_numbers(std::string_view font);

}  // namespace tallyboard
