#include "draw/shape.h"

#include <cmath>
#include <limits>

#include "lettering/lettering.h"

namespace tallyboard::detail {

namespace {

constexpr int solid_margin = 14;   // 0.9 u round bodies
constexpr int lead_margin = 6;
constexpr int soft_margin = 4;     // 0.25 u round lettering and ties
constexpr int wire_clearance = 7;  // a wire nearer than 0.45 u to a body counts as through it

int sixteenths(double units) { return static_cast<int>(std::lround(units * sub)); }
int floor_div(int a, int b) { return a >= 0 ? a / b : -((-a + b - 1) / b); }
int ceil_div(int a, int b) { return -floor_div(-a, b); }

const Area nothing{std::numeric_limits<int>::max(), std::numeric_limits<int>::max(), std::numeric_limits<int>::min(),
                   std::numeric_limits<int>::min()};

// The extent of a symbol's shapes at 0°, straight leads to pins apart.
struct Outline {
    Area body = nothing;
    std::vector<Area> leads, signs;
};

void include_point(Area& area, double x, double y, double r = 0) {
    area.include({sixteenths(x - r), sixteenths(y - r), sixteenths(x + r), sixteenths(y + r)});
}

bool is_pin(const Symbol& symbol, std::pair<double, double> at) {
    for (const SymbolPin& pin : symbol.pins)
        if (std::abs(pin.x - at.first) < 0.01 && std::abs(pin.y - at.second) < 0.01) return true;
    return false;
}

void add_line(const Symbol& symbol, const SymbolLine& line, Outline& outline) {
    if (line.closed || line.filled) {
        for (auto [x, y] : line.points) include_point(outline.body, x, y);
        return;
    }
    for (std::size_t i = 1; i < line.points.size(); ++i) {
        const auto a = line.points[i - 1], b = line.points[i];
        const bool straight = std::abs(a.first - b.first) < 0.01 || std::abs(a.second - b.second) < 0.01;
        if (straight && (is_pin(symbol, a) || is_pin(symbol, b))) {
            Area lead = nothing;
            include_point(lead, a.first, a.second);
            include_point(lead, b.first, b.second);
            outline.leads.push_back(lead);
        } else {
            include_point(outline.body, a.first, a.second);
            include_point(outline.body, b.first, b.second);
        }
    }
}

Outline outline_of(const Symbol& symbol) {
    Outline outline;
    for (const SymbolShape& shape : symbol.shapes) {
        if (const auto* line = std::get_if<SymbolLine>(&shape)) add_line(symbol, *line, outline);
        else if (const auto* circle = std::get_if<SymbolCircle>(&shape)) include_point(outline.body, circle->x, circle->y, circle->r);
        else if (const auto* arc = std::get_if<SymbolArc>(&shape)) {
            constexpr double radians = 3.14159265358979323846 / 180;
            const double sweep = std::fmod(arc->to - arc->from + 720, 360);
            for (int i = 0; i <= 12; ++i) {
                const double angle = (arc->from + sweep * i / 12) * radians;
                include_point(outline.body, arc->x + arc->r * std::cos(angle), arc->y - arc->r * std::sin(angle));
            }
        }
    }
    if (outline.body.x0 > outline.body.x1) outline.body = {-sub / 4, -sub / 4, sub / 4, sub / 4};
    for (const SymbolShape& shape : symbol.shapes)
        if (const auto* text = std::get_if<SymbolText>(&shape)) {
            const int half_width = sixteenths(text->size * 0.33 * static_cast<double>(text->text.size()));
            const Area area{sixteenths(text->x) - half_width, sixteenths(text->y - text->size / 2),
                            sixteenths(text->x) + half_width, sixteenths(text->y + text->size / 2)};
            const Area& body = outline.body;
            if (area.x0 < body.x0 || area.y0 < body.y0 || area.x1 > body.x1 || area.y1 > body.y1) outline.signs.push_back(area);
        }
    return outline;
}

Way way_of(char leaves) {
    switch (leaves) {
        case 'r': return Way::right;
        case 'u': return Way::up;
        case 'd': return Way::down;
        default: return Way::left;
    }
}

// Where the tie of a pin stands: in the pin's own way if that is the tie's, else at the end of a short stub.
TieSite tie_of(const Item& item, int pin, const PinSite& site, const ModelNet& net) {
    TieSite tie;
    tie.pin = pin;
    const Way wanted = net.form == TieForm::up ? Way::up : Way::down;
    if (net.form == TieForm::flag || (item.role == Role::box && is_level(site.way) && !is_ground(net.form))) {
        tie.way = site.way;
        tie.at = site.at;
        tie.box = tie_box(TieForm::flag, tie.way, net.tie_text()).moved(tie.at);
        return tie;
    }
    // Long enough that the name stands clear of the symbol.
    const Area upright = tie_box(net.form, wanted, net.tie_text());
    tie.stub = is_level(site.way) ? ceil_div(upright.x1 + 2, sub) : 0;
    tie.way = is_level(site.way) ? wanted : site.way;
    const Spot out = step(site.way);
    tie.at = {site.at.x + out.x * tie.stub, site.at.y + out.y * tie.stub};
    tie.box = tie_box(net.form, tie.way, net.tie_text()).moved(tie.at);
    return tie;
}

// Ties of one item keep clear of one another: a later one stands further out.
void add_tie(Standpoint& stand, TieSite tie) {
    const Spot out = step(stand.pins[tie.pin].way);
    const auto touches = [&] {
        return std::any_of(stand.ties.begin(), stand.ties.end(), [&](const TieSite& other) { return other.box.grown(3).overlaps(tie.box); });
    };
    for (int tries = 0; tries < 12 && tie.stub > 0 && touches(); ++tries) {
        ++tie.stub;
        tie.at = {tie.at.x + out.x, tie.at.y + out.y};
        tie.box = tie.box.moved(out);
    }
    stand.ties.push_back(tie);
}

void append(std::vector<Spot>& to, const std::vector<Spot>& from, const std::vector<PinSite>& pins) {
    for (Spot spot : from) {
        const bool pin = std::any_of(pins.begin(), pins.end(), [&](const PinSite& p) { return p.at == spot; });
        if (!pin && std::find(to.begin(), to.end(), spot) == to.end()) to.push_back(spot);
    }
}

void set_nodes(const Item& item, Standpoint& stand) {
    append(stand.hard_nodes, nodes_in(stand.body, wire_clearance), stand.pins);
    append(stand.hard_nodes, nodes_in(stand.extent, -1), stand.pins);
    for (const Area& lead : stand.leads) append(stand.hard_nodes, nodes_in(lead, 1), stand.pins);
    for (const TieSite& tie : stand.ties) {
        append(stand.hard_nodes, nodes_in(tie.box, 2), stand.pins);
        const Spot out = step(stand.pins[tie.pin].way);
        for (int k = 1; k <= tie.stub; ++k)
            append(stand.hard_nodes, {{stand.pins[tie.pin].at.x + k * out.x, stand.pins[tie.pin].at.y + k * out.y}}, stand.pins);
        append(stand.hard_nodes, {tie.at}, stand.pins);
    }
    // Pins that no wire goes to are obstacles like the body.
    for (std::size_t i = 0; i < item.pins.size(); ++i)
        if (item.pins[i].net < 0 || item.pins[i].tied) append(stand.hard_nodes, {stand.pins[i].at}, {});
    for (const LabelLine& line : stand.label)
        for (Spot spot : nodes_in(line.box, 4))
            if (std::find(stand.hard_nodes.begin(), stand.hard_nodes.end(), spot) == stand.hard_nodes.end())
                append(stand.soft_nodes, {spot}, stand.pins);
}

}  // namespace

int lettering_width(std::string_view text) {
    return static_cast<int>(std::ceil(text_width(text, Face::sheet, lettering_size) * sub - 1e-6));
}

std::string fitting_line(std::string_view text) {
    constexpr int widest = 60 * sub;   // 120 mm at the smallest module
    if (lettering_width(text) <= widest) return std::string(text);
    std::string line;
    for (std::size_t at = 0; at < text.size();) {
        std::size_t next = at + 1;
        while (next < text.size() && (static_cast<unsigned char>(text[next]) & 0xC0) == 0x80) ++next;   // to the next character
        const std::string longer = line + std::string(text.substr(at, next - at));
        if (lettering_width(longer + "…") > widest) break;
        line = longer;
        at = next;
    }
    return line + "…";
}

std::vector<Spot> nodes_in(const Area& area, int grow) {
    std::vector<Spot> nodes;
    for (int y = ceil_div(area.y0 - grow, sub); y * sub <= area.y1 + grow; ++y)
        for (int x = ceil_div(area.x0 - grow, sub); x * sub <= area.x1 + grow; ++x) nodes.push_back({x, y});
    return nodes;
}

void lead_out(Symbol& symbol) {
    const Outline outline = outline_of(symbol);
    Area extent = outline.body;
    for (const Area& lead : outline.leads) extent.include(lead);
    for (SymbolPin& pin : symbol.pins) {
        const Spot out = step(way_of(pin.leaves));
        const double x0 = pin.x, y0 = pin.y;
        while (out.x * sixteenths(pin.x) < (out.x > 0 ? extent.x1 : out.x < 0 ? -extent.x0 : 0) ||
               out.y * sixteenths(pin.y) < (out.y > 0 ? extent.y1 : out.y < 0 ? -extent.y0 : 0)) {
            pin.x += out.x;
            pin.y += out.y;
        }
        if (pin.x == x0 && pin.y == y0) continue;
        SymbolLine lead;
        lead.points = {{x0, y0}, {pin.x, pin.y}};
        symbol.shapes.emplace_back(std::move(lead));
    }
}

Area tie_box(TieForm form, Way way, std::string_view net) {
    const int width = net.empty() ? 0 : lettering_width(net);
    if (is_ground(form)) {
        // Hanging below, turned with the way; its name, if any, beyond it.
        const int bars = form == TieForm::earth ? 29 : 21, half_bars = 13;
        const int long_way = bars + (net.empty() ? 0 : is_level(way) ? 4 + width : 4 + line_height);
        const int half = is_level(way) ? half_bars : std::max(half_bars, width / 2 + 1);
        if (way == Way::up) return {-half, -long_way, half, 0};
        if (way == Way::right) return {0, -half, long_way, half};
        if (way == Way::left) return {-long_way, -half, 0, half};
        return {-half, 0, half, long_way};
    }
    if (form == TieForm::flag) {
        if (is_level(way)) return way == Way::right ? Area{0, -11, width + 20, 11} : Area{-width - 20, -11, 0, 11};
        const int half = std::max(width / 2 + 5, 11);               // the box across, the point towards the pin
        return way == Way::up ? Area{-half, -34, half, 0} : Area{-half, 0, half, 34};
    }
    const int half = std::max(width / 2 + 1, 10);
    return way == Way::down ? Area{-half, 0, half, 31} : Area{-half, -31, half, 0};
}

namespace {

// A tie placed by itself: at 0° it stands up, its wire leaving below; turned with its pose.
Standpoint tie_standpoint(const Item& item, Pose pose, int cost, const std::vector<ModelNet>& nets) {
    Standpoint stand;
    stand.pose = pose;
    stand.cost = cost;
    stand.pins.push_back({{0, 0}, pose.apply(Way::down)});
    const ModelNet& net = nets[item.pins[0].net];
    const Way way = pose.apply(Way::up);
    const TieForm form = is_level(way) ? TieForm::flag : net.form;
    stand.ties.push_back({0, 0, {0, 0}, way, tie_box(form, way, net.tie_text())});
    const Area box = stand.ties[0].box.grown(soft_margin);
    stand.boxes.push_back(box);
    stand.hull = box;
    append(stand.hard_nodes, nodes_in(stand.ties[0].box, 2), stand.pins);
    return stand;
}

}  // namespace

namespace {

// Lettering takes room in steps, so that another value of about the same length moves nothing.
Item with_room(const Item& item) {
    constexpr int least = 5 * sub / 2, step_width = 3 * sub / 2;
    Item roomy;
    roomy.role = item.role;
    roomy.kind = item.kind;
    roomy.symbol = item.symbol;
    roomy.lines = item.lines;
    for (std::size_t l = 0; l < item.widths.size(); ++l) {
        const int width = item.widths[l];
        roomy.widths.push_back(l == 0 || width == 0 ? width : std::max(least, ceil_div(width, step_width) * step_width));
    }
    return roomy;
}

}  // namespace

Standpoint standpoint_of(const Item& item, Pose pose, int cost, const std::vector<ModelNet>& nets) {
    if (item.role == Role::tie) return tie_standpoint(item, pose, cost, nets);
    Standpoint stand;
    stand.pose = pose;
    stand.cost = cost;
    const Outline outline = outline_of(item.symbol);
    stand.body = pose.apply(outline.body);
    for (const Area& lead : outline.leads) stand.leads.push_back(pose.apply(lead));
    for (const SymbolPin& pin : item.symbol.pins) {
        Spot at{static_cast<int>(std::lround(pin.x)), static_cast<int>(std::lround(pin.y))};
        pose.apply(at.x, at.y);
        stand.pins.push_back({at, pose.apply(way_of(pin.leaves))});
    }
    for (std::size_t i = 0; i < item.pins.size(); ++i)
        if (item.pins[i].tied) add_tie(stand, tie_of(item, static_cast<int>(i), stand.pins[i], nets[item.pins[i].net]));
    stand.extent = stand.body;
    for (const Area& lead : stand.leads) stand.extent.include(lead);
    stand.label = label_at(with_room(item), stand, 0);

    stand.boxes.push_back(stand.body.grown(solid_margin));
    stand.boxes.push_back(stand.extent);
    for (const Area& lead : stand.leads) stand.boxes.push_back(lead.grown(lead_margin));
    for (const TieSite& tie : stand.ties) {
        stand.boxes.push_back(tie.box.grown(soft_margin));
        if (tie.stub > 0) {
            const Spot pin = stand.pins[tie.pin].at;
            const int mx = std::min(pin.x, tie.at.x) * sub, my = std::min(pin.y, tie.at.y) * sub;
            stand.boxes.push_back(Area{mx, my, mx + std::abs(pin.x - tie.at.x) * sub, my + std::abs(pin.y - tie.at.y) * sub}
                                     .grown(lead_margin));
        }
    }
    for (const LabelLine& line : stand.label) stand.boxes.push_back(line.box.grown(soft_margin));
    for (const Area& sign : outline.signs) stand.boxes.push_back(pose.apply(sign).grown(2));
    stand.hull = stand.boxes.front();
    for (const Area& area : stand.boxes) stand.hull.include(area);
    set_nodes(item, stand);
    return stand;
}

namespace {

enum class Set { right, left, above, below, split, line_above, line_below, upper_right, upper_left, lower_right, lower_left,
                 line_right, line_left, split_right, split_left };

Set preferred(const Item& item, const Standpoint& stand) {
    const auto pin_way = [&](std::string_view name) {
        for (std::size_t i = 0; i < item.symbol.pins.size(); ++i)
            if (item.symbol.pins[i].name == name) return stand.pose.apply(way_of(item.symbol.pins[i].leaves));
        return Way::right;
    };
    const bool lies = stand.body.width() >= stand.body.height();
    switch (item.role) {
        case Role::two_terminal: return is_level(stand.pins.empty() ? Way::right : stand.pins[0].way) ? Set::split : Set::right;
        case Role::device: {
            const Way control = item.symbol.pins.size() > 1 ? pin_way(item.symbol.pins[1].name) : Way::left;
            if (item.kind == "triode" || item.kind == "pentode") return control == Way::right ? Set::upper_left : Set::upper_right;
            return control == Way::right ? Set::left : Set::right;
        }
        case Role::opamp: return pin_way("out") == Way::left ? Set::split_left : Set::split_right;
        case Role::potentiometer: {
            const Way wiper = pin_way("wiper");
            if (wiper == Way::right) return Set::left;
            if (wiper == Way::left) return Set::right;
            return wiper == Way::down ? Set::above : Set::below;
        }
        case Role::jack: case Role::terminal: case Role::transformer: case Role::box: return Set::above;
        case Role::contact: return lies ? Set::above : Set::right;
        case Role::other: return lies ? Set::above : Set::right;
        case Role::tie: break;
    }
    return Set::right;
}

LabelLine line_at(int x, int top, int width, int align) {
    const int left = align < 0 ? x : align > 0 ? x - width : x - width / 2;
    return {{left, top, left + width, top + line_height}, align};
}

}  // namespace

namespace {

Set set_of(const Item& item, const Standpoint& stand, int variant) {
    const Set first = preferred(item, stand);
    return variant == 0 ? first : static_cast<Set>((static_cast<int>(first) + variant) % label_variants);
}

}  // namespace

int label_price(const Item& item, const Standpoint& stand, int variant) {
    if (variant == 0) return 0;
    switch (set_of(item, stand, variant)) {
        case Set::right: case Set::left: case Set::above: case Set::below: case Set::split: return 6;
        case Set::upper_right: case Set::upper_left: case Set::lower_right: case Set::lower_left: return 8;
        case Set::line_right: case Set::line_left: case Set::line_above: case Set::line_below: return 12;
        case Set::split_right: case Set::split_left: return 16;
    }
    return 16;
}

std::vector<LabelLine> label_at(const Item& item, const Standpoint& stand, int variant) {
    std::vector<LabelLine> lines;
    const std::size_t count = item.lines.size();
    if (count == 0) return lines;
    const Set set = set_of(item, stand, variant);
    const Area& b = stand.body;
    const int gap = 7, mx = (b.x0 + b.x1) / 2, my = (b.y0 + b.y1) / 2;
    const int stacked = line_pitch * static_cast<int>(count - 1) + line_height;
    const auto stack = [&](int x, int top, int align) {
        for (std::size_t i = 0; i < count; ++i)
            lines.push_back(line_at(x, top + static_cast<int>(i) * line_pitch, item.widths[i], align));
    };
    const auto one_line = [&](int x, int top, int align) {
        int total = 0;
        for (int width : item.widths) total += width + 8;
        total -= 8;
        int left = align < 0 ? x : align > 0 ? x - total : x - total / 2;
        for (int width : item.widths) {
            lines.push_back(line_at(left, top, width, -1));
            left += width + 8;
        }
    };
    const auto halves = [&](int x, int align, int first, int second) {
        lines.push_back(line_at(x, first, item.widths[0], align));
        if (count > 1) lines.push_back(line_at(x, second, item.widths[1], align));
        for (std::size_t i = 2; i < count; ++i)
            lines.push_back(line_at(x, second + static_cast<int>(i - 1) * line_pitch, item.widths[i], align));
    };
    switch (set) {
        case Set::right: stack(b.x1 + gap, my - stacked / 2, -1); break;
        case Set::left: stack(b.x0 - gap, my - stacked / 2, 1); break;
        case Set::above: stack(mx, b.y0 - 4 - stacked, 0); break;
        case Set::below: stack(mx, b.y1 + 4, 0); break;
        case Set::split: halves(mx, 0, b.y0 - 3 - line_height, b.y1 + 3); break;
        case Set::line_above: one_line(mx, b.y0 - 4 - line_height, 0); break;
        case Set::line_below: one_line(mx, b.y1 + 4, 0); break;
        case Set::upper_right: stack(b.x1 - 6, b.y0 - line_height + 4, -1); break;
        case Set::upper_left: stack(b.x0 + 6, b.y0 - line_height + 4, 1); break;
        case Set::lower_right: stack(b.x1 - 6, b.y1 - line_height, -1); break;
        case Set::lower_left: stack(b.x0 + 6, b.y1 - line_height, 1); break;
        case Set::line_right: one_line(b.x1 + gap, my - line_height / 2, -1); break;
        case Set::line_left: one_line(b.x0 - gap, my - line_height / 2, 1); break;
        case Set::split_right: halves(mx + 4, -1, my - 24 - line_height, my + 24); break;
        case Set::split_left: halves(mx - 4, 1, my - 24 - line_height, my + 24); break;
    }
    return lines;
}

}  // namespace tallyboard::detail
