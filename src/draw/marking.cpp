#include "draw/marking.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "draw/free_space.h"
#include "lettering/lettering.h"
#include "draw/symbol.h"

namespace tallyboard {

std::string_view mark_word(MarkKind kind) {
    switch (kind) {
        case MarkKind::value: return "value";
        case MarkKind::kind: return "kind";
        case MarkKind::reversed: return "reversed";
        case MarkKind::missing: return "missing";
        case MarkKind::extra: return "extra";
        case MarkKind::moved: return "moved";
        case MarkKind::split: return "split";
        case MarkKind::joined: return "joined";
        case MarkKind::inserted: return "inserted";
        case MarkKind::bypassed: return "bypassed";
        case MarkKind::unverified: return "unverified";
    }
    return "";
}

}  // namespace tallyboard

namespace tallyboard::detail {

namespace {

constexpr double heavy_factor = 1.8, thin_width = 0.18;

void restyle(tallyboard::Item& item, Ink ink, double stronger, Dash dash) {
    std::visit([&](auto& shape) {
        if constexpr (requires { shape.pen; }) {
            shape.pen.ink = ink;
            shape.pen.width = std::max(shape.pen.width * stronger, thin_width);
            if (dash != Dash::solid) shape.pen.dash = dash;
            if constexpr (requires { shape.fill; })
                if (shape.fill && *shape.fill != Ink::paper) shape.fill = ink;
        } else {
            shape.ink = ink;
            shape.heavy = shape.heavy || stronger > 1;
        }
    }, item);
}

Box around(const Box& a, const Box& b) {
    const double x0 = std::min(a.x, b.x), y0 = std::min(a.y, b.y);
    return {x0, y0, std::max(a.x + a.w, b.x + b.w) - x0, std::max(a.y + a.h, b.y + b.h) - y0};
}
Box grown(const Box& box, double by) { return {box.x - by, box.y - by, box.w + 2 * by, box.h + 2 * by}; }
Point middle(const Box& box) { return {box.x + box.w / 2, box.y + box.h / 2}; }

// An old connection longer than this (units) confuses more than it tells: its net is named instead.
constexpr double longest_old_way = 24;

double length_of(const std::vector<Point>& way) {
    double length = 0;
    for (std::size_t k = 1; k < way.size(); ++k) length += std::abs(way[k].x - way[k - 1].x) + std::abs(way[k].y - way[k - 1].y);
    return length;
}

class Marker {
public:
    Marker(const MarkedSheet& marked, const Annotations& annotations)
        : marked_(marked), annotations_(annotations), sheet_(*marked.sheet), m_(marked.scale.module),
          space_(sheet_, marked.field.frame, marked.field.taken, marked.scale.origin, m_) {}

    std::vector<std::pair<int, Point>> run() {
        for (const ExtraPart& extra : annotations_.extras) add_extra(extra.ref);
        for (const AsFound& found : annotations_.as_found)
            for (int i : items_called(found.ref))
                if (PartFigure* figure = figure_of(i))
                    for (tallyboard::Item& item : figure->items) restyle(item, Ink::added, heavy_factor, Dash::solid);
        for (const Mark& mark : annotations_.marks) draw_form(mark);
        for (const Mark& mark : annotations_.marks) draw_number(mark);
        return std::move(numbers_);
    }

private:
    const Model& model() const { return *marked_.model; }
    const Page& page() const { return *marked_.page; }
    Spot origin_of(int i) const { return {(*marked_.places)[i].x, (*marked_.places)[i].y}; }
    const Standpoint& stand(int i) const { return model().items[i].standpoints[(*marked_.places)[i].standpoint]; }

    // The items of this sheet with that reference, printed or written.
    std::vector<int> items_called(const std::string& ref) const {
        std::vector<int> found;
        for (int i : page().items)
            if (model().items[i].role != Role::tie && (model().items[i].ref == ref || model().items[i].label == ref)) found.push_back(i);
        return found;
    }
    // The item and pin of "C3.a".
    std::pair<int, int> pin_called(const std::string& name) const {
        for (int i : page().items)
            for (std::size_t p = 0; p < model().items[i].pins.size(); ++p)
                if (model().items[i].role != Role::tie && model().items[i].pins[p].name == name) return {i, static_cast<int>(p)};
        return {-1, -1};
    }
    Spot spot_of(int i, int p) const { return {origin_of(i).x + stand(i).pins[p].at.x, origin_of(i).y + stand(i).pins[p].at.y}; }
    PartFigure* figure_of(int i) {
        for (PartFigure& part : sheet_.parts)
            if (part.label == model().items[i].label && part.ref == model().items[i].ref) return &part;
        return nullptr;
    }
    int net_called(const std::string& name) const {
        for (std::size_t n = 0; n < model().nets.size(); ++n)
            if (model().nets[n].name == name) return static_cast<int>(n);
        return -1;
    }
    bool is_rail(const std::string& name) const {
        const int net = net_called(name);
        return net >= 0 && model().nets[net].rail;
    }
    // Every grid node at which the net can be met on this sheet.
    std::vector<Point> nodes_of(int net) const {
        std::vector<Point> nodes;
        if (net < 0) return nodes;
        for (const PageWire& wire : page().wires)
            for (std::size_t k = 1; wire.net == net && k < wire.spots.size(); ++k) {
                Spot a = wire.spots[k - 1];
                const Spot b = wire.spots[k];
                const Spot by{(b.x > a.x) - (b.x < a.x), (b.y > a.y) - (b.y < a.y)};
                for (;; a = {a.x + by.x, a.y + by.y}) {
                    nodes.push_back(marked_.scale(a));
                    if (a == b) break;
                }
            }
        for (const PageTie& tie : page().ties)
            if (tie.net == net) nodes.push_back(marked_.scale(tie.at));
        for (auto [i, p] : model().nets[net].pins)
            if (std::find(page().items.begin(), page().items.end(), i) != page().items.end()) nodes.push_back(marked_.scale(spot_of(i, p)));
        return nodes;
    }

    // The wire and the tie that end at the pin. Where several wires meet at it, they join other parts and stay as they are.
    void restyle_at(int i, int p, Ink ink, double stronger, Dash dash) {
        const Spot at = spot_of(i, p);
        std::vector<std::size_t> ending;
        for (std::size_t w = 0; w < page().wires.size(); ++w)
            if (page().wires[w].spots.front() == at || page().wires[w].spots.back() == at) ending.push_back(w);
        if (ending.size() == 1) {
            Pen& pen = sheet_.wires[ending[0]].pen;
            pen.ink = ink;
            pen.width *= stronger;
            pen.dash = dash;
        }
        for (const TieSite& tie : stand(i).ties)
            if (tie.pin == p) restyle_tie({tie.at.x + origin_of(i).x, tie.at.y + origin_of(i).y}, ink, stronger, dash);
    }
    void restyle_tie(Spot at, Ink ink, double stronger, Dash dash) {
        for (std::size_t t = 0; t < page().ties.size(); ++t)
            if (page().ties[t].at == at)
                for (tallyboard::Item& item : sheet_.ties[t].items) restyle(item, ink, stronger, dash);
    }
    // The lettering of an item: the labels within its lines' boxes.
    template <class Do>
    void each_label(int i, Do&& act) {
        const auto at = std::find(page().items.begin(), page().items.end(), i) - page().items.begin();
        for (const LabelLine& line : page().lettering[at]) {
            const Box box = grown(marked_.scale(line.box), 0.05);
            for (Label& label : sheet_.labels)
                if (label.box.x >= box.x && label.box.y >= box.y && label.box.x + label.box.w <= box.x + box.w + 0.1 &&
                    label.box.y + label.box.h <= box.y + box.h)
                    act(label);
        }
    }

    // Nothing else is put on a line that was drawn as a mark.
    void take_line(const std::vector<Point>& points) {
        for (std::size_t k = 1; k < points.size(); ++k) {
            const Point a = points[k - 1], b = points[k];
            space_.take(grown({std::min(a.x, b.x), std::min(a.y, b.y), std::abs(a.x - b.x), std::abs(a.y - b.y)}, 0.5));
        }
    }
    void line(std::vector<Point> points, double width, Ink ink, Dash dash = Dash::solid) {
        sheet_.marks.push_back(Line{std::move(points), {width, ink, dash}, false, {}});
    }
    void dot(Point at, Ink ink) { sheet_.marks.push_back(Circle{at, 0.26 * m_, {0.1, ink, Dash::solid}, ink}); }
    void cross(Point at, double half, double width) {
        line({{at.x - half, at.y - half}, {at.x + half, at.y + half}}, width, Ink::removed);
        line({{at.x - half, at.y + half}, {at.x + half, at.y - half}}, width, Ink::removed);
    }
    double wire_width() const { return line_width(Weight::normal, m_); }

    // ---- parts ----

    void add_extra(const std::string& ref) {
        for (int i : items_called(ref)) {
            Box all;
            if (PartFigure* figure = figure_of(i)) {
                for (tallyboard::Item& item : figure->items) restyle(item, Ink::added, heavy_factor, Dash::solid);
                all = figure->box;
            }
            each_label(i, [&](Label& label) {
                label.text.ink = Ink::added;
                label.text.heavy = true;
                all = around(all, label.box);
            });
            for (std::size_t p = 0; p < model().items[i].pins.size(); ++p) restyle_at(i, static_cast<int>(p), Ink::added, heavy_factor, Dash::solid);
            for (const TieSite& tie : stand(i).ties) all = around(all, marked_.scale(tie.box.moved(origin_of(i))));
            cloud(grown(all, 0.35 * m_), i);
        }
    }

    // A revision cloud, where it covers nothing.
    void cloud(const Box& box, int of) {
        const double depth = 0.4 * m_;
        const Box outer = grown(box, depth);
        for (const PartFigure& part : sheet_.parts)
            if (part.label != model().items[of].label && touches(outer, part.box)) return;
        std::vector<Box> own;
        each_label(of, [&](Label& label) { own.push_back(label.box); });
        for (const Label& label : sheet_.labels)
            if (std::find(own.begin(), own.end(), label.box) == own.end() && touches(outer, label.box)) return;
        const Box& frame = marked_.field.frame;
        if (outer.x < frame.x || outer.y < frame.y || outer.x + outer.w > frame.x + frame.w || outer.y + outer.h > frame.y + frame.h) return;
        scallops({box.x, box.y}, {1, 0}, box.w, 90, depth);
        scallops({box.x + box.w, box.y}, {0, 1}, box.h, 0, depth);
        scallops({box.x, box.y + box.h}, {1, 0}, box.w, 270, depth);
        scallops({box.x, box.y}, {0, 1}, box.h, 180, depth);
        space_.take(outer);
    }
    static bool touches(const Box& a, const Box& b) { return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h; }
    // Arcs along one side, bulging towards `angle`.
    void scallops(Point from, Point along, double length, double angle, double depth) {
        const int count = std::max(1, static_cast<int>(std::lround(length / (1.3 * m_))));
        const double chord = length / count, radius = (chord * chord / 4 + depth * depth) / (2 * depth);
        const double half = std::asin(chord / 2 / radius) * 180 / 3.14159265358979323846;
        const double nx = angle == 0 ? 1 : angle == 180 ? -1 : 0, ny = angle == 90 ? -1 : angle == 270 ? 1 : 0;
        for (int k = 0; k < count; ++k) {
            const double t = chord * (k + 0.5);
            const Point centre{from.x + along.x * t - nx * (radius - depth), from.y + along.y * t - ny * (radius - depth)};
            sheet_.marks.push_back(Arc{centre, radius, angle - half, angle + half, {std::max(0.07 * m_, thin_width), Ink::added, Dash::solid}});
        }
    }

    void strike_part(int i) {
        PartFigure* figure = figure_of(i);
        if (!figure) return;
        for (tallyboard::Item& item : figure->items) restyle(item, Ink::removed, 0.8, Dash::dashed);
        each_label(i, [](Label& label) {
            label.struck = true;
            label.text.ink = Ink::removed;
        });
        for (std::size_t p = 0; p < model().items[i].pins.size(); ++p) restyle_at(i, static_cast<int>(p), Ink::removed, 0.8, Dash::dashed);
        const Box body = marked_.scale(stand(i).body.moved(origin_of(i)));
        const Point c = middle(body);
        cross(c, std::max(0.9 * m_, std::min(body.w, body.h) / 2), 0.35);
    }

    // ---- connections ----

    bool added_way(const std::vector<Point>& from, const std::vector<Point>& to) {
        const auto way = space_.way(from, to);
        if (way.empty()) return false;
        take_line(way);
        line(way, wire_width() * heavy_factor, Ink::added);
        dot(way.front(), Ink::added);
        dot(way.back(), Ink::added);
        return true;
    }
    // The old connection, dashed; where it was lifted a cross, or two bars where a net is parted.
    bool old_way(const std::vector<Point>& from, const std::vector<Point>& to, MarkKind kind) {
        const auto way = space_.way(from, to);
        if (way.size() < 2 || length_of(way) > longest_old_way * m_) return false;
        take_line(way);
        line(way, std::max(wire_width() * 0.8, thin_width), Ink::removed, Dash::dashed);
        if (kind == MarkKind::inserted) return true;
        // `way` runs from the goal back to the start: the lifted end is the last point.
        const std::size_t k = kind == MarkKind::split ? way.size() / 2 : way.size() - 1;
        const Point a = way[k], b = way[k - 1];
        const double length = std::abs(a.x - b.x) + std::abs(a.y - b.y), share = kind == MarkKind::split ? 0.5 : std::min(0.5, 0.6 * m_ / length);
        const Point at{a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
        if (kind != MarkKind::split) {
            cross(at, 0.4 * m_, 0.3);
            return true;
        }
        const bool level = a.y == b.y;
        for (double side : {-0.2, 0.2}) {
            const Point c{at.x + (level ? side * m_ : 0), at.y + (level ? 0 : side * m_)};
            line({{c.x - (level ? 0 : 0.6 * m_), c.y - (level ? 0.6 * m_ : 0)}, {c.x + (level ? 0 : 0.6 * m_), c.y + (level ? 0.6 * m_ : 0)}},
                 wire_width() * heavy_factor, Ink::added);
        }
        return true;
    }
    // Where no line finds its way: the net's name, struck where it is the old one.
    void note(Point near, const std::string& text, bool struck) {
        const double size = lettering_size * m_, width = text_width(text, Face::sheet, size), cap = cap_height(Face::sheet, size);
        const auto at = space_.room(near, width + 1.2 * m_, cap + 0.6 * m_, 10 * m_);
        if (!at) return;
        Label label;
        label.text = {{at->x - width / 2, at->y + cap / 2}, text, size, Face::sheet, struck ? Ink::removed : Ink::added, Align::left,
                      !struck, false, {}};
        label.box = {at->x - width / 2, at->y - cap / 2, width, cap};
        label.struck = struck;
        space_.take(grown(label.box, 0.2 * m_));
        sheet_.labels.push_back(std::move(label));
    }

    void draw_form(const Mark& mark) {
        switch (mark.kind) {
            case MarkKind::value: case MarkKind::kind: case MarkKind::extra: return;   // in the lettering and the symbol; with the extra parts
            case MarkKind::missing:
                for (int i : items_called(mark.ref)) strike_part(i);
                return;
            case MarkKind::bypassed:
                for (int i : items_called(mark.ref)) {
                    strike_part(i);
                    if (model().items[i].pins.size() >= 2)
                        added_way({marked_.scale(spot_of(i, 0))}, {marked_.scale(spot_of(i, static_cast<int>(model().items[i].pins.size()) - 1))});
                }
                return;
            case MarkKind::moved:
                for (const std::string& name : mark.pins) {
                    const auto [i, p] = pin_called(name);
                    if (i < 0) continue;
                    restyle_at(i, p, Ink::added, heavy_factor, Dash::solid);
                    if (mark.net.empty()) continue;
                    if (is_rail(mark.net) || !old_way({marked_.scale(spot_of(i, p))}, nodes_of(net_called(mark.net)), mark.kind))
                        note(marked_.scale(spot_of(i, p)), mark.net, true);
                }
                return;
            case MarkKind::split: case MarkKind::inserted: {
                const auto piece = nodes_of(net_called(mark.other_net));
                const bool drawn = !is_rail(mark.net) && old_way(piece, nodes_of(net_called(mark.net)), mark.kind);
                if (!drawn && mark.kind == MarkKind::split && !mark.pins.empty())
                    if (const auto [i, p] = pin_called(mark.pins.front()); i >= 0) note(marked_.scale(spot_of(i, p)), mark.net, true);
                return;
            }
            case MarkKind::joined: {
                const auto from = nodes_of(net_called(mark.net)), to = nodes_of(net_called(mark.other_net));
                if (!added_way(from, to) && !from.empty()) note(from.front(), mark.net + " = " + mark.other_net, false);
                return;
            }
            case MarkKind::reversed: draw_reversed(mark); return;
            case MarkKind::unverified:
                for (const std::string& name : mark.pins)
                    if (const auto [i, p] = pin_called(name); i >= 0)
                        sheet_.marks.push_back(Circle{marked_.scale(spot_of(i, p)), 0.28 * m_, {thin_width, Ink::note, Dash::solid}, Ink::paper});
                return;
        }
    }
    // A two-headed arrow along the part.
    void draw_reversed(const Mark& mark) {
        constexpr double half = 1.5, thick = 1.0;   // units
        for (int i : items_called(mark.ref)) {
            const Box body = marked_.scale(stand(i).body.moved(origin_of(i)));
            const bool level = stand(i).pins.empty() || is_level(stand(i).pins.front().way);
            const double w = (level ? 2 * half : thick) * m_, h = (level ? thick : 2 * half) * m_;
            const auto at = room_beside(body, level, w, h);
            if (!at) continue;
            const auto point = [&](double along, double across) {
                return level ? Point{at->x + along * m_, at->y + across * m_} : Point{at->x + across * m_, at->y + along * m_};
            };
            line({point(-0.9, 0), point(0.9, 0)}, 0.3, Ink::added);
            for (double side : {-1.0, 1.0})
                sheet_.marks.push_back(Line{{point(side * half, 0), point(side * 0.8, -0.35), point(side * 0.8, 0.35)},
                                            {0.2, Ink::added, Dash::solid}, true, Ink::added});
            space_.take({at->x - w / 2, at->y - h / 2, w, h});
        }
    }
    // Free room at either long side of a body, else the nearest there is.
    std::optional<Point> room_beside(const Box& body, bool level, double w, double h) const {
        const Point c = middle(body);
        for (double off = 0.3; off < 2.5; off += 0.2)
            for (double side : {1.0, -1.0}) {
                const double away = side * (((level ? body.h + h : body.w + w) / 2) + off * m_);
                const Point at{c.x + (level ? 0 : away), c.y + (level ? away : 0)};
                if (space_.is_free({at.x - w / 2, at.y - h / 2, w, h})) return at;
            }
        return space_.room(c, w, h, 8 * m_);
    }

    // ---- numbers ----

    // Where the mark's place is on this sheet, if it is.
    std::optional<Box> place_of(const Mark& mark) {
        if (mark.kind != MarkKind::moved)
            for (int i : items_called(mark.ref)) return marked_.scale(stand(i).body.moved(origin_of(i)));
        for (const std::string& name : mark.pins)
            if (const auto [i, p] = pin_called(name); i >= 0) {
                const Point at = marked_.scale(spot_of(i, p));
                return Box{at.x - 0.5, at.y - 0.5, 1, 1};
            }
        for (int i : items_called(mark.ref)) return marked_.scale(stand(i).body.moved(origin_of(i)));
        for (const std::string* name : {&mark.net, &mark.other_net}) {
            const auto nodes = nodes_of(net_called(*name));
            if (!nodes.empty()) return Box{nodes[nodes.size() / 2].x, nodes[nodes.size() / 2].y, 0, 0};
        }
        return {};
    }
    void draw_number(const Mark& mark) {
        if (mark.number <= 0 && mark.anchor.empty()) return;
        const auto place = place_of(mark);
        if (!place) return;
        const Point centre = middle(*place);
        if (mark.number <= 0) {
            sheet_.anchors.push_back({mark.anchor, centre});
            return;
        }
        constexpr double width = 5.8, height = 5.2;
        std::optional<Point> at;
        for (double reach : {4.0, 8.0, 16.0, 40.0})
            if (!at) at = space_.room(centre, width, height, reach * m_);
        if (!at) at = Point{marked_.field.frame.x + width, marked_.field.frame.y + height};
        for (tallyboard::Item& item : mark_triangle(std::to_string(mark.number), *at)) sheet_.marks.push_back(std::move(item));
        const Box box{at->x - width / 2, at->y - height / 2, width, height};
        space_.take(box);
        leader(*at, *place);
        if (!mark.anchor.empty()) sheet_.anchors.push_back({mark.anchor, *at});
        if (!mark.to.empty()) sheet_.links.push_back({box, mark.to});
        numbers_.push_back({mark.number, *at});
    }
    // A thin line to the place where the triangle stands away from it.
    void leader(Point from, const Box& place) {
        const Point to{std::clamp(from.x, place.x, place.x + place.w), std::clamp(from.y, place.y, place.y + place.h)};
        const double dx = to.x - from.x, dy = to.y - from.y, length = std::sqrt(dx * dx + dy * dy);
        if (length < 3 * m_ + 2.6) return;
        const double start = 3.2 / length, end = 1 - 0.4 * m_ / length;
        line({{from.x + dx * start, from.y + dy * start}, {from.x + dx * end, from.y + dy * end}}, thin_width, Ink::normal);
    }

    const MarkedSheet& marked_;
    const Annotations& annotations_;
    Sheet& sheet_;
    double m_;
    FreeSpace space_;
    std::vector<std::pair<int, Point>> numbers_;
};

}  // namespace

std::vector<std::pair<int, Point>> add_marks(const MarkedSheet& marked, const Annotations& annotations) {
    return Marker(marked, annotations).run();
}

}  // namespace tallyboard::detail
