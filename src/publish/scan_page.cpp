#include "publish/scan_page.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tallyboard {
namespace {

constexpr double number_size = 3.2, least_radius = 2.9, white_rim = 0.4;

// A balloon's place on the page: what it points at, and where it floats.
struct Floating { Point target, at; double radius = least_radius; std::string text; };

double distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

// Numbers that point at places closer than a millimetre share a balloon.
std::vector<Floating> gathered(const ScanSection& section, const Box& picture, double scale) {
    std::vector<Floating> all;
    for (const Balloon& balloon : section.balloons) {
        if (balloon.x < 0 || balloon.y < 0 || balloon.x > section.width || balloon.y > section.height) continue;
        const Point target{picture.x + balloon.x * scale, picture.y + balloon.y * scale};
        const auto same = std::find_if(all.begin(), all.end(), [&](const Floating& other) { return distance(other.target, target) < 1; });
        if (same != all.end()) same->text += ", " + std::to_string(balloon.number);
        else all.push_back({target, {}, least_radius, std::to_string(balloon.number)});
    }
    for (Floating& one : all) one.radius = std::max(least_radius, text_width(one.text, Face::text_bold, number_size) / 2 + 1);
    return all;
}

// How far a balloon at `at` is from being free: overlaps with the balloons placed, with every place pointed at, with the edge.
double crowding(const std::vector<Floating>& all, std::size_t n, Point at, const Box& picture) {
    const double r = all[n].radius;
    double crowd = 0;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (i < n) crowd += std::max(0.0, all[i].radius + r + 0.8 - distance(all[i].at, at));
        crowd += std::max(0.0, r + 1.4 - distance(all[i].target, at));
    }
    crowd += std::max(0.0, picture.x + r - at.x) + std::max(0.0, at.x + r - picture.x - picture.w);
    crowd += std::max(0.0, picture.y + r - at.y) + std::max(0.0, at.y + r - picture.y - picture.h);
    return crowd;
}

// The share of dark pixels under a balloon: what it would hide of the print. Known for pictures decoded here; else 0.
double hidden_print(const ScanSection& section, const Box& picture, Point at, double radius) {
    const Image& image = section.picture;
    if (image.rgb.empty()) return 0;
    constexpr int steps = 17;
    int dark = 0;
    for (int i = 0; i < steps; ++i)
        for (int k = 0; k < steps; ++k) {
            const double x = at.x + radius * (2.0 * i / (steps - 1) - 1), y = at.y + radius * (2.0 * k / (steps - 1) - 1);
            const int column = static_cast<int>((x - picture.x) / picture.w * image.width), row = static_cast<int>((y - picture.y) / picture.h * image.height);
            if (column < 0 || row < 0 || column >= image.width || row >= image.height) continue;
            const auto* pixel = reinterpret_cast<const unsigned char*>(image.rgb.data()) + 3 * (static_cast<std::size_t>(row) * static_cast<std::size_t>(image.width) + static_cast<std::size_t>(column));
            dark += pixel[0] + pixel[1] + pixel[2] < 3 * 128;
        }
    return static_cast<double>(dark) / (steps * steps);
}

// A free place near the target, looking first away from the picture's middle, where there is most room: on no other balloon, hiding no
// print, with a short leader, in this order.
void float_freely(std::vector<Floating>& all, const ScanSection& section, const Box& picture) {
    const Point middle{picture.x + picture.w / 2, picture.y + picture.h / 2};
    for (std::size_t n = 0; n < all.size(); ++n) {
        Floating& one = all[n];
        const double outward = std::atan2(one.target.y - middle.y, one.target.x - middle.x);
        double least = 1e9;
        for (double away = one.radius + 4; away < one.radius + 40; away += 2)
            for (int k = 0; k < 24; ++k) {
                const double angle = outward + (k % 2 ? 1 : -1) * ((k + 1) / 2) * std::numbers::pi / 12;
                const Point at{one.target.x + away * std::cos(angle), one.target.y + away * std::sin(angle)};
                const double score = 10 * crowding(all, n, at, picture) + 60 * hidden_print(section, picture, at, one.radius) + 0.05 * away;
                if (score >= least - 1e-9) continue;
                least = score;
                one.at = at;
            }
    }
}

void draw_leader(Page& page, const Floating& one) {
    const double length = std::max(distance(one.at, one.target), 0.1);
    const Point edge{one.at.x + (one.target.x - one.at.x) * one.radius / length, one.at.y + (one.target.y - one.at.y) * one.radius / length};
    page.items.push_back(Line{{edge, one.target}, {0.4 + 2 * white_rim, Ink::paper, Dash::solid}, false, {}});
    page.items.push_back(Circle{one.target, 0.8 + white_rim, {0.1, Ink::paper, Dash::solid}, Ink::paper});
    page.items.push_back(Line{{edge, one.target}, {0.4, Ink::added, Dash::solid}, false, {}});
    page.items.push_back(Circle{one.target, 0.8, {0.1, Ink::added, Dash::solid}, Ink::added});
}

void draw_balloon(Page& page, const Floating& one) {
    page.items.push_back(Circle{one.at, one.radius + white_rim, {0.1, Ink::paper, Dash::solid}, Ink::paper});
    page.items.push_back(Circle{one.at, one.radius, {0.4, Ink::added, Dash::solid}, Ink::paper});
    Text number = page_text(one.text, {one.at.x, one.at.y + cap_height(Face::text_bold, number_size) / 2}, number_size, true, Align::centre);
    page.items.push_back(number);
}

}  // namespace

void add_scan(TextPages& pages, Document& document, const ScanSection& section) {
    pages.new_page();
    pages.heading("Marked scan", "marked scan");
    if (!section.source.empty()) pages.paragraph(section.source);
    Table table{{{"No", 10, Align::left}, {"What is different", 180, Align::left}}, {}};
    std::vector<std::string> outside;
    for (const Balloon& balloon : section.balloons) {
        Words number(std::to_string(balloon.number), true);
        number.link = fmt::format("row {}", balloon.number);
        TableRow row;
        row.cells = {TableCell(number), balloon.says};
        table.rows.push_back(std::move(row));
        if (balloon.x < 0 || balloon.y < 0 || balloon.x > section.width || balloon.y > section.height) outside.push_back(std::to_string(balloon.number));
    }
    // The picture and what its balloons say stand on one page where that leaves the picture large enough to read.
    const double below = table.rows.empty() ? 0 : pages.height_of_table(table);
    const double room = pages.room_left() - 4 - (below < 0.35 * pages.page_room() ? below : 0);
    const double scale = std::min(pages.width() / std::max(section.width, 1), room / std::max(section.height, 1));
    const Box frame = pages.figure(section.height * scale);
    const Box picture{frame.x + (frame.w - section.width * scale) / 2, frame.y, section.width * scale, section.height * scale};
    Page& page = pages.page();
    if (section.picture.width > 0) {
        document.images.push_back(section.picture);
        page.items.push_back(PlacedImage{picture, document.images.size() - 1});
    }
    page.items.push_back(Line{{{picture.x, picture.y}, {picture.x + picture.w, picture.y}, {picture.x + picture.w, picture.y + picture.h}, {picture.x, picture.y + picture.h}},
                              {0.25, Ink::normal, Dash::solid}, true, {}});
    std::vector<Floating> balloons = gathered(section, picture, scale);
    float_freely(balloons, section, picture);
    for (const Floating& one : balloons) draw_leader(page, one);
    for (const Floating& one : balloons) draw_balloon(page, one);

    if (!table.rows.empty()) pages.table(table);
    if (!outside.empty()) pages.paragraph(fmt::format("Outside the picture: {}.", join_words(outside)));
}

Document scan_document(const std::string& title, const ScanSection& section) {
    Document document;
    document.title = title;
    TextPages pages(document, {true, title, ""});
    add_scan(pages, document, section);
    number_pages(document);
    drop_dangling_links(document);
    return document;
}

}  // namespace tallyboard
