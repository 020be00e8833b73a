#include "compare/follow.h"

#include <map>

namespace tallyboard::detail {
namespace {

// Nets that a run follows, at most.
constexpr std::size_t longest_run = 400;

class Run {
public:
    Run(Pairing& pairing, const Surroundings& around, const RunWay& way, std::vector<int>& touched)
        : pairing_(pairing), problem_(pairing.problem), around_(around), way_(way), touched_(touched),
          moved_(pairing.problem.drawing.parts(), 0), taken_(pairing.problem.board.parts(), 0) {}

    void go(int first, int to) {
        move(first, to, way_.turned);
        if (way_.one_way != none && nets_.size() > 1) nets_ = {nets_[static_cast<std::size_t>(way_.one_way) % nets_.size()]};
        const Side& d = problem_.drawing;
        for (std::size_t i = 0; i < nets_.size() && i < longest_run; ++i) {
            const auto [a, x] = nets_[i];
            for (int k = d.net_first[a]; k < d.net_first[a + 1]; ++k) {
                const int p = d.part[d.net_terminals[k]];
                if (moved_[p] || d.bound_to[p] != none || (way_.stay && (*way_.stay)[p]) || goes_to(p, d.net_terminals[k], x)) continue;
                if (const int q = partner_on(x, p); q != none) move(p, q, none);
            }
        }
    }

private:
    void leave(int p) {
        if (pairing_.partner(p) == none) return;
        pairing_.unpair(p);
        touched_.push_back(p);
    }

    void move(int p, int q, int turned) {
        if (const int other = pairing_.partner_of_found(q); other != none) leave(other);
        leave(p);
        const int map = turned == none ? map_for(p, q) : turned;
        pairing_.pair(p, q, map);
        touched_.push_back(p);
        moved_[p] = taken_[q] = 1;
        const PinMaps& maps = problem_.maps_of(p, q);
        for (int i = 0; i < maps.terminals; ++i) {
            if (maps.map(map)[i] == none) continue;
            const int a = problem_.drawing.net[problem_.drawing.first[p] + i];
            const int x = problem_.board.net[problem_.board.first[q] + maps.map(map)[i]];
            if (is_rail(a) || problem_.board.degree(x) > hub_degree + 2 || !net_to_.try_emplace(a, x).second) continue;
            net_from_.try_emplace(x, a);
            nets_.push_back({a, x});
        }
    }

    // The part on that net which suits p best; none where nothing speaks for any.
    int partner_on(int x, int p) const {
        const Side& b = problem_.board;
        int best = none, most = 0;
        for (int j = b.net_first[x]; j < b.net_first[x + 1]; ++j) {
            const int q = b.part[b.net_terminals[j]];
            if (taken_[q] || b.bound_to[q] != none || problem_.pair_cost(p, q) == none) continue;
            const int points = 8 - 4 * problem_.pair_cost(p, q) + 4 * agreement(p, q, map_for(p, q)) + around_.likeness(p, q) +
                               closeness(p, q) - (q == pairing_.partner(p));
            if (points > most) most = points, best = q;
        }
        return best;
    }

    // Whether q stands where p's other nets lead today: of two like neighbours the one that moves by as little as the first did.
    int closeness(int p, int q) const {
        const Side &d = problem_.drawing, &b = problem_.board;
        for (int t = b.first[q]; t < b.first[q + 1]; ++t) {
            if (b.degree(b.net[t]) > hub_degree + 2) continue;
            bool close = false;
            for (int own = d.first[p]; own < d.first[p + 1]; ++own)
                if (!is_rail(d.net[own])) close = close || pairing_.cells().count(pairing_.drawn_net(d.net[own]), pairing_.found_net(b.net[t])) > 0;
            if (close) return 1;
        }
        return 0;
    }

    bool goes_to(int p, int terminal, int found_net) const {
        const int q = pairing_.partner(p);
        if (q == none) return false;
        const int to = problem_.maps_of(p, q).map(pairing_.map(p))[terminal - problem_.drawing.first[p]];
        return to != none && problem_.board.net[problem_.board.first[q] + to] == found_net;
    }

    bool is_rail(int drawn_net) const { return problem_.drawing.degree(drawn_net) > hub_degree + 2; }

    // How the pair would suit the run: nets that go as it takes them, less those that do not.
    int agreement(int p, int q, int map) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        int sum = map < maps.allowed ? 0 : -1;
        for (int i = 0; i < maps.terminals; ++i) {
            if (maps.map(map)[i] == none) continue;
            const int a = problem_.drawing.net[problem_.drawing.first[p] + i];
            const int x = problem_.board.net[problem_.board.first[q] + maps.map(map)[i]];
            const auto to = net_to_.find(a);
            const auto from = net_from_.find(x);
            if (to != net_to_.end() && to->second == x) sum += 2;
            else if (to != net_to_.end() || from != net_from_.end()) sum -= 2;
            else if (pairing_.cells().count(pairing_.drawn_net(a), pairing_.found_net(x)) > 0) sum += is_rail(a) ? 1 : -1;   // rails stay, what moves moves
        }
        return sum;
    }
    int map_for(int p, int q) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        int best = 0, most = agreement(p, q, 0);
        for (int k = 1; k < maps.count; ++k)
            if (const int sum = agreement(p, q, k); sum > most) most = sum, best = k;
        return best;
    }

    Pairing& pairing_;
    const Problem& problem_;
    const Surroundings& around_;
    const RunWay& way_;
    std::vector<int>& touched_;
    std::map<int, int> net_to_, net_from_;    // nets as the run takes them
    std::vector<std::pair<int, int>> nets_;   // in the order they were met
    std::vector<char> moved_, taken_;
};

}  // namespace

void follow_run(Pairing& pairing, const Surroundings& around, int first, int to, const RunWay& way, std::vector<int>& touched) {
    Run(pairing, around, way, touched).go(first, to);
}

}  // namespace tallyboard::detail
