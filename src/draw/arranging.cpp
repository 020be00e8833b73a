#include "draw/arranging.h"

#include <fmt/format.h>

#include "draw/arranger.h"

namespace tallyboard::detail {

namespace {

// Above this many items a block is cut between stages before it is placed.
constexpr std::size_t largest_block = 150;
constexpr int attempts = 4;
constexpr int draft_starts = 2;

int units_up(int sixteenths) { return (sixteenths + sub - 1) / sub; }

int crossings_of(const std::vector<PageWire>& wires) {
    struct Piece { int net; Spot low, high; };
    std::vector<Piece> level, upright;
    for (const PageWire& wire : wires)
        for (std::size_t k = 1; k < wire.spots.size(); ++k) {
            const Spot a = wire.spots[k - 1], b = wire.spots[k];
            (a.y == b.y ? level : upright).push_back({wire.net, {std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}});
        }
    int count = 0;
    for (const Piece& l : level)
        for (const Piece& u : upright)
            count += l.net != u.net && u.low.x > l.low.x && u.low.x < l.high.x && l.low.y > u.low.y && l.low.y < u.high.y;
    return count;
}

// What the page's wires cost at the prices of placing; nothing where a net has no way or lettering no room.
std::optional<long long> routed_cost(const Page& page) {
    if (!page.unrouted_nets.empty() || !page.crowded_items.empty()) return {};
    long long length = 0, bends = 0;
    for (const PageWire& wire : page.wires)
        for (std::size_t k = 1; k < wire.spots.size(); ++k) {
            length += std::abs(wire.spots[k].x - wire.spots[k - 1].x) + std::abs(wire.spots[k].y - wire.spots[k - 1].y);
            bends += k > 1;
        }
    const long long dots = static_cast<long long>(page.junctions.size());
    return length * WireField::unit + (bends + dots) * WireField::bend + crossings_of(page.wires) * WireField::crossing;
}

}  // namespace

Arrangement Arranger::run() {
    arrangement_.remarks = model_.remarks;
    if (model_.items.empty()) {
        const Paper paper = papers().front();
        const Field field = field_of(paper, options_.fields);
        arrangement_.sheets.push_back({{}, paper, {largest_module, {field.drawing.x, field.drawing.y}}});
        return std::move(arrangement_);
    }
    drop_impossible();
    for (attempt_ = 1; attempt_ < attempts && all_given(); ++attempt_) {
        take_given();
        // Nets without a way between places given are drawn by name; lettering may have to touch something.
        if (finish(attempt_ == attempts - 1)) return std::move(arrangement_);
    }
    attempt_ = 0;
    stale_.clear();
    if (homes_.model) {
        settle_near_homes();
        if (finish(false)) return std::move(arrangement_);
        stale_.clear();
    }
    merge_given_blocks();
    for (int block = 0; block < model_.blocks; ++block)
        while (items_of(block).size() > largest_block) split(block);
    for (attempt_ = 0; attempt_ < attempts; ++attempt_) {
        place_blocks();
        share_out();
        if (finish(false)) return std::move(arrangement_);
    }
    explode();
    finish(true);
    return std::move(arrangement_);
}

// Cuts a block in two between stages: where, in the order of levels and near the middle, fewest nets are cut.
void Arranger::split(int block) {
    std::vector<int> items = items_of(block);
    std::stable_sort(items.begin(), items.end(), [&](int a, int b) { return model_.items[a].level < model_.items[b].level; });
    const std::size_t n = items.size();
    std::map<int, int> position;
    for (std::size_t k = 0; k < n; ++k) position[items[k]] = static_cast<int>(k);
    std::vector<int> cut(n + 1, 0);
    for (const WireGroup& group : model_.groups) {
        int low = static_cast<int>(n), high = -1;
        for (auto [i, p] : group.pins)
            if (auto at = position.find(i); at != position.end()) low = std::min(low, at->second), high = std::max(high, at->second);
        for (int k = low + 1; k <= high; ++k) ++cut[k];
    }
    std::size_t best = n / 2;
    for (std::size_t k = n * 35 / 100; k <= n * 65 / 100; ++k)
        if (cut[k] < cut[best]) best = k;
    for (std::size_t k = best; k < n; ++k) model_.items[items[k]].block = model_.blocks;
    ++model_.blocks;
    model_.power_block.push_back(model_.power_block[block]);
    rebuild(model_, circuit_);
    stale_.insert(block);
    stale_.insert(model_.blocks - 1);
}

void Arranger::place_blocks() {
    std::vector<std::vector<int>> blocks;
    for (int block = 0; block < model_.blocks; ++block) blocks.push_back(items_of(block));
    int starts_done = 0, all_starts = 0;
    for (const auto& items : blocks) {
        const PlacingOptions usual = usual_effort(items.size());
        if (!items.empty()) all_starts += options_.draft ? draft_starts : usual.starts + usual.refined;
    }
    double best_before = 0;
    for (int block = 0; block < model_.blocks; ++block) {
        const auto& items = blocks[block];
        if (items.empty() || (placed_once_ && !stale_.count(block))) continue;
        PlacingOptions placing = usual_effort(items.size());
        if (options_.draft) {
            placing.starts = draft_starts;
            placing.effort = 0.1;
            placing.refined = 0;
        }
        placing.threads = options_.threads;
        placing.stop = options_.stop;
        placing.seed = 1 + static_cast<unsigned>(attempt_) * 17;
        double best = 0;
        placing.start_done = [&](double cost) {
            best = cost;
            if (options_.progress) options_.progress({++starts_done, all_starts, best_before + cost});
        };
        placing.routed = [&](const std::vector<Place>& places) {
            std::vector<Place> all(model_.items.size());
            for (std::size_t k = 0; k < items.size(); ++k) all[items[k]] = places[k];
            return routed_cost(make_page(model_, items, all));
        };
        const bool given = std::any_of(items.begin(), items.end(), [&](int i) { return model_.items[i].given.has_value(); });
        placed_[block] = given ? place_given_block(items, placing) : place_block(model_, items, placing);
        best_before += best;
    }
    placed_once_ = true;
    stale_.clear();
    extents_.clear();
    arrangement_.places.assign(model_.items.size(), {});
    for (int block = 0; block < model_.blocks; ++block) {
        const auto& items = blocks[block];
        if (items.empty()) continue;
        Area extent;
        for (std::size_t k = 0; k < items.size(); ++k) {
            const Place& place = placed_[block].places[k];
            arrangement_.places[items[k]] = place;
            const Area hull = model_.items[items[k]].standpoints[place.standpoint].hull.moved({place.x, place.y});
            if (k == 0) extent = hull;
            else extent.include(hull);
        }
        extents_[block] = extent;
    }
}

// Of the ways to set the blocks, the one that can be printed largest, on the smaller paper if it does.
std::vector<Spot> Arranger::best_packing(const std::vector<Spot>& sizes) const {
    const auto ways = packings(sizes, 24);
    std::size_t best = 0;
    for (const Paper& paper : papers()) {
        const Field field = field_of(paper, options_.fields);
        double largest = 0;
        for (std::size_t w = 0; w < ways.size(); ++w) {
            std::vector<Area> boxes;
            for (std::size_t k = 0; k < sizes.size(); ++k) boxes.push_back(Area{0, 0, sizes[k].x * sub, sizes[k].y * sub}.moved(ways[w][k]));
            const auto scale = fit(boxes, field);
            if (scale && scale->module > largest) largest = scale->module, best = w;
        }
        if (largest > 0) break;
    }
    return ways.empty() ? std::vector<Spot>{} : ways[best];
}

// Sets the blocks beside and below one another, the largest signal block first; a block with places given keeps them.
void Arranger::lay_out(const std::vector<int>& blocks) {
    std::vector<int> order = blocks;
    const auto has_given = [&](int block) {
        for (const Item& item : model_.items)
            if (item.block == block && item.given) return true;
        return false;
    };
    const auto area = [&](int block) { return static_cast<long long>(extents_.at(block).width()) * extents_.at(block).height(); };
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
        if (has_given(a) != has_given(b)) return has_given(a);
        if (model_.power_block[a] != model_.power_block[b]) return !model_.power_block[a];
        return area(a) > area(b);
    });
    std::vector<Spot> sizes;
    for (int block : order) sizes.push_back({units_up(extents_.at(block).width()), units_up(extents_.at(block).height())});
    const std::vector<Spot> at = best_packing(sizes);
    Spot origin{0, 0};
    for (std::size_t k = 0; k < order.size(); ++k) {
        const Area& extent = extents_.at(order[k]);
        const auto items = items_of(order[k]);
        const auto floor_units = [](int v) { return v >= 0 ? v / sub : -((-v + sub - 1) / sub); };
        Spot shift{at[k].x - floor_units(extent.x0), at[k].y - floor_units(extent.y0)};
        if (has_given(order[k])) {
            // As given: the others go round it.
            for (int i : items)
                if (model_.items[i].given) {
                    const Place want = given_place(i);
                    shift = {want.x - arrangement_.places[i].x, want.y - arrangement_.places[i].y};
                    break;
                }
            origin = {shift.x + floor_units(extent.x0), shift.y + floor_units(extent.y0)};
        } else {
            shift = {shift.x + origin.x, shift.y + origin.y};
        }
        for (int i : items) {
            arrangement_.places[i].x += shift.x;
            arrangement_.places[i].y += shift.y;
        }
        extents_[order[k]] = extent.moved(shift);
    }
}

bool Arranger::fits(const std::vector<int>& blocks) const {
    std::vector<Area> boxes;
    for (int block : blocks)
        for (int i : items_of(block)) {
            const Place& place = arrangement_.places[i];
            boxes.push_back(model_.items[i].standpoints[place.standpoint].hull.moved({place.x, place.y}));
        }
    for (const Paper& paper : papers())
        if (fit(boxes, field_of(paper, options_.fields))) return true;
    return false;
}

// One sheet if everything fits, else block after block onto sheets; a block too large for any sheet is split and placed again.
void Arranger::share_out() {
    for (;;) {
        std::vector<int> all;
        for (const auto& [block, extent] : extents_) all.push_back(block);
        lay_out(all);
        std::vector<std::vector<int>> sheets{all};
        if (!fits(all)) {
            std::stable_sort(all.begin(), all.end(), [&](int a, int b) { return model_.power_block[a] < model_.power_block[b]; });
            sheets.clear();
            int too_large = -1;
            for (int block : all) {
                if (!sheets.empty()) {
                    sheets.back().push_back(block);
                    lay_out(sheets.back());
                    if (fits(sheets.back())) continue;
                    sheets.back().pop_back();
                    lay_out(sheets.back());
                }
                sheets.push_back({block});
                lay_out(sheets.back());
                if (!fits(sheets.back()) && items_of(block).size() > 8) too_large = block;
            }
            if (too_large >= 0) {
                split(too_large);
                place_blocks();
                continue;
            }
        }
        on_sheet_.clear();
        for (const auto& blocks : sheets) {
            std::vector<int> items;
            for (int block : blocks)
                for (int i : items_of(block)) items.push_back(i);
            std::sort(items.begin(), items.end());
            on_sheet_.push_back(std::move(items));
        }
        return;
    }
}

// Routes and letters every sheet. False: something did not find its place (and is to be tried again, unless `last`).
bool Arranger::finish(bool last) {
    arrangement_.sheets.clear();
    bool good = true;
    std::set<int> cut;
    for (const auto& items : on_sheet_) {
        Page page = make_page(model_, items, arrangement_.places);
        for (int net : page.unrouted_nets) cut.insert(net);
        for (int i : page.crowded_items) stale_.insert(model_.items[i].block);
        if (!page.unrouted_nets.empty() || !page.crowded_items.empty()) good = false;
        std::optional<Scale> scale;
        Paper paper;
        for (const Paper& tried : papers()) {
            paper = tried;
            scale = fit(page.boxes, field_of(tried, options_.fields));
            if (scale) break;
        }
        if (!scale) {
            if (!last) good = false;
            // Nothing smaller may be printed: it stands over the edge, and is told.
            const Box drawing = field_of(paper, options_.fields).drawing;
            scale = Scale{smallest_module, {drawing.x, drawing.y}};
            if (last) arrangement_.remarks.push_back(fmt::format("the circuit does not fit on {} at the smallest scale", paper.name));
        }
        arrangement_.sheets.push_back({std::move(page), paper, *scale});
    }
    if (good || (last && cut.empty())) return true;
    for (int net : cut) {
        for (auto [i, p] : model_.nets[net].pins) stale_.insert(model_.items[i].block);
        if (attempt_ >= 1) cut_net(model_, net);
    }
    if (stale_.empty())
        for (const auto& [block, extent] : extents_) stale_.insert(block);
    if (attempt_ >= 1 && !cut.empty()) {
        rebuild(model_, circuit_);
        for (const auto& [block, extent] : extents_) stale_.insert(block);   // orientations are numbered anew
    }
    return false;
}

// Every pin tied by name, the items in rows far apart: no one's idea of a drawing, but true, whatever the circuit.
void Arranger::explode() {
    for (std::size_t n = 0; n < model_.nets.size(); ++n) cut_net(model_, static_cast<int>(n));
    rebuild(model_, circuit_);
    on_sheet_.assign(1, {});
    arrangement_.places.assign(model_.items.size(), {});
    int x = 0, y = 0, row = 0;
    for (int i = 0; i < static_cast<int>(model_.items.size()); ++i) {
        const Area& hull = model_.items[i].standpoints[0].hull;
        if (x > 0 && x + units_up(hull.width()) > 160) x = 0, y += row + 3, row = 0;
        if (y + units_up(hull.height()) > 100) on_sheet_.push_back({}), x = 0, y = 0, row = 0;
        arrangement_.places[i] = {x + units_up(-hull.x0), y + units_up(-hull.y0), 0};
        x += units_up(hull.width()) + 4;
        row = std::max(row, units_up(hull.height()));
        on_sheet_.back().push_back(i);
    }
    arrangement_.remarks.push_back("no way was found for every wire: all connections are drawn by name");
}

Arrangement arrange(Model& model, const Circuit& circuit, const DrawOptions& options, const Homes& homes) {
    return Arranger(model, circuit, options, homes).run();
}

}  // namespace tallyboard::detail
