#include "draw/page.h"

#include <set>

#include "draw/shape.h"

namespace tallyboard::detail {

namespace {

const Standpoint& stand_of(const Model& model, const std::vector<Place>& places, int item) {
    return model.items[item].standpoints[places[item].standpoint];
}
Spot absolute(Spot spot, const Place& place) { return {spot.x + place.x, spot.y + place.y}; }
Area wire_area(Spot a, Spot b) {
    return Area{std::min(a.x, b.x) * sub, std::min(a.y, b.y) * sub, std::max(a.x, b.x) * sub, std::max(a.y, b.y) * sub}.grown(2);
}

struct Scene {
    std::vector<RouteNet> nets;
    std::vector<bool> needs_tie;                       // as nets
    Obstacles obstacles;
};

Scene scene_of(const Model& model, const std::vector<int>& items, const std::vector<Place>& places) {
    Scene scene;
    std::set<int> here(items.begin(), items.end());
    for (const WireGroup& group : model.groups) {
        RouteNet net{group.net, {}};
        for (auto [i, p] : group.pins) {
            if (!here.count(i)) continue;
            const PinSite& site = stand_of(model, places, i).pins[p];
            net.pins.push_back({absolute(site.at, places[i]), site.way});
        }
        if (net.pins.empty()) continue;
        scene.nets.push_back(std::move(net));
        scene.needs_tie.push_back(group.needs_tie);
    }
    for (int i : items) {
        const Standpoint& stand = stand_of(model, places, i);
        for (Spot node : stand.hard_nodes) scene.obstacles.hard.push_back(absolute(node, places[i]));
        for (Spot node : nodes_in(stand.body, sub)) scene.obstacles.beside.push_back(absolute(node, places[i]));
        for (Spot node : stand.soft_nodes) scene.obstacles.lettering.push_back(absolute(node, places[i]));
        // Stubs of ties.
        for (const TieSite& tie : stand.ties)
            if (tie.stub > 0) scene.obstacles.hard.push_back(absolute(stand.pins[tie.pin].at, places[i]));
    }
    return scene;
}

// All that lettering and further ties keep clear of.
std::vector<Area> taken_by(const Model& model, const Page& page, const std::vector<Place>& places) {
    std::vector<Area> taken;
    for (int i : page.items) {
        const Standpoint& stand = stand_of(model, places, i);
        const Spot at{places[i].x, places[i].y};
        taken.push_back(stand.extent.grown(1).moved(at));
    }
    for (const PageTie& tie : page.ties) taken.push_back(tie_box(tie.form, tie.way, model.nets[tie.net].name).moved(tie.at));
    for (const PageWire& wire : page.wires)
        for (std::size_t k = 1; k < wire.spots.size(); ++k) taken.push_back(wire_area(wire.spots[k - 1], wire.spots[k]));
    return taken;
}

// Ties that stand on wires: the place on the net's wires (or a little above or below them) that is free and nearest the
// middle of a level piece. Adds the stub to the net's edges and the tie's pin to its pins.
class WireTies {
public:
    WireTies(const Model& model, Page& page, std::vector<Area> taken) : model_(model), page_(page), taken_(std::move(taken)) {}

    bool add(int net, std::vector<Edge>& edges, std::vector<Spot>& pins) {
        const TieForm form = model_.nets[net].form;
        std::vector<Way> ways{Way::up};
        if (form == TieForm::down || form == TieForm::ground) ways = {Way::down};
        if (form == TieForm::flag) ways = {Way::right, Way::left, Way::up, Way::down};
        std::set<std::pair<int, int>> nodes;
        for (const Edge& edge : edges) {
            nodes.insert({edge.at.y, edge.at.x});
            nodes.insert(edge.down ? std::pair{edge.at.y + 1, edge.at.x} : std::pair{edge.at.y, edge.at.x + 1});
        }
        for (Spot pin : pins) nodes.insert({pin.y, pin.x});
        int least = 1 << 30, best_stub = 0;
        Spot best{};
        Way best_way = Way::up;
        for (int stub = 0; stub <= 4; ++stub)
            for (Way way : ways)
                for (auto [y, x] : nodes) {
                    const int price = stub * 40 + off_centre({x, y}, edges) + (is_pin({x, y}, pins) ? 15 : 0);
                    if (price >= least || !fits(net, form, {x, y}, way, stub, nodes)) continue;
                    least = price;
                    best = {x, y};
                    best_way = way;
                    best_stub = stub;
                }
        if (least == 1 << 30) return false;
        Spot at = best;
        for (int k = 0; k < best_stub; ++k) {
            const Spot next{at.x + step(best_way).x, at.y + step(best_way).y};
            edges.push_back({{std::min(at.x, next.x), std::min(at.y, next.y)}, at.x == next.x});
            at = next;
        }
        if (best_stub > 0) taken_.push_back(wire_area(best, at));
        pins.push_back(at);
        page_.ties.push_back({net, form, at, best_way});
        taken_.push_back(tie_box(form, best_way, model_.nets[net].name).moved(at));
        return true;
    }

private:
    static bool is_pin(Spot spot, const std::vector<Spot>& pins) { return std::find(pins.begin(), pins.end(), spot) != pins.end(); }
    // How far the node is from the middle of the level piece it lies on; more where it lies on an upright one.
    static int off_centre(Spot spot, const std::vector<Edge>& edges) {
        int left = 0, right = 0;
        while (std::find(edges.begin(), edges.end(), Edge{{spot.x + right, spot.y}, false}) != edges.end()) ++right;
        while (std::find(edges.begin(), edges.end(), Edge{{spot.x - left - 1, spot.y}, false}) != edges.end()) ++left;
        return left + right == 0 ? 12 : std::abs(left - right);
    }
    bool fits(int net, TieForm form, Spot at, Way way, int stub, const std::set<std::pair<int, int>>& nodes) const {
        Spot end = at;
        for (int k = 0; k < stub; ++k) {
            end = {end.x + step(way).x, end.y + step(way).y};
            if (nodes.count({end.y, end.x})) return false;
        }
        Area box = tie_box(form, way, model_.nets[net].name).moved(end);
        // The box begins a little off the wire it stands on.
        const int off = 4;
        if (way == Way::up) box.y1 -= off;
        if (way == Way::down) box.y0 += off;
        if (way == Way::right) box.x0 += off;
        if (way == Way::left) box.x1 -= off;
        Area line = wire_area(at, end);
        if (way == Way::up) line.y1 -= 6;
        if (way == Way::down) line.y0 += 6;
        if (way == Way::right) line.x0 += 6;
        if (way == Way::left) line.x1 -= 6;
        for (const Area& area : taken_)
            if (area.overlaps(box) || (stub > 0 && area.overlaps(line))) return false;
        return true;
    }

    const Model& model_;
    Page& page_;
    std::vector<Area> taken_;
};

void add_pin_ties(const Model& model, const std::vector<Place>& places, Page& page) {
    for (int i : page.items) {
        const Standpoint& stand = stand_of(model, places, i);
        for (const TieSite& tie : stand.ties) {
            const int net = model.items[i].pins[tie.pin].net;
            TieForm form = model.nets[net].form;
            if (tie.stub == 0 && is_level(tie.way) && form != TieForm::ground) form = TieForm::flag;
            page.ties.push_back({net, form, absolute(tie.at, places[i]), tie.way});
            if (tie.stub > 0)
                page.wires.push_back({net, {absolute(stand.pins[tie.pin].at, places[i]), absolute(tie.at, places[i])}});
        }
    }
}

}  // namespace

Page make_page(const Model& model, const std::vector<int>& items, const std::vector<Place>& places) {
    Page page;
    page.items = items;
    add_pin_ties(model, places, page);
    const Scene scene = scene_of(model, items, places);
    Routed routed = route(scene.nets, scene.obstacles);
    for (int n : routed.failed) page.unrouted_nets.push_back(scene.nets[n].net);

    // Ties on wires want to know where all wires run.
    std::vector<Area> taken = taken_by(model, page, places);
    for (const auto& edges : routed.wires)
        for (const Edge& edge : edges)
            taken.push_back(wire_area(edge.at, {edge.at.x + !edge.down, edge.at.y + edge.down}));
    for (int i : items)
        for (const LabelLine& line : stand_of(model, places, i).label) taken.push_back(line.box.moved({places[i].x, places[i].y}));
    WireTies ties(model, page, std::move(taken));
    for (std::size_t n = 0; n < scene.nets.size(); ++n) {
        std::vector<Spot> pins;
        for (const PinSite& pin : scene.nets[n].pins) pins.push_back(pin.at);
        if (scene.needs_tie[n] && !ties.add(scene.nets[n].net, routed.wires[n], pins)) page.unrouted_nets.push_back(scene.nets[n].net);
        const Drawn drawn = polylines(routed.wires[n], pins);
        for (const auto& line : drawn.lines) page.wires.push_back({scene.nets[n].net, line});
        for (Spot junction : drawn.junctions) page.junctions.push_back({scene.nets[n].net, junction});
    }
    std::sort(page.unrouted_nets.begin(), page.unrouted_nets.end());
    page.unrouted_nets.erase(std::unique(page.unrouted_nets.begin(), page.unrouted_nets.end()), page.unrouted_nets.end());

    page.boxes = taken_by(model, page, places);
    Lettered lettered = place_labels(model, items, places, page.boxes);
    page.lettering = std::move(lettered.lines);
    page.crowded_items = std::move(lettered.conflicts);
    for (const auto& lines : page.lettering)
        for (const LabelLine& line : lines) page.boxes.push_back(line.box);
    return page;
}

}  // namespace tallyboard::detail
