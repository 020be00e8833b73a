#include "draw/free_space.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <queue>

namespace tallyboard::detail {

namespace {

bool overlap(const Box& a, const Box& b) { return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h; }
Box round(Point a, Point b, double by) {
    return {std::min(a.x, b.x) - by, std::min(a.y, b.y) - by, std::abs(a.x - b.x) + 2 * by, std::abs(a.y - b.y) + 2 * by};
}

}  // namespace

FreeSpace::FreeSpace(const Sheet& sheet, const Box& frame, const std::vector<Box>& taken, Point origin, double module)
    : frame_(frame), origin_(origin), module_(module), boxes_(taken) {
    for (const PartFigure& part : sheet.parts) boxes_.push_back(part.box);
    for (const TieFigure& tie : sheet.ties) boxes_.push_back(tie.box);
    for (const Label& label : sheet.labels) boxes_.push_back(label.box);
    for (const Wire& wire : sheet.wires)
        for (std::size_t k = 1; k < wire.points.size(); ++k) wires_.push_back({wire.points[k - 1], wire.points[k]});
}

bool FreeSpace::is_free(const Box& box) const {
    if (box.x < frame_.x || box.y < frame_.y || box.x + box.w > frame_.x + frame_.w || box.y + box.h > frame_.y + frame_.h) return false;
    for (const Box& other : boxes_)
        if (overlap(box, other)) return false;
    for (const auto& [a, b] : wires_)
        if (overlap(box, round(a, b, 0.3))) return false;
    return true;
}

std::optional<Point> FreeSpace::room(Point near, double width, double height, double reach) const {
    const double step = module_ / 4;
    const int n = static_cast<int>(reach / step);
    double least = 1e18;
    std::optional<Point> best;
    for (int iy = -n; iy <= n; ++iy)
        for (int ix = -n; ix <= n; ++ix) {
            const double away = step * step * (ix * ix + iy * iy);
            if (away >= least) continue;
            const Point at{near.x + step * ix, near.y + step * iy};
            if (!is_free({at.x - width / 2, at.y - height / 2, width, height})) continue;
            least = away;
            best = at;
        }
    return best;
}

std::vector<Point> FreeSpace::way(const std::vector<Point>& from, const std::vector<Point>& to) const {
    if (from.empty() || to.empty()) return {};
    const int x0 = static_cast<int>(std::ceil((frame_.x - origin_.x) / module_)), y0 = static_cast<int>(std::ceil((frame_.y - origin_.y) / module_));
    const int width = static_cast<int>(frame_.w / module_), height = static_cast<int>(frame_.h / module_);
    if (width < 1 || height < 1) return {};
    const auto node = [&](Point p) -> int {
        const int x = static_cast<int>(std::lround((p.x - origin_.x) / module_)) - x0, y = static_cast<int>(std::lround((p.y - origin_.y) / module_)) - y0;
        return x < 0 || y < 0 || x >= width || y >= height ? -1 : y * width + x;
    };
    const auto point = [&](int n) { return Point{origin_.x + module_ * (n % width + x0), origin_.y + module_ * (n / width + y0)}; };
    const auto size = static_cast<std::size_t>(width) * height;
    std::vector<char> closed(size, 0), goal(size, 0);
    std::vector<int> level(size, 0), upright(size, 0);   // wires along the row or the column through the node
    for (const Box& box : boxes_)
        for (int y = std::max(0, static_cast<int>(std::ceil((box.y - origin_.y) / module_ - 0.2)) - y0);
             y < height && origin_.y + module_ * (y + y0) <= box.y + box.h + module_ * 0.2; ++y)
            for (int x = std::max(0, static_cast<int>(std::ceil((box.x - origin_.x) / module_ - 0.2)) - x0);
                 x < width && origin_.x + module_ * (x + x0) <= box.x + box.w + module_ * 0.2; ++x)
                closed[y * width + x] = 1;
    for (const auto& [a, b] : wires_) {
        const int na = node(a), nb = node(b);
        if (na < 0 || nb < 0) continue;
        const bool row = na / width == nb / width;
        for (int n = std::min(na, nb); n <= std::max(na, nb); n += row ? 1 : width) ++(row ? level : upright)[n];
    }
    for (Point p : to)
        if (const int n = node(p); n >= 0) goal[n] = 1;
    // Dijkstra over (node, way): steps 2, bends 5, crossings 6.
    using Entry = std::array<int, 3>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    std::vector<int> cost(size * 4, 1 << 29), before(size * 4, -1);
    int order = 0;
    for (Point p : from)
        if (const int n = node(p); n >= 0)
            for (int w = 0; w < 4; ++w) {
                cost[n * 4 + w] = 0;
                open.push({0, order++, n * 4 + w});
            }
    constexpr int dx[] = {1, 0, -1, 0}, dy[] = {0, -1, 0, 1};
    while (!open.empty()) {
        const auto [at_cost, sequence, key] = open.top();
        open.pop();
        if (at_cost > cost[key]) continue;
        const int n = key / 4, w = key % 4;
        if (goal[n] && before[key] >= 0) {
            std::vector<Point> line;
            for (int k = key; k >= 0; k = before[k]) {
                const Point p = point(k / 4);
                const auto count = line.size();
                const bool straight = count >= 2 && ((line[count - 1].x == line[count - 2].x && p.x == line[count - 1].x) ||
                                                     (line[count - 1].y == line[count - 2].y && p.y == line[count - 1].y));
                if (straight) line.back() = p;
                else line.push_back(p);
            }
            return line;
        }
        for (int v = 0; v < 4; ++v) {
            if (v == (w + 2) % 4 && before[key] >= 0) continue;
            const int x = n % width + dx[v], y = n / width + dy[v];
            if (x < 0 || y < 0 || x >= width || y >= height) continue;
            const int next = y * width + x;
            const bool row = v % 2 == 0;
            if (!goal[next] && (closed[next] || (row ? level : upright)[next] > 0)) continue;
            int there = at_cost + 2 + (v != w && before[key] >= 0 ? 5 : 0);
            if ((row ? upright : level)[next] > 0 && !goal[next]) there += 6;
            if (there >= cost[next * 4 + v]) continue;
            cost[next * 4 + v] = there;
            before[next * 4 + v] = key;
            open.push({there, order++, next * 4 + v});
        }
    }
    return {};
}

}  // namespace tallyboard::detail
