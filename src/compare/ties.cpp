#include "compare/ties.h"

#include <algorithm>

#include "compare/follow.h"

namespace tallyboard::detail {
namespace {

class Ties {
public:
    Ties(const Problem& problem, const Surroundings& around, const Solution& solution)
        : problem_(problem), around_(around), pairing_(problem), cost_(solution.cost) {
        pairing_.become(solution);
        pairing_.settle();
        best_ = rank();
        // A trial looks at all parts once.
        constexpr int looks = 100000;
        trials_ = looks / std::max(1, problem.drawing.parts());
    }

    Solution settle() {
        keep_references();
        keep_net_names();
        keep_order();
        return pairing_.solution();
    }

private:
    // What comes first is greater.
    struct Rank {
        int references = 0, nets = 0;
        std::vector<int> order;   // by drawn part: how early its partner stands
        friend auto operator<=>(const Rank&, const Rank&) = default;
    };

    Rank rank() const {
        Rank out;
        out.order.reserve(static_cast<std::size_t>(problem_.drawing.parts()));
        for (int p = 0; p < problem_.drawing.parts(); ++p) {
            const int q = pairing_.partner(p);
            out.references += q != none && around_.drawn_namesake[p] == q;
            out.order.push_back(q == none ? -problem_.board.parts() : -q);
        }
        for (int n = 0; n < problem_.drawing.nets(); ++n)
            if (const int x = around_.net_namesake[n]; x != none) out.nets += pairing_.cells().count(pairing_.drawn_net(n), pairing_.found_net(x)) > 0;
        return out;
    }

    void keep_references() {
        for (int p = 0; p < problem_.drawing.parts() && trials_ > 0; ++p) {
            const int q = around_.drawn_namesake[p];
            if (q != none && q != pairing_.partner(p)) try_partner(p, q);
        }
    }

    // Like parts on a pair of namesakes that are not paired: with one of them its net comes.
    void keep_net_names() {
        const Side &d = problem_.drawing, &b = problem_.board;
        for (int n = 0; n < d.nets() && trials_ > 0; ++n) {
            const int x = around_.net_namesake[n];
            if (x == none || d.degree(n) > hub_degree || b.degree(x) > hub_degree || pairing_.cells().count(pairing_.drawn_net(n), pairing_.found_net(x)) > 0) continue;
            bool done = false;
            for (int k = d.net_first[n]; k < d.net_first[n + 1] && !done; ++k)
                for (int j = b.net_first[x]; j < b.net_first[x + 1] && !done; ++j) {
                    const int p = d.part[d.net_terminals[k]], q = b.part[b.net_terminals[j]];
                    done = alike(p, q) && q != pairing_.partner(p) && try_partner(p, q);
                }
        }
    }

    // A partner earlier in the board's file, taken from a part later in the drawing's.
    void keep_order() {
        std::vector<std::pair<std::uint64_t, int>> found;   // what a found part looks like, the part
        for (int q = 0; q < problem_.board.parts(); ++q) found.push_back({around_.found[0][q], q});
        std::sort(found.begin(), found.end());
        for (int p = 0; p < problem_.drawing.parts() && trials_ > 0; ++p) {
            const int old = pairing_.partner(p);
            if (old == none) continue;
            constexpr int most = 6;
            int tried = 0;
            for (auto at = std::lower_bound(found.begin(), found.end(), std::pair{around_.drawn[0][p], 0});
                 at != found.end() && at->first == around_.drawn[0][p] && at->second < old && tried < most; ++at) {
                const int other = pairing_.partner_of_found(at->second);
                if ((other != none && other < p) || around_.likeness(p, at->second) < around_.likeness(p, old)) continue;
                ++tried;
                if (try_partner(p, at->second)) break;
            }
        }
    }

    bool alike(int p, int q) const { return around_.drawn[0][p] == around_.found[0][q] && problem_.pair_cost(p, q) != none; }

    // The two parts alone, then with all that hangs on them.
    bool try_partner(int p, int q) {
        if (problem_.pair_cost(p, q) == none || problem_.drawing.bound_to[p] != none || problem_.board.bound_to[q] != none) return false;
        const int old = pairing_.partner(p), other = pairing_.partner_of_found(q);
        if (other != none && problem_.drawing.bound_to[other] != none) return false;
        if (old != none && (other == none || problem_.pair_cost(other, old) != none) && !pairing_.is_composite(true, q)) {
            pairing_.unpair(p);
            if (other != none) pairing_.unpair(other);
            pairing_.pair(p, q, pairing_.best_map(p, q));
            if (other != none) pairing_.pair(other, old, pairing_.best_map(other, old));
            if (keep()) return true;
        }
        std::vector<int> touched;
        follow_run(pairing_, around_, p, q, {}, touched);
        pair_free(touched);
        return keep();
    }

    void pair_free(std::vector<int> drawn) {
        std::sort(drawn.begin(), drawn.end());
        drawn.erase(std::unique(drawn.begin(), drawn.end()), drawn.end());
        std::erase_if(drawn, [&](int p) { return pairing_.partner(p) != none || pairing_.is_composite(false, p); });
        std::vector<int> found;
        for (int q = 0; q < problem_.board.parts(); ++q)
            if (pairing_.partner_of_found(q) == none && !pairing_.is_composite(true, q)) found.push_back(q);
        Random random(1);
        if (!drawn.empty()) grow(pairing_, around_, drawn, found, {}, random);
    }

    bool keep() {
        --trials_;
        if (pairing_.cost() <= cost_) {
            if (Rank now = rank(); pairing_.cost() < cost_ || now > best_) {
                best_ = std::move(now);
                cost_ = pairing_.cost();
                pairing_.settle();
                return true;
            }
        }
        pairing_.take_back(0);
        return false;
    }

    const Problem& problem_;
    const Surroundings& around_;
    Pairing pairing_;
    Rank best_;
    int cost_ = 0, trials_ = 0;
};

}  // namespace

void settle_ties(const Problem& problem, const Surroundings& around, Solution& solution) { solution = Ties(problem, around, solution).settle(); }

}  // namespace tallyboard::detail
