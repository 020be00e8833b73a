#include "compare/small.h"

#include <algorithm>
#include <set>

namespace tallyboard::detail {
namespace {

class Trial {
public:
    Trial(const Problem& problem, int below, long long steps)
        : problem_(problem), d_(problem.drawing), b_(problem.board), pairing_(problem), below_(below), steps_(steps),
          drawn_out_(d_.parts(), 0), found_out_(b_.parts(), 0) {
        order_parts();
        for (int p = 0; p < d_.parts(); ++p) {
            int least = d_.bound_to[p] != none ? never : d_.leave[p];
            for (int q = 0; q < b_.parts(); ++q)
                if (const int cost = problem.pair_cost(p, q); cost != none) least = std::min(least, cost);
            least_.push_back(least == never ? 0 : least);
        }
    }

    Settled run() {
        choose_composites(false, 0);
        return {best_, steps_ > 0};
    }

private:
    static constexpr int never = 1 << 20;

    struct Choice { int cost, q, map; };   // q none: left over
    using NetsOfPair = std::vector<std::pair<int, int>>;

    // Parts with many terminals first, then whoever shares most nets with those before: contradictions show early.
    void order_parts() {
        std::vector<char> placed(d_.parts(), 0), net_seen(d_.nets(), 0);
        for (int n = 0; n < d_.parts(); ++n) {
            int next = none, most = -1;
            for (int p = 0; p < d_.parts(); ++p) {
                if (placed[p]) continue;
                int points = d_.pin_count(p);
                for (int t = d_.first[p]; t < d_.first[p + 1]; ++t) points += 4 * net_seen[d_.net[t]];
                if (points > most) most = points, next = p;
            }
            placed[next] = 1;
            order_.push_back(next);
            for (int t = d_.first[next]; t < d_.first[next + 1]; ++t) net_seen[d_.net[t]] = 1;
        }
    }

    // Composites first: with those fixed, more pairs never make the nets cheaper, which is what bounds.
    void choose_composites(bool on_board, int part) {
        if (steps_ <= 0) return;
        const Side& side = on_board ? b_ : d_;
        if (part == side.parts()) {
            if (!on_board) choose_composites(true, 0);
            else pair_next(0);
            return;
        }
        choose_composites(on_board, part + 1);
        const auto [a, b] = side.across[part];
        if (a == none || side.bound_to[part] != none || side.group[part] != none) return;
        const auto net = [&](int n) { return on_board ? pairing_.found_net(n) : pairing_.drawn_net(n); };
        if (net(a) == net(b)) return;
        std::vector<char>& out = on_board ? found_out_ : drawn_out_;
        const std::size_t mark = pairing_.mark();
        out[part] = 1;
        pairing_.set_composite(on_board, part, true);
        if (least_from(0) < below_) choose_composites(on_board, part + 1);
        pairing_.take_back(mark);
        out[part] = 0;
    }

    // What the pairing costs at least, whatever becomes of the drawn parts from `next` on and of the found ones still free.
    int least_from(std::size_t next) const {
        int cost = pairing_.cost(), pairs = 0;
        std::vector<int> drawn, found;
        for (std::size_t i = next; i < order_.size(); ++i) {
            const int p = order_[i];
            if (drawn_out_[p]) continue;
            cost -= d_.leave[p];
            pairs += least_[p];
            drawn.push_back(d_.leave[p]);
        }
        for (int q = 0; q < b_.parts(); ++q) {
            if (found_out_[q] || pairing_.partner_of_found(q) != none) continue;
            cost -= b_.leave[q];
            found.push_back(b_.leave[q]);
        }
        const auto surplus = [](std::vector<int>& more, std::size_t fewer) {
            std::sort(more.begin(), more.end());
            int sum = 0;
            for (std::size_t i = 0; i + fewer < more.size(); ++i) sum += more[i];
            return sum;
        };
        const std::size_t drawn_count = drawn.size(), found_count = found.size();
        return cost + std::max(pairs, surplus(drawn, found_count)) + surplus(found, drawn_count);
    }

    void pair_next(std::size_t next) {
        if (steps_ <= 0 || least_from(next) >= below_) return;
        if (next == order_.size()) {
            best_ = pairing_.solution();
            below_ = best_->cost;
            return;
        }
        const int p = order_[next];
        if (drawn_out_[p]) return pair_next(next + 1);
        for (const Choice& choice : choices(p, next)) {
            if (choice.cost >= below_) break;
            const std::size_t mark = pairing_.mark();
            if (choice.q != none) pairing_.pair(p, choice.q, choice.map);
            pair_next(next + 1);
            pairing_.take_back(mark);
        }
    }

    // Everything that may become of a part, the most hopeful first; of choices that come to the same one only.
    std::vector<Choice> choices(int p, std::size_t next) {
        std::vector<Choice> out;
        const auto weigh = [&](int q, int map) {
            const std::size_t mark = pairing_.mark();
            if (q != none) pairing_.pair(p, q, map);
            --steps_;
            const int least = least_from(next + 1);
            if (least < below_) out.push_back({least, q, map});
            pairing_.take_back(mark);
        };
        if (d_.bound_to[p] == none) weigh(none, 0);
        std::set<std::pair<int, NetsOfPair>> seen;
        std::set<std::vector<int>> alike;
        for (int q = 0; q < b_.parts(); ++q) {
            if (found_out_[q] || pairing_.partner_of_found(q) != none || problem_.pair_cost(p, q) == none) continue;
            if (!alike.insert(what_it_is(q)).second) continue;
            const PinMaps& maps = problem_.maps_of(p, q);
            seen.clear();
            for (int k = 0; k < maps.count; ++k)
                if (seen.insert({k < maps.allowed ? 0 : 1, nets_of(p, q, maps.map(k))}).second) weigh(q, k);
        }
        std::stable_sort(out.begin(), out.end(), [](const Choice& a, const Choice& b) { return a.cost < b.cost; });
        return out;
    }

    std::vector<int> what_it_is(int q) const {
        std::vector<int> out{b_.shape[q], b_.value[q], b_.model[q], b_.taper[q], b_.leave[q], b_.bound_to[q], b_.group[q]};
        for (int t = b_.first[q]; t < b_.first[q + 1]; ++t) out.push_back(b_.net[t]);
        return out;
    }
    NetsOfPair nets_of(int p, int q, const std::int8_t* map) const {
        NetsOfPair out;
        for (int i = 0; i < d_.pin_count(p); ++i)
            if (map[i] != none) out.push_back({pairing_.drawn_net(d_.net[d_.first[p] + i]), pairing_.found_net(b_.net[b_.first[q] + map[i]])});
        std::sort(out.begin(), out.end());
        return out;
    }

    const Problem& problem_;
    const Side &d_, &b_;
    Pairing pairing_;
    int below_;
    long long steps_;
    std::vector<char> drawn_out_, found_out_;   // composites
    std::vector<int> order_, least_;
    std::optional<Solution> best_;
};

}  // namespace

Settled settle_small(const Problem& problem, int below, long long steps) { return Trial(problem, below, steps).run(); }

}  // namespace tallyboard::detail
