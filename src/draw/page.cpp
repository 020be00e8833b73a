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
    }
    for (int i : items) {
        const Standpoint& stand = stand_of(model, places, i);
        for (Spot node : stand.hard_nodes) scene.obstacles.hard.push_back(absolute(node, places[i]));
        if (model.items[i].role != Role::tie)
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
        if (model.items[i].role != Role::tie) taken.push_back(stand.extent.grown(1).moved(at));
    }
    for (const PageTie& tie : page.ties) {
        // A name beside a name reads as one.
        Area box = tie_box(tie.form, tie.way, model.nets[tie.net].tie_text()).moved(tie.at);
        if (tie.form == TieForm::up || tie.form == TieForm::down) box.x0 -= sub / 2, box.x1 += sub / 2;
        taken.push_back(box);
    }
    for (const PageWire& wire : page.wires)
        for (std::size_t k = 1; k < wire.spots.size(); ++k) taken.push_back(wire_area(wire.spots[k - 1], wire.spots[k]));
    return taken;
}

void add_pin_ties(const Model& model, const std::vector<Place>& places, Page& page) {
    for (int i : page.items) {
        const Standpoint& stand = stand_of(model, places, i);
        for (const TieSite& tie : stand.ties) {
            const int net = model.items[i].pins[tie.pin].net;
            TieForm form = model.nets[net].form;
            if (tie.stub == 0 && is_level(tie.way) && !is_ground(form)) form = TieForm::flag;
            page.ties.push_back({net, form, absolute(tie.at, places[i]), tie.way, {}});
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
    const Routed routed = route(scene.nets, scene.obstacles);
    for (int n : routed.failed) page.unrouted_nets.push_back(scene.nets[n].net);

    for (std::size_t n = 0; n < scene.nets.size(); ++n) {
        std::vector<Spot> pins;
        for (const PinSite& pin : scene.nets[n].pins) pins.push_back(pin.at);
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
