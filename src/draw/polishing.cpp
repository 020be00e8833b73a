#include "draw/polishing.h"

#include "draw/straight_row.h"

namespace tallyboard::detail {

namespace {

class Polisher {
public:
    Polisher(Layout& layout, const std::atomic<bool>* stop) : layout_(layout), stop_(stop) {}

    void run() {
        constexpr int most_rounds = 8;
        for (int round = 0; round < most_rounds; ++round) {
            layout_.refresh();
            const long long before = layout_.cost();
            for (int i = 0; i < layout_.size() && !stopped(); ++i) {
                if (layout_.fixed(i)) continue;
                near_places(i);
                lines_of_pins(i);
                slides(i);
                push(i);
            }
            for (const auto& branch : layout_.branches()) shift_branch(branch);
            if (stopped() || layout_.cost() >= before) break;
        }
        uneven_ = unevenness();
        for (int round = 0; round < most_rounds && !stopped(); ++round)
            if (!even_gaps()) return;
    }

private:
    bool stopped() const { return stop_ && stop_->load(std::memory_order_relaxed); }

    // The move is kept if it costs nothing and the gaps are more even for it.
    bool attempt_evenly() {
        int difference = 0;
        if (!layout_.move(changes_, 0, difference)) return false;
        if (difference <= 0)
            if (const long long now = unevenness(); now < uneven_) {
                uneven_ = now;
                return true;
            }
        layout_.take_back();
        return false;
    }
    // Along each net the squares of the gaps from pin to pin: least where they are alike.
    long long unevenness() {
        long long sum = 0;
        for (const auto& net : layout_.nets())
            for (bool level : {true, false}) {
                along_.clear();
                for (auto [i, p] : net) along_.push_back(level ? layout_.pin_at(i, p).x : layout_.pin_at(i, p).y);
                std::sort(along_.begin(), along_.end());
                for (std::size_t k = 1; k < along_.size(); ++k) sum += (along_[k] - along_[k - 1]) * (along_[k] - along_[k - 1]);
            }
        return sum;
    }
    // Items, and all that is joined to them across, shift along the rows and columns they stand in.
    bool even_gaps() {
        constexpr int reach = 4;
        bool changed = false;
        for (int i = 0; i < layout_.size() && !stopped(); ++i) {
            if (layout_.fixed(i)) continue;
            for (bool level : {true, false})
                for (bool alone : {true, false})
                    for (int by = -reach; by <= reach; ++by) {
                        if (by == 0) continue;
                        if (alone) group_.assign(1, i);
                        else if (!gather_straight(i, level, -1)) continue;
                        shift_group(level ? by : 0, level ? 0 : by);
                        changed = attempt_evenly() || changed;
                    }
        }
        for (const auto& branch : layout_.branches()) {
            if (stopped() || std::any_of(branch.begin(), branch.end(), [&](int i) { return layout_.fixed(i); })) continue;
            group_ = branch;
            for (int by = -reach; by <= reach; ++by)
                for (bool level : {true, false}) {
                    shift_group(level ? by : 0, level ? 0 : by);
                    changed = (by != 0 && attempt_evenly()) || changed;
                }
        }
        return changed;
    }

    bool attempt() {
        int difference = 0;
        if (!layout_.move(changes_, -1, difference)) return false;
        if (difference < 0) return true;
        layout_.take_back();
        return false;
    }
    bool attempt(int i, const Place& to) {
        changes_.assign(1, {i, to});
        return attempt();
    }

    // The item a little further on, in every orientation.
    void near_places(int i) {
        constexpr int reach = 2;
        const int poses = static_cast<int>(layout_.item(i).standpoints.size());
        for (int s = 0; s < poses; ++s)
            for (int dy = -reach; dy <= reach; ++dy)
                for (int dx = -reach; dx <= reach; ++dx) {
                    const Place at = layout_.places()[i];
                    if (dx == 0 && dy == 0 && s == at.standpoint) continue;
                    attempt(i, {at.x + dx, at.y + dy, s});
                }
    }

    // What hangs on one net moves as a whole.
    void shift_branch(const std::vector<int>& branch) {
        constexpr int reach = 3;
        if (stopped() || std::any_of(branch.begin(), branch.end(), [&](int i) { return layout_.fixed(i); })) return;
        group_ = branch;
        for (int dy = -reach; dy <= reach; ++dy)
            for (int dx = -reach; dx <= reach; ++dx) {
                if (dx == 0 && dy == 0) continue;
                shift_group(dx, dy);
                attempt();
            }
    }

    // One of its pins on the line out of, or across, another pin of the net.
    void lines_of_pins(int i) {
        constexpr int farthest = 12;
        for (int n : layout_.nets_of(i))
            for (auto [me, mine] : layout_.nets()[n]) {
                if (me != i) continue;
                for (auto [you, yours] : layout_.nets()[n]) {
                    if (you == i) continue;
                    const Spot at = layout_.pin_at(you, yours), site = layout_.stand(i).pins[mine].at;
                    for (Spot out : {Spot{1, 0}, Spot{-1, 0}, Spot{0, 1}, Spot{0, -1}})
                        for (int away = 0; away <= farthest; ++away)
                            attempt(i, {at.x + out.x * away - site.x, at.y + out.y * away - site.y, layout_.places()[i].standpoint});
                }
            }
    }

    // All that is joined to the item by straight wires along one axis moves by the jog to another pin.
    void slides(int i) {
        for (int n : layout_.nets_of(i))
            for (auto [me, mine] : layout_.nets()[n]) {
                if (me != i) continue;
                for (auto [you, yours] : layout_.nets()[n]) {
                    if (you == i) continue;
                    for (bool level : {false, true}) {
                        const Spot a = layout_.pin_at(me, mine), b = layout_.pin_at(you, yours);
                        const int by = level ? b.x - a.x : b.y - a.y;
                        if (by == 0 || std::abs(by) > 12 || !gather_straight(i, level, you)) continue;
                        shift_group(level ? by : 0, level ? 0 : by);
                        attempt();
                    }
                }
            }
    }
    // What shifts along one axis takes along what is joined to it across.
    bool gather_straight(int i, bool level, int but) { return straight_row(layout_, i, !level, but, static_cast<std::size_t>(layout_.size()), group_); }
    void shift_group(int dx, int dy) {
        changes_.clear();
        for (int member : group_) {
            const Place& at = layout_.places()[member];
            changes_.push_back({member, {at.x + dx, at.y + dy, at.standpoint}});
        }
    }

    // Everything at or beyond the item's line moves in or out by one.
    void push(int i) {
        for (bool across : {true, false})
            for (bool above : {true, false})
                for (int by : {1, -1}) {
                    const Place line = layout_.places()[i];
                    group_.clear();
                    for (int j = 0; j < layout_.size(); ++j) {
                        if (layout_.fixed(j)) continue;
                        const Place& at = layout_.places()[j];
                        const int offset = across ? at.x - line.x : at.y - line.y;
                        if (above ? offset >= 0 : offset <= 0) group_.push_back(j);
                    }
                    shift_group(across ? by : 0, across ? 0 : by);
                    attempt();
                }
    }

    Layout& layout_;
    const std::atomic<bool>* stop_;
    std::vector<Change> changes_;
    std::vector<int> group_, along_;
    long long uneven_ = 0;
};

}  // namespace

void polish(Layout& layout, const std::atomic<bool>* stop) { Polisher(layout, stop).run(); }

}  // namespace tallyboard::detail
