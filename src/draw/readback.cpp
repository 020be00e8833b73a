#include "draw/readback.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "circuit/packages.h"

namespace tallyboard {

namespace {

// Points as whole thousandths of a millimetre: what is drawn at one place compares equal.
struct Dot {
    long x = 0, y = 0;
    friend auto operator<=>(const Dot&, const Dot&) = default;
};
Dot dot(Point p) { return {std::lround(p.x * 1000), std::lround(p.y * 1000)}; }

class Joints {
public:
    int node(int sheet, Dot at) {
        const auto [found, fresh] = nodes_.emplace(std::pair{sheet, at}, static_cast<int>(parent_.size()));
        if (fresh) parent_.push_back(found->second);
        return found->second;
    }
    int named(const std::string& net) {
        const auto [found, fresh] = names_.emplace(net, static_cast<int>(parent_.size()));
        if (fresh) parent_.push_back(found->second);
        return found->second;
    }
    int root(int i) {
        while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
        return i;
    }
    void join(int a, int b) { parent_[root(a)] = root(b); }

private:
    std::map<std::pair<int, Dot>, int> nodes_;
    std::map<std::string, int> names_;
    std::vector<int> parent_;
};

bool inside(Dot p, Dot a, Dot b) {
    if (a.x == b.x) return p.x == a.x && p.y > std::min(a.y, b.y) && p.y < std::max(a.y, b.y);
    if (a.y == b.y) return p.y == a.y && p.x > std::min(a.x, b.x) && p.x < std::max(a.x, b.x);
    return false;
}

using Nets = std::vector<std::vector<std::string>>;

Nets sorted_nets(std::map<int, std::vector<std::string>> groups) {
    Nets nets;
    for (auto& [key, pins] : groups) {
        std::sort(pins.begin(), pins.end());
        nets.push_back(std::move(pins));
    }
    std::sort(nets.begin(), nets.end());
    return nets;
}

}  // namespace

std::vector<std::vector<std::string>> nets_read_back(const std::vector<Sheet>& sheets) {
    Joints joints;
    for (int s = 0; s < static_cast<int>(sheets.size()); ++s) {
        const Sheet& sheet = sheets[s];
        for (const Wire& wire : sheet.wires) {
            if (wire.points.size() < 2) continue;
            joints.join(joints.node(s, dot(wire.points.front())), joints.node(s, dot(wire.points.back())));
            // A junction on the inside, bends among it, joins whatever ends or passes there.
            for (const Junction& junction : sheet.junctions) {
                const Dot at = dot(junction.at);
                for (std::size_t k = 1; k < wire.points.size(); ++k)
                    if (inside(at, dot(wire.points[k - 1]), dot(wire.points[k])) ||
                        (k + 1 < wire.points.size() && at == dot(wire.points[k])))
                        joints.join(joints.node(s, at), joints.node(s, dot(wire.points.front())));
            }
        }
        for (const TieFigure& tie : sheet.ties) joints.join(joints.node(s, dot(tie.pin)), joints.named(tie.net));
    }
    std::map<int, std::vector<std::string>> groups;
    std::vector<std::pair<int, std::string>> pins;
    for (int s = 0; s < static_cast<int>(sheets.size()); ++s)
        for (const PartFigure& part : sheets[s].parts)
            for (const PinSpot& pin : part.pins) pins.push_back({joints.node(s, dot(pin.at)), pin.name});
    for (auto& [node, name] : pins) groups[joints.root(node)].push_back(name);
    return sorted_nets(std::move(groups));
}

std::vector<std::vector<std::string>> nets_to_draw(const Circuit& circuit) {
    std::map<int, std::vector<std::string>> groups;
    int alone = -1;
    std::set<PinId> seen;
    for (const Section& section : sections_of(circuit))
        for (const SectionPin& pin : section.pins) {
            if (pin.state == PinState::undrawn || pin.from.part != section.part || !seen.insert(pin.from).second) continue;
            const int key = pin.state == PinState::traced ? static_cast<int>(pin.net.index) : alone--;
            groups[key].push_back(pin_name(circuit, pin.from));
        }
    return sorted_nets(std::move(groups));
}

std::string wrong_nets(const Circuit& circuit, const std::vector<Sheet>& sheets) {
    const Nets wanted = nets_to_draw(circuit), got = nets_read_back(sheets);
    const auto text = [](const std::vector<std::string>& pins) {
        std::string all;
        for (const std::string& pin : pins) all += (all.empty() ? "" : " ") + pin;
        return all;
    };
    for (const auto& pins : wanted)
        if (!std::binary_search(got.begin(), got.end(), pins)) return "not on the sheet as one net: " + text(pins);
    for (const auto& pins : got)
        if (!std::binary_search(wanted.begin(), wanted.end(), pins)) return "no net of the circuit: " + text(pins);
    return {};
}

namespace {

bool overlap(const Box& a, const Box& b, double by = 0.01) {
    return a.x + by < b.x + b.w && b.x + by < a.x + a.w && a.y + by < b.y + b.h && b.y + by < a.y + a.h;
}
Box box_of(Point a, Point b) { return {std::min(a.x, b.x), std::min(a.y, b.y), std::abs(a.x - b.x), std::abs(a.y - b.y)}; }

// A wire that only ends on a box's edge or corner, at a pin, does not run through it.
bool runs_through(const Wire& wire, const Box& box) {
    for (std::size_t k = 1; k < wire.points.size(); ++k) {
        const Box line = box_of(wire.points[k - 1], wire.points[k]);
        constexpr double by = 0.05;
        if (line.x < box.x + box.w - by && line.x + line.w > box.x + by && line.y < box.y + box.h - by && line.y + line.h > box.y + by)
            return true;
    }
    return false;
}

void count_overlaps(const Sheet& sheet, Metrics& m) {
    for (std::size_t i = 0; i < sheet.parts.size(); ++i)
        for (std::size_t j = i + 1; j < sheet.parts.size(); ++j) m.symbol_overlaps += overlap(sheet.parts[i].box, sheet.parts[j].box);
    for (std::size_t i = 0; i < sheet.labels.size(); ++i) {
        const Box& box = sheet.labels[i].box;
        for (std::size_t j = i + 1; j < sheet.labels.size(); ++j) m.label_overlaps += overlap(box, sheet.labels[j].box);
        for (const PartFigure& part : sheet.parts) m.label_overlaps += overlap(box, part.box);
        for (const TieFigure& tie : sheet.ties) m.label_overlaps += overlap(box, tie.box);
        for (const Wire& wire : sheet.wires) m.label_overlaps += runs_through(wire, box);
    }
    for (std::size_t i = 0; i < sheet.ties.size(); ++i) {
        const Box& box = sheet.ties[i].box;
        for (std::size_t j = i + 1; j < sheet.ties.size(); ++j) m.tie_overlaps += overlap(box, sheet.ties[j].box);
        for (const PartFigure& part : sheet.parts) m.tie_overlaps += overlap(box, part.box);
        for (const Wire& wire : sheet.wires) m.tie_overlaps += runs_through(wire, box);
    }
    for (const Wire& wire : sheet.wires)
        for (const PartFigure& part : sheet.parts) m.wires_through += runs_through(wire, part.box);
}

void count_wires(const Sheet& sheet, double module, Metrics& m) {
    struct Piece { Dot a, b; std::size_t wire; };
    std::vector<Piece> level, upright;
    std::map<Dot, int> arms;
    for (std::size_t w = 0; w < sheet.wires.size(); ++w) {
        const auto& points = sheet.wires[w].points;
        for (std::size_t k = 1; k < points.size(); ++k) {
            const Dot a = dot(points[k - 1]), b = dot(points[k]);
            m.wire += (std::abs(points[k].x - points[k - 1].x) + std::abs(points[k].y - points[k - 1].y)) / module;
            if (a.x != b.x && a.y != b.y) ++m.slanted;
            else (a.y == b.y ? level : upright).push_back({std::min(a, b), std::max(a, b), w});
            if (k + 1 < points.size()) ++m.bends;
        }
        if (points.size() > 1) {
            ++arms[dot(points.front())];
            ++arms[dot(points.back())];
        }
    }
    for (const Piece& h : level)
        for (const Piece& v : upright)
            if (h.wire != v.wire && v.a.x > h.a.x && v.a.x < h.b.x && h.a.y > v.a.y && h.a.y < v.b.y) ++m.crossings;
    for (const auto& [at, count] : arms) m.four_arms += count >= 4;
}

}  // namespace

Metrics measure(const Picture& picture) {
    Metrics m;
    std::map<std::string, double> middles;             // x of each part's symbol; a part on another sheet does not count
    std::map<std::string, std::size_t> sheets;
    for (std::size_t s = 0; s < picture.sheets.size(); ++s) {
        const Sheet& sheet = picture.sheets[s];
        const double module = picture.modules[s];
        count_overlaps(sheet, m);
        count_wires(sheet, module, m);
        double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
        const auto include = [&](const Box& box) {
            x0 = std::min(x0, box.x);
            y0 = std::min(y0, box.y);
            x1 = std::max(x1, box.x + box.w);
            y1 = std::max(y1, box.y + box.h);
        };
        for (const PartFigure& part : sheet.parts) {
            include(part.box);
            middles[part.label] = part.box.x + part.box.w / 2;
            sheets[part.label] = s;
        }
        for (const TieFigure& tie : sheet.ties) include(tie.box);
        for (const Label& label : sheet.labels) include(label.box);
        if (x1 < x0) continue;
        m.width = std::max(m.width, (x1 - x0) / module);
        m.height = std::max(m.height, (y1 - y0) / module);
        m.page_use = std::max({m.page_use, (x1 - x0) / (sheet.width - 30), (y1 - y0) / (sheet.height - 20)});
    }
    int right = 0, steps = 0;
    for (const auto& [from, to] : picture.steps) {
        if (!middles.count(from) || !middles.count(to) || sheets[from] != sheets[to]) continue;
        ++steps;
        right += middles[to] > middles[from];
    }
    if (steps > 0) m.flow = static_cast<double>(right) / steps;
    return m;
}

}  // namespace tallyboard
