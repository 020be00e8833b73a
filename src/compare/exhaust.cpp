#include "compare/exhaust.h"

#include <algorithm>

#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

constexpr int tiny = 8;

class Exhaustion {
public:
    Exhaustion(const Problem& problem, const Solution& best, int trials)
        : problem_(problem), pairing_(problem), best_(best), trials_(trials) {
        for (int p = 0; p < problem.drawing.parts(); ++p) order_.push_back(p);
        // Parts with many pins say most: wrong partners for them are dear at once.
        std::stable_sort(order_.begin(), order_.end(), [&](int a, int b) { return problem.drawing.pin_count(a) > problem.drawing.pin_count(b); });
    }

    Solution run() {
        std::vector<std::pair<bool, int>> across;
        for (bool on_board : {false, true}) {
            const Side& side = on_board ? problem_.board : problem_.drawing;
            for (int part = 0; part < side.parts(); ++part)
                if (side.across[part].first != none && side.bound_to[part] == none) across.push_back({on_board, part});
        }
        pair_next(0, 0);
        for (std::size_t i = 0; i < across.size(); ++i) {
            pairing_.set_composite(across[i].first, across[i].second, true);
            pair_next(0, costs::series);
            for (std::size_t j = i + 1; j < across.size(); ++j) {
                pairing_.set_composite(across[j].first, across[j].second, true);
                pair_next(0, 2 * costs::series);
                pairing_.set_composite(across[j].first, across[j].second, false);
            }
            pairing_.set_composite(across[i].first, across[i].second, false);
            pairing_.settle();
        }
        return best_;
    }

private:
    // `spent`: what is settled, cells not counted. More pairs never make the nets cheaper.
    void pair_next(std::size_t next, int spent) {
        if (trials_ <= 0 || spent + pairing_.cells().cost() + surplus(next) >= best_.cost) return;
        if (next == order_.size()) {
            if (pairing_.cost() < best_.cost) best_ = pairing_.solution();
            return;
        }
        const int p = order_[next];
        if (pairing_.is_composite(false, p)) return pair_next(next + 1, spent);
        for (int q = 0; q < problem_.board.parts(); ++q) {
            if (pairing_.partner_of_found(q) != none || pairing_.is_composite(true, q) || problem_.pair_cost(p, q) == none) continue;
            const PinMaps& maps = problem_.maps_of(p, q);
            for (int k = 0; k < maps.count && trials_ > 0; ++k) {
                const int cost = spent + cost_of_pair(problem_, p, q, k);
                if (cost >= best_.cost) break;
                --trials_;
                pairing_.pair(p, q, k);
                pair_next(next + 1, cost);
                pairing_.unpair(p);
            }
        }
        pair_next(next + 1, spent + problem_.drawing.leave[p]);
    }

    // Found parts that must be left over because too few drawn ones are to come.
    int surplus(std::size_t next) const {
        int free = 0, least = costs::part;
        for (int q = 0; q < problem_.board.parts(); ++q)
            if (pairing_.partner_of_found(q) == none && !pairing_.is_composite(true, q)) ++free, least = std::min(least, problem_.board.leave[q]);
        return least * std::max(0, free - static_cast<int>(order_.size() - next));
    }

    const Problem& problem_;
    Pairing pairing_;
    Solution best_;
    int trials_;
    std::vector<int> order_;
};

}  // namespace

bool is_tiny(const Problem& problem) { return problem.drawing.parts() <= tiny && problem.board.parts() <= tiny; }

Solution exhaust(const Problem& problem, const Solution& best, int trials) { return Exhaustion(problem, best, trials).run(); }

}  // namespace tallyboard::detail
