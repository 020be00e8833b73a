#include "draw/annealing.h"

#include <cmath>
#include <map>

#include "draw/polishing.h"
#include "draw/straight_row.h"

namespace tallyboard::detail {

namespace {

// Acceptance without exp: a difference d passes at temperature T where d <= T · (-ln u); -ln u from a table, in 1/256.
std::vector<int> threshold_table() {
    std::vector<int> table(4096);
    for (int i = 0; i < 4096; ++i) table[i] = static_cast<int>(std::lround(-std::log((i + 0.5) / 4096) * 256));
    return table;
}

class Moves {
public:
    Moves(Layout& layout, Dice& dice) : layout_(layout), dice_(dice) {
        for (int i = 0; i < layout.size(); ++i)
            if (!layout.fixed(i)) loose_.push_back(i);
    }
    int loose() const { return static_cast<int>(loose_.size()); }

    // Fills `changes` with one random move; false: none this time. `cool` in 0 … 256: how far down the schedule.
    bool propose(std::vector<Change>& changes, int cool) {
        changes.clear();
        const int pick = dice_.below(100);
        if (pick < 36) return snap(changes);
        if (pick < 48) return slide(changes);
        if (pick < 62) return jitter(changes, cool);
        if (pick < 70) return turn(changes);
        if (pick < 76) return swap(changes);
        if (pick < 90) return shift_cluster(changes, cool);
        if (pick < 96) return shift_branch(changes, cool);
        return shift_beyond(changes);
    }

private:
    int any_loose() { return loose_[dice_.below(static_cast<int>(loose_.size()))]; }

    // A wired pin of `i` and another pin of its net on another item.
    bool pick_joint(int i, std::pair<int, int>& mine, std::pair<int, int>& other) {
        const auto& nets = layout_.nets_of(i);
        if (nets.empty()) return false;
        const auto& pins = layout_.nets()[nets[dice_.below(static_cast<int>(nets.size()))]];
        if (pins.size() < 2) return false;
        mine = pins[dice_.below(static_cast<int>(pins.size()))];
        other = pins[dice_.below(static_cast<int>(pins.size()))];
        for (std::size_t k = 0; k < pins.size() && mine.first != i; ++k) mine = pins[k];
        for (std::size_t k = 0; k < pins.size() && other.first == i; ++k) other = pins[k];
        return mine.first == i && other.first != i;
    }

    // One of my pins on the line out of another pin of its net.
    bool snap(std::vector<Change>& changes) {
        const int i = any_loose();
        std::pair<int, int> mine, other;
        if (!pick_joint(i, mine, other)) return false;
        Place to = layout_.places()[i];
        if (dice_.below(4) == 0) to.standpoint = dice_.below(static_cast<int>(layout_.item(i).standpoints.size()));
        const PinSite& site = layout_.item(i).standpoints[to.standpoint].pins[mine.second];
        const Spot at = layout_.pin_at(other.first, other.second);
        const Way way = layout_.stand(other.first).pins[other.second].way;
        const int away = dice_.below(12);
        Spot out = step(way);
        // Sometimes on the line across instead: the next leg of a row or a column.
        if (dice_.below(3) == 0) out = is_level(way) ? Spot{0, dice_.below(2) ? 1 : -1} : Spot{dice_.below(2) ? 1 : -1, 0};
        to.x = at.x + out.x * away - site.at.x;
        to.y = at.y + out.y * away - site.at.y;
        changes.push_back({i, to});
        return true;
    }

    // All that is joined to me by straight wires along one axis moves by the jog that is to go.
    bool slide(std::vector<Change>& changes) {
        const int i = any_loose();
        std::pair<int, int> mine, other;
        if (!pick_joint(i, mine, other)) return false;
        const Spot a = layout_.pin_at(mine.first, mine.second), b = layout_.pin_at(other.first, other.second);
        const bool level = a.y == b.y ? false : a.x == b.x ? true : dice_.below(2) == 0;   // remove the jog in height
        const int by = level ? b.y - a.y : b.x - a.x;
        if (by == 0 || std::abs(by) > 12) return false;
        constexpr std::size_t longest = 20;
        if (!straight_row(layout_, i, level, other.first, longest, group_)) return false;
        for (int member : group_) add(changes, member, level ? 0 : by, level ? by : 0);
        return true;
    }

    void add(std::vector<Change>& changes, int item, int dx, int dy) {
        Place to = layout_.places()[item];
        to.x += dx;
        to.y += dy;
        changes.push_back({item, to});
    }

    int reach(int cool) { return 1 + (8 * (256 - cool) / 256); }

    bool jitter(std::vector<Change>& changes, int cool) {
        const int r = reach(cool), dx = dice_.between(-r, r), dy = dice_.between(-r, r);
        if (dx == 0 && dy == 0) return false;
        add(changes, any_loose(), dx, dy);
        return true;
    }

    bool turn(std::vector<Change>& changes) {
        const int i = any_loose(), count = static_cast<int>(layout_.item(i).standpoints.size());
        if (count < 2) return false;
        Place to = layout_.places()[i];
        to.standpoint = (to.standpoint + 1 + dice_.below(count - 1)) % count;
        changes.push_back({i, to});
        return true;
    }

    bool swap(std::vector<Change>& changes) {
        const int a = any_loose(), b = any_loose();
        if (a == b) return false;
        Place to_a = layout_.places()[b], to_b = layout_.places()[a];
        to_a.standpoint = layout_.places()[a].standpoint;
        to_b.standpoint = layout_.places()[b].standpoint;
        changes.push_back({a, to_a});
        changes.push_back({b, to_b});
        return true;
    }

    bool shift_cluster(std::vector<Change>& changes, int cool) {
        group_.assign(1, any_loose());
        const std::size_t wanted = 2 + dice_.below(9);
        for (int tries = 0; tries < 30 && group_.size() < wanted; ++tries) {
            const int from = group_[dice_.below(static_cast<int>(group_.size()))];
            std::pair<int, int> mine, other;
            if (!pick_joint(from, mine, other) || layout_.fixed(other.first)) continue;
            if (std::find(group_.begin(), group_.end(), other.first) == group_.end()) group_.push_back(other.first);
        }
        const int r = reach(cool);
        int dx = dice_.between(-r, r), dy = dice_.between(-r, r);
        if (dice_.below(2) == 0) (dice_.below(2) == 0 ? dx : dy) = 0;
        if (dx == 0 && dy == 0) return false;
        for (int member : group_) add(changes, member, dx, dy);
        return true;
    }

    // What hangs on one net alone.
    bool shift_branch(std::vector<Change>& changes, int cool) {
        const auto& branches = layout_.branches();
        if (branches.empty()) return shift_cluster(changes, cool);
        const auto& branch = branches[dice_.below(static_cast<int>(branches.size()))];
        const int r = reach(cool), dx = dice_.between(-r, r), dy = dice_.between(-r, r);
        if (dx == 0 && dy == 0) return false;
        for (int member : branch) add(changes, member, dx, dy);
        return true;
    }

    bool shift_beyond(std::vector<Change>& changes) {
        const int pivot = any_loose(), by = dice_.below(2) ? dice_.between(1, 3) : -dice_.between(1, 3);
        const bool across = dice_.below(2) == 0;
        const bool above = dice_.below(2) == 0;
        const Place line = layout_.places()[pivot];
        for (int i : loose_) {
            const Place& at = layout_.places()[i];
            const int offset = across ? at.x - line.x : at.y - line.y;
            if (above ? offset >= 0 : offset <= 0) add(changes, i, across ? by : 0, across ? 0 : by);
        }
        return changes.size() < loose_.size();
    }

    Layout& layout_;
    Dice& dice_;
    std::vector<int> loose_, group_;
};

}  // namespace

Placed anneal(Layout& layout, const PlacingOptions& options, Dice dice) {
    static const std::vector<int> thresholds = threshold_table();
    Moves moves(layout, dice);
    Placed best{layout.places(), layout.cost(), layout.overlaps()};
    if (moves.loose() == 0) return best;
    const double n = moves.loose();
    const long long total = static_cast<long long>(12000 * n * std::max(1.0, std::sqrt(n / 25)) * options.effort);
    const int steps = std::clamp(4 * moves.loose(), 16, 96);
    const double hot = options.cool ? options.warm : options.hot, cold = options.cold;
    std::vector<Change> changes;
    bool have_best = false;
    const auto stopped = [&] { return options.stop && options.stop->load(std::memory_order_relaxed); };
    for (int k = 0; k < steps && !stopped(); ++k) {
        const double share = static_cast<double>(k) / (steps - 1);
        const int temperature = static_cast<int>(std::lround(hot * std::pow(cold / hot, share) * sub * 16));   // 1/256
        layout.set_overlap_weight(options.cool ? 256 : static_cast<int>(std::lround(256 * std::min(1.0, 0.15 + 0.85 * share / 0.57))));
        layout.refresh();
        const bool last_fifth = k * 5 >= steps * 4;
        if (last_fifth && (!have_best || layout.cost() < best.cost)) {
            best = {layout.places(), layout.cost(), 0};
            have_best = true;
        }
        const long long rounds = total * (k + 1) / steps - total * k / steps;
        for (long long m = 0; m < rounds; ++m) {
            if ((m & 1023) == 0 && stopped()) break;
            int difference = 0;
            if (!moves.propose(changes, k * 256 / steps)) continue;
            const int passes = static_cast<int>(static_cast<long long>(temperature) * thresholds[dice.next() >> 20] / 4096);   // sixteenths
            if (!layout.move(changes, passes, difference)) continue;
            if (difference > passes) layout.take_back();
            else if (last_fifth && layout.cost() < best.cost) best = {layout.places(), layout.cost(), 0};
        }
    }
    if (!have_best || layout.cost() < best.cost) best.places = layout.places();   // stopped early
    layout.set_places(best.places);
    layout.set_overlap_weight(256);
    polish(layout, options.stop);
    best.places = layout.places();
    best.cost = layout.cost();
    best.overlaps = layout.overlaps();
    best.wires = layout.wires();
    return best;
}

}  // namespace tallyboard::detail
