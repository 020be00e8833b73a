#include "publish/svg.h"

#include "base/number_text.h"
#include "publish/escaped.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace tallyboard {
namespace {

using detail::escaped;

constexpr double gap_between_pages = 10;

// Millimetres to three places, without the zeros at the end. The same length is always the same text, whichever sum it came
// from: a thousandth is rounded a hair above the half, where no length of a sheet lies.
std::string number(double length) {
    if (!std::isfinite(length) || std::abs(length) > 1e6) throw std::logic_error("a length on a sheet is no number");
    std::string text = fixed_text(std::floor(length * 1000 + 0.5 + 1e-6) / 1000, 3);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text == "-0" ? "0" : text;
}

std::string base64(std::string_view bytes) {
    static constexpr char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve(bytes.size() * 4 / 3 + 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const auto byte = [&](std::size_t k) { return i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0u; };
        const unsigned three = byte(0) << 16 | byte(1) << 8 | byte(2);
        for (std::size_t k = 0; k < 4; ++k)
            text += i + k <= bytes.size() ? letters[three >> (18 - 6 * k) & 63] : '=';
    }
    return text;
}

constexpr std::array<std::string_view, 3> family_names{"tb-sheet", "tb-text", "tb-bold"};
std::string_view family_of(Face face) { return family_names[static_cast<std::size_t>(face)]; }

std::string colour_of(double grey) {
    const int level = static_cast<int>(std::lround(std::clamp(grey, 0.0, 1.0) * 255));
    return fmt::format("#{0:02X}{0:02X}{0:02X}", level);
}

// Writes elements; `top` is where the page at hand begins in the picture, and the text used is gathered for the fonts.
class Writer {
public:
    double top = 0;

    std::string point(Point p) const { return number(p.x) + "," + number(p.y + top); }
    std::string points(const std::vector<Point>& all) const {
        std::string text;
        for (const Point& p : all) text += (text.empty() ? "" : " ") + point(p);
        return text;
    }
    std::string box(const Box& b) const {
        return number(b.x) + " " + number(b.y + top) + " " + number(b.w) + " " + number(b.h);
    }
    void put(std::string_view text) { body_ += text; }

    void wire(const Wire& wire) {
        body_ += fmt::format("<polyline class=\"wire\" points=\"{}\"{}/>\n", points(wire.points), stroke(wire.pen));
    }
    void pin(Point at, std::string_view name) {
        body_ += "<circle class=\"pin\"";
        if (!name.empty()) body_ += fmt::format(" data-pin=\"{}\"", escaped(name));
        body_ += fmt::format(" cx=\"{}\" cy=\"{}\" r=\"0\"/>\n", number(at.x), number(at.y + top));
    }
    void junction(const Junction& junction) {
        body_ += fmt::format("<circle class=\"junction\" cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\"/>\n", number(junction.at.x),
                             number(junction.at.y + top), number(junction.radius), tallyboard::colour_of(junction.ink));
    }
    void label(const Label& label) {
        text(label.text, fmt::format(" class=\"label\" data-box=\"{}\"", box(label.box)));
        if (label.struck) draw(strike_of(label));
    }

    void draw(const Line& line) {
        const std::string fill = line.fill ? std::string(tallyboard::colour_of(*line.fill)) : "none";
        body_ += fmt::format("<{} points=\"{}\" fill=\"{}\"{}/>\n", line.closed ? "polygon" : "polyline", points(line.points), fill,
                             stroke(line.pen));
    }
    void draw(const Circle& circle) {
        const std::string fill = circle.fill ? std::string(tallyboard::colour_of(*circle.fill)) : "none";
        body_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\"{}/>\n", number(circle.centre.x),
                             number(circle.centre.y + top), number(circle.radius), fill, stroke(circle.pen));
    }
    void draw(const Arc& arc) {
        const auto at = [&](double degrees) {
            const double angle = degrees * std::numbers::pi / 180;
            return point({arc.centre.x + arc.radius * std::cos(angle), arc.centre.y - arc.radius * std::sin(angle)});
        };
        const std::string r = number(arc.radius);
        body_ += fmt::format("<path d=\"M{} A{} {} 0 {} 0 {}\" fill=\"none\"{}/>\n", at(arc.from), r, r,
                             arc.to - arc.from > 180 ? 1 : 0, at(arc.to), stroke(arc.pen));
    }
    void draw(const Text& item) { text(item, ""); }
    void draw(const Shade& shade) {
        body_ += fmt::format("<polygon points=\"{}\" fill=\"{}\"/>\n", points(shade.outline), colour_of(shade.grey));
    }
    void draw(const PlacedImage&) { throw std::logic_error("pictures stand in PDF documents alone"); }
    void draw(const Clip& clip) {
        if (clip.box) {
            const Box& b = *clip.box;
            body_ += fmt::format("<clipPath id=\"clip{0}\"><rect x=\"{1}\" y=\"{2}\" width=\"{3}\" height=\"{4}\"/></clipPath>"
                                 "<g clip-path=\"url(#clip{0})\">\n", ++clips_, number(b.x), number(b.y + top), number(b.w), number(b.h));
        } else {
            body_ += "</g>\n";
        }
    }
    void draw(const Item& item) { std::visit([&](const auto& shape) { draw(shape); }, item); }
    void anchor(const Anchor& anchor) {
        body_ += fmt::format("<path id=\"{}\" d=\"M{}\"/>\n", escaped(anchor.name), point(anchor.at));
    }
    void link(const Link& link) {
        body_ += fmt::format("<a href=\"#{}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" pointer-events=\"all\"/></a>\n",
                             escaped(link.to), number(link.box.x), number(link.box.y + top), number(link.box.w), number(link.box.h));
    }

    std::string picture(double width, double height, std::string_view title, bool white_page) const {
        std::string text = fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}mm\" height=\"{1}mm\" "
            "stroke-linecap=\"round\" stroke-linejoin=\"round\">\n<title>{2}</title>\n<style>\n",
            number(width), number(height), escaped(title));
        for (std::size_t i = 0; i < used_.size(); ++i)
            if (!used_[i].empty())
                text += fmt::format("@font-face {{ font-family: \"{}\"; src: url(data:font/ttf;base64,{}) format(\"truetype\"); }}\n",
                                    family_names[i], base64(font_subset(static_cast<Face>(i), used_[i])));
        // As measured: no kerning, no ligatures.
        text += "text { font-kerning: none; font-variant-ligatures: none; white-space: pre; }\n"
                "polyline.wire { fill: none; }\n";
        if (!white_page)
            text += "@media (prefers-color-scheme: dark) {\n"
                    "[stroke=\"#000000\"] { stroke: #E8E8E8; } [fill=\"#000000\"] { fill: #E8E8E8; }\n"
                    "[stroke=\"#D55E00\"] { stroke: #FF9E5C; } [fill=\"#D55E00\"] { fill: #FF9E5C; }\n"
                    "[stroke=\"#00407A\"] { stroke: #8FC7FF; } [fill=\"#00407A\"] { fill: #8FC7FF; }\n"
                    "[stroke=\"#009E73\"] { stroke: #4FD6A8; } [fill=\"#009E73\"] { fill: #4FD6A8; }\n"
                    "[stroke=\"#6B6B6B\"] { stroke: #A8A8A8; } [fill=\"#6B6B6B\"] { fill: #A8A8A8; }\n"
                    "[stroke=\"#FFFFFF\"] { stroke: #1B1B1B; } [fill=\"#FFFFFF\"] { fill: #1B1B1B; }\n"
                    "polygon[fill=\"#E6E6E6\"] { fill: #3A3A3A; } polygon[fill=\"#D9D9D9\"] { fill: #464646; }\n}\n";
        text += "</style>\n";
        if (white_page)
            text += fmt::format("<rect x=\"0\" y=\"0\" width=\"{}\" height=\"{}\" fill=\"#FFFFFF\"/>\n", number(width), number(height));
        return text + body_ + "</svg>\n";
    }

private:
    std::string stroke(const Pen& pen) const {
        std::string text = fmt::format(" stroke=\"{}\" stroke-width=\"{}\"", tallyboard::colour_of(pen.ink), number(pen.width));
        if (pen.dash == Dash::dashed) text += " stroke-dasharray=\"1.4 1.05\" stroke-linecap=\"butt\"";
        if (pen.dash == Dash::dash_dot) text += " stroke-dasharray=\"2.8 1.05 0.35 1.05\" stroke-linecap=\"butt\"";
        return text;
    }

    // Fonts are asked for in the order of the runs' fallback, and each embedded font has just the glyphs that it was chosen
    // for, so a browser sets every character in the face it was measured in.
    void text(const Text& item, std::string_view attributes) {
        std::string shown, families;
        for (const TextRun& run : runs(item.text, item.face)) {
            shown += run.text;
            used_[static_cast<std::size_t>(run.face)] += run.text;
        }
        families = family_of(item.face);
        if (item.face != Face::text) families += fmt::format(", {}", family_of(Face::text));
        used_[static_cast<std::size_t>(item.face)] += ' ';
        const std::string_view colour = tallyboard::colour_of(item.ink);
        std::string element = fmt::format("<text{} x=\"{}\" y=\"{}\" font-family=\"{}, sans-serif\" font-size=\"{}\" fill=\"{}\"", attributes,
                                          number(item.at.x), number(item.at.y + top), families, number(item.size), colour);
        if (item.align == Align::centre) element += " text-anchor=\"middle\"";
        if (item.align == Align::right) element += " text-anchor=\"end\"";
        if (item.halo)
            element += fmt::format(" stroke=\"#FFFFFF\" stroke-width=\"{}\" paint-order=\"stroke\"", number(halo_stroke));
        else if (item.heavy)
            element += fmt::format(" stroke=\"{}\" stroke-width=\"{}\"", colour, number(heavy_stroke * item.size));
        element += fmt::format(">{}</text>\n", escaped(shown));
        body_ += item.link.empty() ? element : fmt::format("<a href=\"#{}\">{}</a>\n", escaped(item.link), element);
    }

    std::string body_;
    std::array<std::string, 3> used_;
    int clips_ = 0;
};

void write_part(Writer& writer, const PartFigure& part) {
    writer.put(fmt::format("<g class=\"part\" data-ref=\"{}\" data-kind=\"{}\" data-box=\"{}\">\n", escaped(part.ref), escaped(part.kind),
                           writer.box(part.box)));
    for (const PinSpot& pin : part.pins) writer.pin(pin.at, pin.name);
    for (const Item& item : part.items) writer.draw(item);
    writer.put("</g>\n");
}

void write_tie(Writer& writer, const TieFigure& tie) {
    writer.put(fmt::format("<g class=\"tie\" data-net=\"{}\" data-box=\"{}\">\n", escaped(tie.net), writer.box(tie.box)));
    writer.pin(tie.pin, {});
    for (const Item& item : tie.items) writer.draw(item);
    writer.put("</g>\n");
}

void write_sheet(Writer& writer, const Sheet& sheet, std::size_t n) {
    writer.put(fmt::format("<g class=\"sheet\" data-sheet=\"{}\">\n", n));
    for (const Anchor& anchor : sheet.anchors) writer.anchor(anchor);
    for (const Item& item : sheet.furniture) writer.draw(item);
    for (const Wire& wire : sheet.wires) writer.wire(wire);
    for (const PartFigure& part : sheet.parts) write_part(writer, part);
    for (const TieFigure& tie : sheet.ties) write_tie(writer, tie);
    for (const Junction& junction : sheet.junctions) writer.junction(junction);
    for (const Label& label : sheet.labels) writer.label(label);
    for (const Item& item : sheet.marks) writer.draw(item);
    for (const Link& link : sheet.links) writer.link(link);
    writer.put("</g>\n");
}

}  // namespace

std::string write_svg(const std::vector<Sheet>& sheets, const SvgOptions& options) {
    Writer writer;
    double width = 0, height = 0;
    for (std::size_t i = 0; i < sheets.size(); ++i) {
        if (i > 0) height += gap_between_pages;
        writer.top = height;
        write_sheet(writer, sheets[i], i + 1);
        width = std::max(width, sheets[i].width);
        height += sheets[i].height;
    }
    const std::string title = !options.title.empty() || sheets.empty() ? options.title : sheets.front().title;
    return writer.picture(width, height, title, options.white_page);
}

std::string write_svg(const Document& document, const SvgOptions& options) {
    Writer writer;
    double width = 0, height = 0;
    for (const Page& page : document.pages) {
        if (height > 0) height += gap_between_pages;
        writer.top = height;
        for (const Anchor& anchor : page.anchors) writer.anchor(anchor);
        for (const PageItem& item : page.items) std::visit([&](const auto& shape) { writer.draw(shape); }, item);
        for (const Link& link : page.links) writer.link(link);
        width = std::max(width, page.width);
        height += page.height;
    }
    return writer.picture(width, height, options.title.empty() ? document.title : options.title, options.white_page);
}

}  // namespace tallyboard
