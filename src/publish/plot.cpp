#include "publish/plot.h"

#include "base/number_text.h"
#include "publish/text_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tallyboard {
namespace {

constexpr double label_size = 2.6;

// A line of the grid, level or upright: light, so that a copy still shows the curves first.
Shade grid_line(Point a, Point b, double width) {
    const double x = a.x == b.x ? width / 2 : 0, y = a.x == b.x ? 0 : width / 2;
    return {{{a.x - x, a.y - y}, {b.x + x, b.y - y}, {b.x + x, b.y + y}, {a.x - x, a.y + y}}, 0.6};
}

// The step of an axis: 1, 2 or 5 times a power of ten, at most `most` of them in the range.
double axis_step(double range, double most) {
    double step = std::pow(10.0, std::floor(std::log10(range / most)));
    for (const double factor : {2.0, 2.5, 2.0})
        if (range / step > most) step *= factor;
    return step;
}

std::string hertz(double hz) { return hz >= 1000 ? rounded_text(hz / 1000, 3) + "k" : rounded_text(hz, 3); }

class Axes {
public:
    Axes(const Box& area, const FrequencyPlot& plot) : area_(area), plot_(plot) {
        from_ = std::log10(plot.hz.front());
        to_ = std::max(std::log10(plot.hz.back()), from_ + 0.1);
        double low = 1e300, high = -1e300;
        const auto take = [&](const std::vector<std::optional<double>>& values) {
            for (const auto& value : values)
                if (value) std::tie(low, high) = std::pair(std::min(low, *value), std::max(high, *value));
        };
        for (const PlotBand& band : plot.bands) {
            take(band.low);
            take(band.high);
        }
        for (const PlotLine& line : plot.lines) take(line.values);
        if (low > high) low = high = 0;
        if (high - low < plot.least_range) {
            const double middle = (low + high) / 2;
            low = middle - plot.least_range / 2;
            high = middle + plot.least_range / 2;
        }
        step_ = axis_step((high - low) * 1.1, std::max(2.0, area.h / 9));
        low_ = std::floor(low / step_ - 0.05) * step_;
        high_ = std::ceil(high / step_ + 0.05) * step_;
    }

    double x(double hz) const { return area_.x + (std::log10(hz) - from_) / (to_ - from_) * area_.w; }
    double y(double value) const { return area_.y + (high_ - value) / (high_ - low_) * area_.h; }

    void draw(Page& page) const {
        for (double decade = std::pow(10.0, std::floor(from_)); decade <= std::pow(10.0, to_) * 1.001; decade *= 10)
            for (int digit = 1; digit <= 9; ++digit) {
                const double hz = decade * digit;
                if (std::log10(hz) < from_ - 1e-6 || std::log10(hz) > to_ + 1e-6) continue;
                const bool named = digit == 1 || digit == 2 || digit == 5;
                page.items.push_back(grid_line({x(hz), area_.y}, {x(hz), area_.y + area_.h}, named ? 0.25 : 0.14));
                if (named) page.items.push_back(page_text(hertz(hz), {x(hz), area_.y + area_.h + 3.4}, label_size, false, Align::centre));
            }
        const int rows = static_cast<int>(std::lround((high_ - low_) / step_));
        for (int i = 0; i <= rows; ++i) {
            const double value = low_ + i * step_;
            const bool zero = std::abs(value) < step_ / 100;
            page.items.push_back(grid_line({area_.x, y(value)}, {area_.x + area_.w, y(value)}, zero ? 0.4 : 0.2));
            page.items.push_back(page_text(rounded_text(zero ? 0 : value, 4), {area_.x - 1.5, y(value) + 0.9}, label_size, false, Align::right));
        }
        page.items.push_back(Line{{{area_.x, area_.y}, {area_.x + area_.w, area_.y}, {area_.x + area_.w, area_.y + area_.h}, {area_.x, area_.y + area_.h}},
                                  {0.35, Ink::normal, Dash::solid}, true, {}});
    }

private:
    Box area_;
    const FrequencyPlot& plot_;
    double from_, to_, step_, low_, high_;
};

void draw_line(Page& page, const Axes& axes, const FrequencyPlot& plot, const PlotLine& line) {
    std::vector<Point> points;
    const auto flush = [&] {
        if (points.size() == 1) page.items.push_back(Circle{points[0], line.pen.width, {0.1, line.pen.ink, Dash::solid}, line.pen.ink});
        if (points.size() > 1) page.items.push_back(Line{points, line.pen, false, {}});
        points.clear();
    };
    for (std::size_t i = 0; i < plot.hz.size(); ++i) {
        if (i < line.values.size() && line.values[i]) points.push_back({axes.x(plot.hz[i]), axes.y(*line.values[i])});
        else flush();
    }
    flush();
}

void draw_band(Page& page, const Axes& axes, const FrequencyPlot& plot, const PlotBand& band) {
    std::vector<Point> upper, lower;
    const auto flush = [&] {
        if (upper.size() > 1) {
            std::vector<Point> outline = upper;
            outline.insert(outline.end(), lower.rbegin(), lower.rend());
            page.items.push_back(Shade{outline, 0.85});
            page.items.push_back(Line{upper, {0.12, Ink::faint, Dash::solid}, false, {}});
            page.items.push_back(Line{lower, {0.12, Ink::faint, Dash::solid}, false, {}});
        }
        upper.clear();
        lower.clear();
    };
    for (std::size_t i = 0; i < plot.hz.size(); ++i) {
        if (i < band.low.size() && i < band.high.size() && band.low[i] && band.high[i]) {
            upper.push_back({axes.x(plot.hz[i]), axes.y(*band.high[i])});
            lower.push_back({axes.x(plot.hz[i]), axes.y(*band.low[i])});
        } else {
            flush();
        }
    }
    flush();
}

}  // namespace

void draw_plot(Page& page, const Box& box, const FrequencyPlot& plot) {
    constexpr double left = 13, head = 6, foot = 5, right = 4;
    const Box area{box.x + left, box.y + head, box.w - left - right, box.h - head - foot};
    page.items.push_back(page_text(plot.caption + ", " + plot.unit, {box.x, box.y + 3.2}, 3.0, true));
    if (plot.hz.empty()) {
        page.items.push_back(page_text("not computed", {area.x, area.y + 4}));
        return;
    }
    const Axes axes(area, plot);
    for (const PlotBand& band : plot.bands) draw_band(page, axes, plot, band);
    axes.draw(page);
    page.items.push_back(Clip{area});
    for (const PlotLine& line : plot.lines) draw_line(page, axes, plot, line);
    page.items.push_back(Clip{});
    page.items.push_back(page_text("Hz", {area.x - 3.5, area.y + area.h + 3.4}, label_size, false, Align::right));
    // The key, from the right.
    double x = area.x + area.w;
    const auto entry = [&](const std::string& name) {
        x -= text_width(name, Face::text, label_size);
        page.items.push_back(page_text(name, {x, box.y + 3.2}, label_size));
        x -= 12;
        return Point{x, box.y + 2.3};
    };
    for (auto band = plot.bands.rbegin(); band != plot.bands.rend(); ++band) {
        const Point at = entry(band->name);
        page.items.push_back(Shade{{{at.x, at.y - 1.2}, {at.x + 10, at.y - 1.2}, {at.x + 10, at.y + 1.2}, {at.x, at.y + 1.2}}, 0.85});
        x -= 5;
    }
    for (auto line = plot.lines.rbegin(); line != plot.lines.rend(); ++line) {
        const Point at = entry(line->name);
        page.items.push_back(Line{{at, {at.x + 10, at.y}}, line->pen, false, {}});
        x -= 5;
    }
}

}  // namespace tallyboard
