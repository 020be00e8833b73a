#include "draw/labels.h"

#include "draw/shape.h"

namespace tallyboard::detail {

namespace {

constexpr int clear = 2;               // sixteenths between lettering and anything else …
constexpr int apart = 9;               // … and beside other lettering, so that two texts do not read as one
constexpr int conflict_price = 140, shift_price = 9;   // tenths, the shift a unit

struct Candidate { std::vector<LabelLine> lines; int cost = 0; bool conflict = false; };

class Lettering {
public:
    Lettering(const Model& model, const std::vector<int>& items, const std::vector<Place>& places, const std::vector<Area>& taken)
        : model_(model), items_(items), places_(places), taken_(taken), lines_(items.size()) {
        for (std::size_t k = 0; k < items.size(); ++k) lines_[k] = shifted(k, 0, 0, 0);
    }

    // One sweep over all items; true: something changed.
    bool sweep(int reach_x, int reach_y, bool only_conflicts) {
        bool changed = false;
        for (std::size_t k = 0; k < items_.size(); ++k) {
            if (lines_[k].empty()) continue;
            gather(k);
            if (!conflicts(lines_[k]) && (only_conflicts || lines_[k].front().box == shifted(k, 0, 0, 0).front().box)) continue;
            const Candidate best = search(k, reach_x, reach_y);
            changed = changed || !(best.lines.front().box == lines_[k].front().box);
            lines_[k] = best.lines;
        }
        return changed;
    }
    Lettered result() {
        Lettered lettered;
        for (std::size_t k = 0; k < items_.size(); ++k) {
            if (lines_[k].empty()) continue;
            gather(k);
            if (conflicts(lines_[k])) lettered.conflicts.push_back(items_[k]);
        }
        lettered.lines = lines_;
        return lettered;
    }

private:
    const Standpoint& stand(std::size_t k) const {
        return model_.items[items_[k]].standpoints[places_[items_[k]].standpoint];
    }
    std::vector<LabelLine> shifted(std::size_t k, int variant, int dx, int dy) const {
        const Place& place = places_[items_[k]];
        auto lines = label_at(model_.items[items_[k]], stand(k), variant);
        for (LabelLine& line : lines) {
            line.box = line.box.moved({place.x, place.y});
            line.box.x0 += dx;
            line.box.x1 += dx;
            line.box.y0 += dy;
            line.box.y1 += dy;
        }
        return lines;
    }
    // What lies near enough to matter.
    void gather(std::size_t k) {
        const Place& place = places_[items_[k]];
        const Area near = stand(k).hull.moved({place.x, place.y}).grown(10 * sub);
        near_.clear();
        for (const Area& area : taken_)
            if (area.overlaps(near)) near_.push_back(area);
        for (std::size_t j = 0; j < lines_.size(); ++j)
            if (j != k)
                for (const LabelLine& line : lines_[j])
                    if (line.box.overlaps(near)) near_.push_back({line.box.x0 - apart, line.box.y0, line.box.x1 + apart, line.box.y1});
    }
    int conflicts(const std::vector<LabelLine>& lines) const {
        int count = 0;
        for (const LabelLine& line : lines)
            for (const Area& area : near_) count += line.box.grown(clear).overlaps(area);
        return count;
    }
    Candidate search(std::size_t k, int reach_x, int reach_y) const {
        Candidate best;
        best.cost = 1 << 30;
        for (int variant = 0; variant < label_variants; ++variant)
            for (int dy = -reach_y; dy <= reach_y; dy += sub / 2)
                for (int dx = -reach_x; dx <= reach_x; dx += sub / 2) {
                    const int price = label_price(model_.items[items_[k]], stand(k), variant) + shift_price * (std::abs(dx) + std::abs(dy)) / sub;
                    if (price >= best.cost) continue;
                    auto lines = shifted(k, variant, dx, dy);
                    const int touched = conflicts(lines);
                    const int cost = price + conflict_price * touched;
                    if (cost < best.cost) best = {std::move(lines), cost, touched > 0};
                }
        return best;
    }

    const Model& model_;
    const std::vector<int>& items_;
    const std::vector<Place>& places_;
    const std::vector<Area>& taken_;
    std::vector<std::vector<LabelLine>> lines_;
    std::vector<Area> near_;
};

}  // namespace

Lettered place_labels(const Model& model, const std::vector<int>& items, const std::vector<Place>& places,
                      const std::vector<Area>& taken) {
    Lettering lettering(model, items, places, taken);
    for (int pass = 0; pass < 4; ++pass)
        if (!lettering.sweep(sub, sub, false)) break;
    for (int pass = 0; pass < 3; ++pass)
        if (!lettering.sweep(4 * sub, 3 * sub, true)) break;
    return lettering.result();
}

}  // namespace tallyboard::detail
