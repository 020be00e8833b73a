#include "lettering/lettering.h"

#include "base/embedded.h"

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_ADVANCES_H
#include FT_OUTLINE_H

#include <hb-subset.h>

#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <stdexcept>

TALLYBOARD_EMBEDDED(osifont)
TALLYBOARD_EMBEDDED(dejavu_condensed)
TALLYBOARD_EMBEDDED(dejavu_condensed_bold)

namespace tallyboard {
namespace {

constexpr char32_t replacement = 0xFFFD;

// What measuring needs of a face, read once from its file and const afterwards, so that threads may share it.
struct Metrics {
    double units_per_em = 1000;
    double cap = 0, above = 0, below = 0;                     // in font units, all positive
    std::vector<std::pair<char32_t, double>> advances;        // by character, rising
    std::optional<double> advance(char32_t c) const {
        const auto at = std::lower_bound(advances.begin(), advances.end(), c,
                                         [](const auto& entry, char32_t key) { return entry.first < key; });
        if (at == advances.end() || at->first != c) return {};
        return at->second;
    }
};

void require(FT_Error error, const char* doing) {
    if (error) throw std::logic_error(std::string("a font built into the program cannot be used: ") + doing);
}

// A font file opened by FreeType.
class OpenFont {
public:
    explicit OpenFont(std::string_view file) {
        FT_Library library = nullptr;
        require(FT_Init_FreeType(&library), "starting");
        library_.reset(library);
        FT_Face face = nullptr;
        require(FT_New_Memory_Face(library, reinterpret_cast<const FT_Byte*>(file.data()), static_cast<FT_Long>(file.size()), 0, &face),
                "opening");
        face_.reset(face);
    }
    FT_Face get() const { return face_.get(); }

    // Calls `tell(character, glyph)` for each character up to U+FFFF: a PDF's text is written in 16-bit codes.
    template <class Tell>
    void for_each_character(Tell tell) const {
        FT_UInt glyph = 0;
        for (FT_ULong c = FT_Get_First_Char(get(), &glyph); glyph != 0 && c <= 0xFFFF; c = FT_Get_Next_Char(get(), c, &glyph))
            tell(static_cast<char32_t>(c), glyph);
    }

private:
    std::unique_ptr<FT_LibraryRec_, decltype(&FT_Done_FreeType)> library_{nullptr, FT_Done_FreeType};
    std::unique_ptr<FT_FaceRec_, decltype(&FT_Done_Face)> face_{nullptr, FT_Done_Face};
};

Metrics read_metrics(std::string_view file) {
    const OpenFont font(file);
    const FT_Face face = font.get();
    Metrics metrics;
    metrics.units_per_em = face->units_per_EM;
    metrics.above = face->ascender;
    metrics.below = -face->descender;
    require(FT_Load_Char(face, 'H', FT_LOAD_NO_SCALE), "measuring H");
    FT_BBox box;
    FT_Outline_Get_CBox(&face->glyph->outline, &box);
    metrics.cap = static_cast<double>(box.yMax);

    font.for_each_character([&](char32_t c, FT_UInt glyph) {
        FT_Fixed advance = 0;
        require(FT_Get_Advance(face, glyph, FT_LOAD_NO_SCALE, &advance), "measuring");
        metrics.advances.emplace_back(c, static_cast<double>(advance));
    });
    std::sort(metrics.advances.begin(), metrics.advances.end());
    return metrics;
}

const Metrics& metrics_of(Face face) {
    static const std::array<Metrics, 3> all{read_metrics(osifont()), read_metrics(dejavu_condensed()),
                                            read_metrics(dejavu_condensed_bold())};
    return all[static_cast<std::size_t>(face)];
}

// One character off the front of `text`; a byte that begins none counts as one unknown character.
char32_t take_character(std::string_view& text) {
    const auto lead = static_cast<unsigned char>(text[0]);
    const std::size_t length = lead < 0x80 ? 1 : lead < 0xC2 ? 0 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 0;
    char32_t c = length <= 1 ? lead : lead & (0x7Fu >> length);
    bool good = length >= 1 && text.size() >= length;
    for (std::size_t i = 1; good && i < length; ++i) {
        const auto next = static_cast<unsigned char>(text[i]);
        good = (next & 0xC0) == 0x80;
        c = c << 6 | (next & 0x3Fu);
    }
    if (!good) {
        text.remove_prefix(1);
        return replacement;
    }
    text.remove_prefix(length);
    return c;
}

void append_character(std::string& text, char32_t c) {
    if (c < 0x80) {
        text += static_cast<char>(c);
    } else if (c < 0x800) {
        text += static_cast<char>(0xC0 | c >> 6);
        text += static_cast<char>(0x80 | (c & 0x3F));
    } else {
        text += static_cast<char>(0xE0 | c >> 12);
        text += static_cast<char>(0x80 | (c >> 6 & 0x3F));
        text += static_cast<char>(0x80 | (c & 0x3F));
    }
}

// The face that draws `c` when `face` is asked for, and the character drawn: a look-alike where no face has `c` itself.
std::pair<Face, char32_t> drawn_by(char32_t c, Face face) {
    if (c < 0x20 || c == 0x7F) c = ' ';
    if (c == 0x2126) c = 0x03A9;                                      // ohm sign: the Greek letter, as Unicode prefers
    if (c == 0x2212 && face == Face::sheet) c = 0x2013;               // minus: an en dash in technical lettering
    if (metrics_of(face).advance(c)) return {face, c};
    if (c == 0x00A0 || c == 0x202F || c == 0x2009) return {face, ' '};  // no-break and thin spaces
    if (face != Face::text && metrics_of(Face::text).advance(c)) return {Face::text, c};
    return {Face::text, replacement};
}

}  // namespace

std::vector<TextRun> runs(std::string_view text, Face face) {
    std::vector<TextRun> result;
    while (!text.empty()) {
        const auto [used, c] = drawn_by(take_character(text), face);
        if (result.empty() || result.back().face != used) result.push_back({used, {}});
        append_character(result.back().text, c);
    }
    return result;
}

double text_width(std::string_view text, Face face, double size) {
    double width = 0;
    while (!text.empty()) {
        const auto [used, c] = drawn_by(take_character(text), face);
        const Metrics& metrics = metrics_of(used);
        width += metrics.advance(c).value() / metrics.units_per_em;
    }
    return width * size;
}

double cap_height(Face face, double size) { return metrics_of(face).cap / metrics_of(face).units_per_em * size; }
double ascent(Face face, double size) { return metrics_of(face).above / metrics_of(face).units_per_em * size; }
double descent(Face face, double size) { return metrics_of(face).below / metrics_of(face).units_per_em * size; }
double size_for_cap_height(Face face, double cap) { return cap / cap_height(face, 1); }

std::string_view font_file(Face face) {
    switch (face) {
        case Face::sheet: return osifont();
        case Face::text: return dejavu_condensed();
        case Face::text_bold: return dejavu_condensed_bold();
    }
    throw std::logic_error("a face that does not exist");
}

std::string font_subset(Face face, std::string_view text) {
    const std::string_view file = font_file(face);
    const std::unique_ptr<hb_blob_t, decltype(&hb_blob_destroy)> blob(
        hb_blob_create(file.data(), static_cast<unsigned>(file.size()), HB_MEMORY_MODE_READONLY, nullptr, nullptr), hb_blob_destroy);
    const std::unique_ptr<hb_face_t, decltype(&hb_face_destroy)> whole(hb_face_create(blob.get(), 0), hb_face_destroy);
    const std::unique_ptr<hb_subset_input_t, decltype(&hb_subset_input_destroy)> input(hb_subset_input_create_or_fail(),
                                                                                      hb_subset_input_destroy);
    if (!input) throw std::bad_alloc();
    hb_set_t* wanted = hb_subset_input_unicode_set(input.get());
    hb_set_add(wanted, ' ');
    while (!text.empty()) {
        const char32_t c = take_character(text);
        if (metrics_of(face).advance(c)) hb_set_add(wanted, c);
    }
    // Letters are set one by one by their advance, as they were measured: no kerning, no ligatures, no marks moved.
    hb_set_t* dropped = hb_subset_input_set(input.get(), HB_SUBSET_SETS_DROP_TABLE_TAG);
    for (const hb_tag_t tag : {HB_TAG('G', 'P', 'O', 'S'), HB_TAG('G', 'S', 'U', 'B'), HB_TAG('G', 'D', 'E', 'F'),
                               HB_TAG('k', 'e', 'r', 'n'), HB_TAG('F', 'F', 'T', 'M')})
        hb_set_add(dropped, tag);
    hb_subset_input_set_flags(input.get(), HB_SUBSET_FLAGS_NO_HINTING);
    const std::unique_ptr<hb_face_t, decltype(&hb_face_destroy)> part(hb_subset_or_fail(whole.get(), input.get()), hb_face_destroy);
    if (!part) throw std::logic_error("a font built into the program cannot be cut down");
    const std::unique_ptr<hb_blob_t, decltype(&hb_blob_destroy)> bytes(hb_face_reference_blob(part.get()), hb_blob_destroy);
    unsigned length = 0;
    const char* data = hb_blob_get_data(bytes.get(), &length);
    return {data, length};
}

std::vector<std::pair<char32_t, std::uint16_t>> glyph_numbers(std::string_view font) {
    std::vector<std::pair<char32_t, std::uint16_t>> numbers;
    OpenFont(font).for_each_character([&](char32_t c, FT_UInt glyph) { numbers.emplace_back(c, static_cast<std::uint16_t>(glyph)); });
    return numbers;
}

}  // namespace tallyboard
