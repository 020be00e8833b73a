#include "draw/compose.h"

#include <algorithm>

#include "draw/shape.h"
#include "draw/symbol.h"

namespace tallyboard::detail {

namespace {

constexpr double junction_radius = 0.22, ring_radius = 0.28;   // units

PartFigure part_figure(const Item& item, const Standpoint& stand, const Place& place, const Scale& scale) {
    PartFigure figure{item.ref, item.kind, {}, {}, {}, item.label};
    const Spot at{place.x, place.y};
    figure.box = scale(stand.extent.moved(at));
    for (std::size_t p = 0; p < item.pins.size(); ++p)
        figure.pins.push_back({item.pins[p].name, scale(Spot{at.x + stand.pins[p].at.x, at.y + stand.pins[p].at.y})});
    const Symbol symbol = turned(item.symbol, tallyboard::Turn{stand.pose.quarter(), stand.pose.flipped()});
    figure.items = symbol_items(symbol, scale(at), scale.module);
    // A pin not traced yet is a hollow ring.
    for (std::size_t p = 0; p < item.pins.size(); ++p)
        if (item.pins[p].state == PinState::untraced)
            figure.items.push_back(Circle{figure.pins[p].at, ring_radius * scale.module,
                                          {line_width(Weight::thin, scale.module), Ink::normal, Dash::solid}, Ink::paper});
    return figure;
}

// Lines of a tie in units from its pin, as it stands pointing down; turned with its way.
Line tie_line(std::vector<std::pair<double, double>> points, Way way, Point pin, double module, Weight weight, bool closed = false) {
    Line line;
    for (auto [x, y] : points) {
        double tx = x, ty = y;
        if (way == Way::up) tx = -x, ty = -y;
        if (way == Way::right) tx = y, ty = -x;
        if (way == Way::left) tx = -y, ty = x;
        line.points.push_back({pin.x + module * tx, pin.y + module * ty});
    }
    line.pen = {line_width(weight, module), Ink::normal, Dash::solid};
    line.closed = closed;
    return line;
}

TieFigure tie_figure(const PageTie& tie, const ModelNet& net, const Scale& scale) {
    TieFigure figure{net.name, scale(tie_box(tie.form, tie.way, net.tie_text()).moved(tie.at)), scale(tie.at), {}};
    const double m = scale.module;
    const auto add = [&](std::vector<std::pair<double, double>> points, Weight weight, bool closed = false) {
        figure.items.push_back(tie_line(std::move(points), tie.way, figure.pin, m, weight, closed));
    };
    const double size = lettering_size * m;
    Text text{{}, tie.text.empty() ? net.printed : tie.text, size, Face::sheet, Ink::normal, Align::centre, false, false, {}};
    const double cap = cap_height(Face::sheet, size);
    if (tie.form == TieForm::ground) {
        add({{0, 0}, {0, 0.55}}, Weight::normal);
        add({{-0.8, 0.55}, {0.8, 0.55}}, Weight::normal);
        add({{-0.5, 0.9}, {0.5, 0.9}}, Weight::normal);
        add({{-0.2, 1.25}, {0.2, 1.25}}, Weight::normal);
    }
    if (tie.form == TieForm::earth) {   // the bars within a circle
        add({{0, 0}, {0, 0.75}}, Weight::normal);
        add({{-0.55, 0.75}, {0.55, 0.75}}, Weight::normal);
        add({{-0.36, 1.05}, {0.36, 1.05}}, Weight::normal);
        add({{-0.16, 1.35}, {0.16, 1.35}}, Weight::normal);
        const Spot out = step(tie.way);
        figure.items.push_back(Circle{{figure.pin.x + out.x * m, figure.pin.y + out.y * m}, 0.8 * m, {line_width(Weight::thin, m), Ink::normal, Dash::solid}, {}});
    }
    if (is_ground(tie.form)) {
        if (!net.named) return figure;
        const double beyond = (tie.form == TieForm::earth ? 1.8 : 1.3) * m + 0.25 * m, half = text_width(text.text, Face::sheet, size) / 2;
        text.at = {figure.pin.x, figure.pin.y + (tie.way == Way::up ? -beyond : beyond + cap)};
        if (is_level(tie.way)) text.at = {figure.pin.x + (tie.way == Way::right ? 1 : -1) * (beyond + half), figure.pin.y + cap / 2};
        figure.items.push_back(text);
        return figure;
    }
    if (tie.form == TieForm::flag) {
        const Box& box = figure.box;
        const double length = (is_level(tie.way) ? box.w : box.h) / m, half = (is_level(tie.way) ? box.h : box.w) / m / 2;
        add({{0, 0}, {half > 1 ? 0.6 : half, 0.5}, {half, 0.5}, {half, length}, {-half, length}, {-half, 0.5}, {half > 1 ? -0.6 : -half, 0.5}},
            Weight::normal, true);
        text.at = {box.x + box.w / 2, box.y + box.h / 2 + cap / 2};
        if (tie.way == Way::right) text.at.x += 0.2 * m;
        if (tie.way == Way::left) text.at.x -= 0.2 * m;
        if (tie.way == Way::up) text.at.y -= 0.3 * m;
        if (tie.way == Way::down) text.at.y += 0.3 * m;
    } else {
        add({{0, 0}, {0, 0.6}}, Weight::normal);
        add({{-0.6, 0.6}, {0.6, 0.6}}, Weight::normal);
        text.at = {figure.pin.x, tie.way == Way::up ? figure.pin.y - 0.85 * m : figure.pin.y + 0.85 * m + cap};
    }
    figure.items.push_back(text);
    return figure;
}

Label label_of(const std::string& text, const LabelLine& line, const Scale& scale) {
    const double size = lettering_size * scale.module;
    Label label;
    label.box = scale(line.box);
    label.text.text = text;
    label.text.size = size;
    label.text.face = Face::sheet;
    label.text.align = line.align < 0 ? Align::left : line.align > 0 ? Align::right : Align::centre;
    const double x = line.align < 0 ? label.box.x : line.align > 0 ? label.box.x + label.box.w : label.box.x + label.box.w / 2;
    label.text.at = {x, label.box.y + (label.box.h + cap_height(Face::sheet, size)) / 2};
    return label;
}

// A line that is corrected: the old text struck, the new beside it, heavy.
void add_label(const Item& item, std::size_t l, LabelLine line, const Scale& scale, Sheet& sheet) {
    const bool corrected = l < item.beside.size() && !item.beside[l].empty();
    if (!corrected) {
        if (!item.lines[l].empty()) sheet.labels.push_back(label_of(item.lines[l], line, scale));
        return;
    }
    LabelLine old = line, fresh = line;
    old.align = fresh.align = -1;
    old.box.x1 = line.box.x0 + lettering_width(item.lines[l]);
    fresh.box.x0 = item.lines[l].empty() ? line.box.x0 : old.box.x1 + sub * 3 / 4;
    if (!item.lines[l].empty()) {
        sheet.labels.push_back(label_of(item.lines[l], old, scale));
        sheet.labels.back().struck = true;
    }
    sheet.labels.push_back(label_of(item.beside[l], fresh, scale));
    sheet.labels.back().text.heavy = true;
    sheet.labels.back().text.ink = Ink::added;
}

}  // namespace

void compose(const Model& model, const Page& page, const std::vector<Place>& places, const Scale& scale, Sheet& sheet) {
    const Pen wire_pen{line_width(Weight::normal, scale.module), Ink::normal, Dash::solid};
    for (std::size_t k = 0; k < page.items.size(); ++k) {
        const int i = page.items[k];
        const Item& item = model.items[i];
        if (item.role == Role::tie) continue;
        sheet.parts.push_back(part_figure(item, item.standpoints[places[i].standpoint], places[i], scale));
        for (std::size_t l = 0; l < page.lettering[k].size(); ++l)
            add_label(item, l, page.lettering[k][l], scale, sheet);
    }
    for (const PageTie& tie : page.ties) sheet.ties.push_back(tie_figure(tie, model.nets[tie.net], scale));
    for (const PageWire& wire : page.wires) {
        Wire drawn;
        for (Spot spot : wire.spots) drawn.points.push_back(scale(spot));
        drawn.pen = wire_pen;
        sheet.wires.push_back(std::move(drawn));
    }
    for (const auto& [net, spot] : page.junctions) sheet.junctions.push_back({scale(spot), junction_radius * scale.module, Ink::normal});
}

}  // namespace tallyboard::detail
