#include "publish/pdf.h"

#include "publish/pdf_finish.h"

#include <hpdf.h>

#include <fmt/format.h>

#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>
#include <numbers>
#include <stdexcept>

namespace tallyboard {
namespace {

constexpr double points_a_millimetre = 72 / 25.4;
constexpr std::size_t longest_text = 4000;  // bytes in one text operator: the library takes 32,767

// The library's own record of what went wrong lies in return codes that are sometimes 0; the handler keeps the first.
struct Trouble { HPDF_STATUS first = 0, detail = 0; };
void note_trouble(HPDF_STATUS error, HPDF_STATUS detail, void* data) {
    auto* trouble = static_cast<Trouble*>(data);
    if (trouble->first == 0) *trouble = {error, detail};
}

HPDF_REAL in_range(double length, const char* what) {
    // Beyond 32,767 the library clamps without a word, and what is no number it writes as garbage.
    if (!std::isfinite(length) || std::abs(length) > 32000) throw std::logic_error(fmt::format("{} cannot be drawn", what));
    return static_cast<HPDF_REAL>(length);
}
HPDF_REAL points(double millimetres) { return in_range(millimetres * points_a_millimetre, "a length"); }

struct Colour { HPDF_REAL r, g, b; };
Colour colour(Ink ink) {
    const std::string_view code = colour_of(ink);
    const auto part = [&](std::size_t at) {
        const auto digit = [](char c) { return c <= '9' ? c - '0' : c - 'A' + 10; };
        return static_cast<HPDF_REAL>(digit(code[at]) * 16 + digit(code[at + 1])) / 255;
    };
    return {part(1), part(3), part(5)};
}

// A file in memory that the library can open by name: it reads fonts from files alone.
class MemoryFile {
public:
    explicit MemoryFile(std::string_view bytes) : descriptor_(memfd_create("font", MFD_CLOEXEC)) {
        if (descriptor_ < 0) throw std::runtime_error("no memory for a font");
        for (std::size_t done = 0; done < bytes.size();) {
            const ssize_t written = write(descriptor_, bytes.data() + done, bytes.size() - done);
            if (written <= 0) {
                close(descriptor_);
                throw std::runtime_error("no memory for a font");
            }
            done += static_cast<std::size_t>(written);
        }
    }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    ~MemoryFile() { close(descriptor_); }
    std::string path() const { return fmt::format("/proc/self/fd/{}", descriptor_); }

private:
    int descriptor_;
};

class PdfWriter {
public:
    explicit PdfWriter(const Document& document)
        : document_(document), pdf_(HPDF_New(note_trouble, &trouble_), HPDF_Free) {
        if (!pdf_) throw std::bad_alloc();
        HPDF_SetCompressionMode(pdf_.get(), HPDF_COMP_ALL);
        HPDF_UseUTFEncodings(pdf_.get());
        HPDF_SetCurrentEncoder(pdf_.get(), "UTF-8");
        load_fonts();
        require("starting");
    }

    std::string bytes() {
        for (const Image& image : document_.images) images_.push_back(load(image));
        for (const Page& page : document_.pages) write(page);
        write_links();
        write_bookmarks();
        write_info();
        require("the document");
        HPDF_SaveToStream(pdf_.get());
        HPDF_ResetStream(pdf_.get());
        std::string result(HPDF_GetStreamSize(pdf_.get()), '\0');
        HPDF_UINT32 size = static_cast<HPDF_UINT32>(result.size());
        HPDF_ReadFromStream(pdf_.get(), reinterpret_cast<HPDF_BYTE*>(result.data()), &size);
        result.resize(size);
        require("saving");
        return result;
    }

    const std::map<std::string, std::string>& font_files() const { return font_files_; }

private:
    void require(const char* where) const {
        if (trouble_.first != 0)
            throw std::logic_error(fmt::format("the PDF library refuses {}: {:#x} {}", where, trouble_.first, trouble_.detail));
    }

    // ---- fonts ----

    // Each face is cut down to the glyphs the document uses. The library only measures them; finishing embeds them.
    void load_fonts() {
        std::array<std::string, 3> used;
        for (const Page& page : document_.pages)
            for (const PageItem& item : page.items)
                if (const auto* text = std::get_if<Text>(&item))
                    for (const TextRun& run : runs(text->text, text->face)) used[static_cast<std::size_t>(run.face)] += run.text;
        for (std::size_t i = 0; i < used.size(); ++i) {
            if (used[i].empty()) continue;
            std::string subset = font_subset(static_cast<Face>(i), used[i]);
            const MemoryFile file(subset);
            const char* name = HPDF_LoadTTFontFromFile(pdf_.get(), file.path().c_str(), HPDF_FALSE);
            require("a font");
            font_files_[name] = std::move(subset);
            fonts_[i] = HPDF_GetFont(pdf_.get(), name, "UTF-8");
            require("a font");
        }
    }

    // ---- images ----

    HPDF_Image load(const Image& image) {
        const auto width = static_cast<HPDF_UINT>(image.width), height = static_cast<HPDF_UINT>(image.height);
        HPDF_Image loaded = nullptr;
        if (!image.jpeg.empty()) {
            loaded = HPDF_LoadJpegImageFromMem(pdf_.get(), reinterpret_cast<const HPDF_BYTE*>(image.jpeg.data()),
                                               static_cast<HPDF_UINT>(image.jpeg.size()));
        } else {
            loaded = HPDF_LoadRawImageFromMem(pdf_.get(), reinterpret_cast<const HPDF_BYTE*>(image.rgb.data()), width, height,
                                              HPDF_CS_DEVICE_RGB, 8);
            if (!image.alpha.empty()) {
                HPDF_Image mask = HPDF_LoadRawImageFromMem(pdf_.get(), reinterpret_cast<const HPDF_BYTE*>(image.alpha.data()), width,
                                                           height, HPDF_CS_DEVICE_GRAY, 8);
                HPDF_Image_AddSMask(loaded, mask);
            }
        }
        require("a picture");
        if (!loaded) throw std::logic_error("the PDF library refuses a picture");
        return loaded;
    }

    // ---- pages ----

    HPDF_REAL x(double millimetres) const { return points(millimetres); }
    HPDF_REAL y(double millimetres) const { return points(height_ - millimetres); }

    void write(const Page& page) {
        page_ = HPDF_AddPage(pdf_.get());
        pages_.push_back(page_);
        height_ = page.height;
        HPDF_Page_SetWidth(page_, points(page.width));
        HPDF_Page_SetHeight(page_, points(page.height));
        HPDF_Page_SetLineCap(page_, HPDF_ROUND_END);
        HPDF_Page_SetLineJoin(page_, HPDF_ROUND_JOIN);
        for (const PageItem& item : page.items) {
            std::visit([&](const auto& shape) { draw(shape); }, item);
            require("a page");
        }
        if (clipped_) draw(Clip{});
        for (const Anchor& anchor : page.anchors) {
            HPDF_Destination destination = HPDF_Page_CreateDestination(page_);
            // A little above and left of the place; the zoom, which the library wants, is taken out again in finishing.
            HPDF_Destination_SetXYZ(destination, x(std::max(anchor.at.x - 15, 0.0)), y(std::max(anchor.at.y - 15, 0.0)), 1);
            anchors_[anchor.name] = destination;
        }
        require("a page");
    }

    void set(const Pen& pen) {
        const Colour c = colour(pen.ink);
        HPDF_Page_SetRGBStroke(page_, c.r, c.g, c.b);
        HPDF_Page_SetLineWidth(page_, points(pen.width));
        // Whole points: the library's dashes are integers.
        static constexpr HPDF_UINT16 dashed[] = {4, 3}, dash_dot[] = {8, 3, 1, 3};
        switch (pen.dash) {
            case Dash::solid: HPDF_Page_SetDash(page_, nullptr, 0, 0); break;
            case Dash::dashed: HPDF_Page_SetDash(page_, dashed, 2, 0); break;
            case Dash::dash_dot: HPDF_Page_SetDash(page_, dash_dot, 4, 0); break;
        }
        HPDF_Page_SetLineCap(page_, pen.dash == Dash::solid ? HPDF_ROUND_END : HPDF_BUTT_END);
    }
    void set_fill(Ink ink) {
        const Colour c = colour(ink);
        HPDF_Page_SetRGBFill(page_, c.r, c.g, c.b);
    }

    void trace(const std::vector<Point>& all) {
        HPDF_Page_MoveTo(page_, x(all.front().x), y(all.front().y));
        for (std::size_t i = 1; i < all.size(); ++i) HPDF_Page_LineTo(page_, x(all[i].x), y(all[i].y));
    }

    void draw(const Line& line) {
        if (line.points.size() < 2) return;
        set(line.pen);
        if (line.fill) set_fill(*line.fill);
        trace(line.points);
        if (line.closed && line.fill) HPDF_Page_ClosePathFillStroke(page_);
        else if (line.closed) HPDF_Page_ClosePathStroke(page_);
        else if (line.fill) HPDF_Page_FillStroke(page_);
        else HPDF_Page_Stroke(page_);
    }
    void draw(const Circle& circle) {
        if (circle.radius <= 0) return;
        set(circle.pen);
        if (circle.fill) set_fill(*circle.fill);
        HPDF_Page_Circle(page_, x(circle.centre.x), y(circle.centre.y), points(circle.radius));
        if (circle.fill) HPDF_Page_FillStroke(page_);
        else HPDF_Page_Stroke(page_);
    }
    // Bézier curves of at most a quarter turn each: the handle is 4/3·tan(angle/4) radii long.
    void draw(const Arc& arc) {
        set(arc.pen);
        const int pieces = std::max(1, static_cast<int>(std::ceil((arc.to - arc.from) / 90 - 1e-9)));
        const double step = (arc.to - arc.from) / pieces * std::numbers::pi / 180;
        const double handle = 4.0 / 3 * std::tan(step / 4) * arc.radius;
        double angle = arc.from * std::numbers::pi / 180;
        const auto at = [&](double a, double along) {
            return Point{arc.centre.x + arc.radius * std::cos(a) - along * std::sin(a),
                         arc.centre.y - arc.radius * std::sin(a) - along * std::cos(a)};
        };
        const Point start = at(angle, 0);
        HPDF_Page_MoveTo(page_, x(start.x), y(start.y));
        for (int i = 0; i < pieces; ++i, angle += step) {
            const Point a = at(angle, handle), b = at(angle + step, -handle), end = at(angle + step, 0);
            HPDF_Page_CurveTo(page_, x(a.x), y(a.y), x(b.x), y(b.y), x(end.x), y(end.y));
        }
        HPDF_Page_Stroke(page_);
    }
    void draw(const Shade& shade) {
        if (shade.outline.size() < 3) return;
        HPDF_Page_SetGrayFill(page_, static_cast<HPDF_REAL>(std::clamp(shade.grey, 0.0, 1.0)));
        trace(shade.outline);
        HPDF_Page_ClosePath(page_);
        HPDF_Page_Fill(page_);
    }
    void draw(const Clip& clip) {
        if (clipped_) HPDF_Page_GRestore(page_);
        clipped_ = clip.box.has_value();
        if (!clipped_) return;
        HPDF_Page_GSave(page_);
        HPDF_Page_Rectangle(page_, x(clip.box->x), y(clip.box->y + clip.box->h), points(clip.box->w), points(clip.box->h));
        HPDF_Page_Clip(page_);
        HPDF_Page_EndPath(page_);
    }

    void draw(const Text& item) {
        if (item.text.empty()) return;
        double left = item.at.x;
        const double width = text_width(item.text, item.face, item.size);
        if (item.align == Align::centre) left -= width / 2;
        if (item.align == Align::right) left -= width;
        if (item.halo) {
            set(Pen{halo_stroke, Ink::paper, Dash::solid});
            set_runs(item, left, HPDF_STROKE);
        }
        if (item.heavy) set(Pen{heavy_stroke * item.size, item.ink, Dash::solid});
        set_fill(item.ink);
        set_runs(item, left, item.heavy ? HPDF_FILL_THEN_STROKE : HPDF_FILL);
        if (!item.link.empty())
            links_.push_back({page_, {x(left), y(item.at.y + descent(item.face, item.size)), x(left + width),
                                      y(item.at.y - cap_height(item.face, item.size) * 1.2)}, item.link});
    }
    void set_runs(const Text& item, double left, HPDF_TextRenderingMode mode) {
        for (const TextRun& run : runs(item.text, item.face)) {
            for (std::size_t begin = 0; begin < run.text.size();) {
                std::size_t end = std::min(begin + longest_text, run.text.size());
                while (end < run.text.size() && (static_cast<unsigned char>(run.text[end]) & 0xC0) == 0x80) --end;
                const std::string piece = run.text.substr(begin, end - begin);
                HPDF_Page_BeginText(page_);
                HPDF_Page_SetTextRenderingMode(page_, mode);
                HPDF_Page_SetFontAndSize(page_, fonts_[static_cast<std::size_t>(run.face)], points(item.size));
                HPDF_Page_TextOut(page_, x(left), y(item.at.y), piece.c_str());
                HPDF_Page_EndText(page_);
                left += text_width(piece, run.face, item.size);
                begin = end;
            }
        }
    }

    // The picture's unit square goes to the box, turned as the camera says (EXIF orientations 1 … 8).
    void draw(const PlacedImage& placed) {
        const Image& image = document_.images.at(placed.image);
        struct Matrix { double a, b, c, d, e, f; };
        static constexpr std::array<Matrix, 8> turns{{{1, 0, 0, 1, 0, 0}, {-1, 0, 0, 1, 1, 0}, {-1, 0, 0, -1, 1, 1}, {1, 0, 0, -1, 0, 1},
                                                      {0, -1, -1, 0, 1, 1}, {0, -1, 1, 0, 0, 1}, {0, 1, 1, 0, 0, 0}, {0, 1, -1, 0, 1, 0}}};
        const Matrix& m = turns[static_cast<std::size_t>(std::clamp(image.upright, 1, 8) - 1)];
        const HPDF_REAL w = points(placed.box.w), h = points(placed.box.h);
        HPDF_Page_GSave(page_);
        HPDF_Page_Concat(page_, static_cast<HPDF_REAL>(m.a) * w, static_cast<HPDF_REAL>(m.b) * h, static_cast<HPDF_REAL>(m.c) * w,
                         static_cast<HPDF_REAL>(m.d) * h, x(placed.box.x) + static_cast<HPDF_REAL>(m.e) * w,
                         y(placed.box.y + placed.box.h) + static_cast<HPDF_REAL>(m.f) * h);
        HPDF_Page_ExecuteXObject(page_, images_.at(placed.image));
        HPDF_Page_GRestore(page_);
    }

    // ---- structure ----

    HPDF_Destination destination(const std::string& anchor) const {
        const auto at = anchors_.find(anchor);
        if (at == anchors_.end()) throw std::logic_error(fmt::format("a link goes to \"{}\", which is nowhere", anchor));
        return at->second;
    }

    void write_links() {
        for (std::size_t i = 0; i < pages_.size(); ++i) {
            height_ = document_.pages[i].height;
            for (const Link& link : document_.pages[i].links)
                links_.push_back({pages_[i], {x(link.box.x), y(link.box.y + link.box.h), x(link.box.x + link.box.w), y(link.box.y)}, link.to});
        }
        for (const PageLink& link : links_) {
            HPDF_Annotation note = HPDF_Page_CreateLinkAnnot(link.page, link.box, destination(link.to));
            HPDF_LinkAnnot_SetBorderStyle(note, 0, 0, 0);
        }
    }

    void write_bookmarks() {
        std::vector<HPDF_Outline> open;  // the last one of each level
        for (const Bookmark& bookmark : document_.bookmarks) {
            const auto level = std::min(static_cast<std::size_t>(std::max(bookmark.level, 0)), open.size());
            open.resize(level);
            HPDF_Outline outline = HPDF_CreateOutline(pdf_.get(), open.empty() ? nullptr : open.back(), bookmark.title.c_str(),
                                                      HPDF_GetCurrentEncoder(pdf_.get()));
            HPDF_Outline_SetDestination(outline, destination(bookmark.anchor));
            HPDF_Outline_SetOpened(outline, level == 0 ? HPDF_TRUE : HPDF_FALSE);
            open.push_back(outline);
        }
        if (!document_.bookmarks.empty()) HPDF_SetPageMode(pdf_.get(), HPDF_PAGE_MODE_USE_OUTLINE);
    }

    void write_info() {
        const auto info = [&](HPDF_InfoType what, const std::string& text) {
            if (!text.empty()) HPDF_SetInfoAttr(pdf_.get(), what, text.c_str());
        };
        info(HPDF_INFO_TITLE, document_.title);
        info(HPDF_INFO_AUTHOR, document_.author);
        info(HPDF_INFO_SUBJECT, document_.subject);
        info(HPDF_INFO_CREATOR, "tallyboard");
    }

    struct PageLink { HPDF_Page page; HPDF_Rect box; std::string to; };

    const Document& document_;
    Trouble trouble_;
    std::unique_ptr<std::remove_pointer_t<HPDF_Doc>, decltype(&HPDF_Free)> pdf_;
    std::array<HPDF_Font, 3> fonts_{};
    std::map<std::string, std::string> font_files_;  // by the library's name
    std::vector<HPDF_Image> images_;
    std::vector<HPDF_Page> pages_;
    HPDF_Page page_ = nullptr;
    double height_ = 0;
    bool clipped_ = false;
    std::map<std::string, HPDF_Destination> anchors_;
    std::vector<PageLink> links_;
};

}  // namespace

std::string write_pdf(const Document& document) {
    if (document.pages.empty()) throw std::logic_error("a document without pages");
    PdfWriter writer(document);
    const std::string bytes = writer.bytes();
    return detail::finished_pdf(bytes, document, writer.font_files());
}

std::string write_pdf(const std::vector<Sheet>& sheets, const PdfOptions& options) {
    Document document;
    document.title = options.title;
    document.author = options.author;
    document.subject = options.subject;
    document.date = options.date;
    document.attachments = options.attachments;
    add_sheets(document, sheets);
    drop_dangling_links(document);
    return write_pdf(document);
}

}  // namespace tallyboard
