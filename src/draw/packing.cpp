#include "draw/packing.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tallyboard::detail {

namespace {

constexpr int gap = 4;   // units between blocks

struct Pack { std::vector<Spot> at; int width = 0, height = 0; };

// Shelves: the first at (0, 0), then, where `column` > 0, a column of that many beside it; the others in rows below.
Pack shelves(const std::vector<Spot>& sizes, int page_width, std::size_t column) {
    Pack pack;
    pack.at.resize(sizes.size());
    int x = 0, y = 0, row = 0, beside = 0;
    std::size_t k = 1;
    row = sizes[0].y;
    for (; k < sizes.size() && k <= column; ++k) {
        pack.at[k] = {sizes[0].x + gap, beside};
        beside += sizes[k].y + gap;
        pack.width = std::max(pack.width, sizes[0].x + gap + sizes[k].x);
    }
    row = std::max(row, beside - gap);
    pack.width = std::max(pack.width, sizes[0].x);
    y = row + gap;
    pack.height = row;
    row = 0;
    for (; k < sizes.size(); ++k) {
        if (x > 0 && x + sizes[k].x > page_width) {
            x = 0;
            y += row + gap;
            row = 0;
        }
        pack.at[k] = {x, y};
        x += sizes[k].x + gap;
        row = std::max(row, sizes[k].y);
        pack.width = std::max(pack.width, x - gap);
        pack.height = std::max(pack.height, y + row);
    }
    return pack;
}

bool overlaps(const Box& a, const Box& b) { return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h; }

}  // namespace

std::vector<std::vector<Spot>> packings(const std::vector<Spot>& sizes, std::size_t most) {
    if (sizes.empty()) return {};
    int widest = 0, total = 0;
    for (Spot size : sizes) {
        widest = std::max(widest, size.x);
        total += size.x + gap;
    }
    std::vector<std::pair<double, std::vector<Spot>>> tried;
    for (std::size_t column = 0; column < std::min<std::size_t>(sizes.size(), 6); ++column)
        for (int width = widest; width <= total; width += std::max(1, (total - widest) / 24)) {
            Pack one = shelves(sizes, width, column);
            const double measure = std::max(one.width / 1.55, static_cast<double>(one.height));
            if (std::none_of(tried.begin(), tried.end(), [&](const auto& other) { return other.second == one.at; }))
                tried.emplace_back(measure, std::move(one.at));
        }
    std::stable_sort(tried.begin(), tried.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<std::vector<Spot>> best;
    for (std::size_t k = 0; k < std::min(most, tried.size()); ++k) best.push_back(std::move(tried[k].second));
    return best;
}

std::optional<Scale> fit(const std::vector<Area>& boxes, const Field& field) {
    Area all = boxes.empty() ? Area{0, 0, sub, sub} : boxes.front();
    for (const Area& box : boxes) all.include(box);
    const Box& frame = field.frame;
    for (int tenths = 30; tenths >= 20; --tenths) {
        const double module = tenths / 10.0, per = module / sub;
        const double w = all.width() * per, h = all.height() * per;
        if (w > frame.w || h > frame.h) continue;
        // Nearest to the middle of the free area first.
        const double want_x = std::clamp(field.drawing.x + (field.drawing.w - w) / 2, frame.x, frame.x + frame.w - w);
        const double want_y = std::clamp(field.drawing.y + (field.drawing.h - h) / 2, frame.y, frame.y + frame.h - h);
        double least = std::numeric_limits<double>::max();
        Point best;
        const double grid = 2.5;
        const int nx = static_cast<int>((frame.w - w) / grid), ny = static_cast<int>((frame.h - h) / grid);
        for (int iy = -1; iy <= ny; ++iy)
            for (int ix = -1; ix <= nx; ++ix) {
                const Point corner{ix < 0 ? want_x : frame.x + grid * ix, iy < 0 ? want_y : frame.y + grid * iy};
                const double away = std::abs(corner.x - want_x) + std::abs(corner.y - want_y);
                if (away >= least) continue;
                const auto place = [&](const Area& a) {
                    return Box{corner.x + (a.x0 - all.x0) * per, corner.y + (a.y0 - all.y0) * per, a.width() * per, a.height() * per};
                };
                bool free = true;
                for (const Box& taken : field.taken) {
                    if (!overlaps(place(all), taken)) continue;
                    for (const Area& box : boxes) free = free && !overlaps(place(box), taken);
                }
                if (!free) continue;
                least = away;
                best = corner;
            }
        if (least < std::numeric_limits<double>::max()) return Scale{module, {best.x - all.x0 * per, best.y - all.y0 * per}};
    }
    return {};
}

}  // namespace tallyboard::detail
