#include "compare/grow.h"

#include <algorithm>
#include <queue>

namespace tallyboard::detail {
namespace {

// Scores in sixteenths, from the weights that served best: 4 for a terminal that agrees, -4 for one that contradicts, -2 a unit
// of kind and value, -3 if reversed, half a point for each depth of colour in common.
constexpr int agree_weight = 32, unit_weight = 32, reversed_weight = 32, depth_weight = 8, namesake_weight = 3;

struct Candidate {
    int score, p, q;
    bool operator<(const Candidate& other) const {
        if (score != other.score) return score < other.score;
        return p != other.p ? p > other.p : q > other.q;
    }
};

class Growth {
public:
    Growth(Pairing& pairing, const Surroundings& around, std::vector<int> drawn, std::vector<int> found, const GrowHabit& habit,
           Random& random)
        : pairing_(pairing), problem_(pairing.problem), around_(around), drawn_(std::move(drawn)), found_(std::move(found)),
          habit_(habit), random_(random) {}

    void run() {
        bind();
        if (habit_.names) join_namesakes();
        for (int p : drawn_) offer_around_part(p);
        follow();
        while (plant_seeds()) {}
        take_leftovers();
    }

private:
    void drop_paired() {
        std::erase_if(drawn_, [&](int p) { return pairing_.partner(p) != none; });
        std::erase_if(found_, [&](int q) { return pairing_.partner_of_found(q) != none; });
    }

    void bind() {
        for (int p : drawn_) {
            const int q = problem_.drawing.bound_to[p];
            if (q != none && pairing_.partner(p) == none && pairing_.partner_of_found(q) == none) join(p, q);
        }
    }

    void join_namesakes() {
        for (int p : drawn_) {
            const int q = around_.drawn_namesake[p];
            if (q == none || !free_pair(p, q)) continue;
            if (const int cost = problem_.pair_cost(p, q); cost == 0 || cost == 1) pairing_.pair(p, q, pairing_.best_map(p, q));
        }
    }

    bool free_pair(int p, int q) const { return pairing_.partner(p) == none && pairing_.partner_of_found(q) == none; }

    int score(int p, int q, int& map) const {
        map = pairing_.best_map(p, q);
        return agree_weight * pairing_.agreement(p, q, map) - unit_weight * problem_.pair_cost(p, q) -
               (map >= problem_.maps_of(p, q).allowed ? reversed_weight : 0) +
               depth_weight * around_.likeness(p, q) + (around_.drawn_namesake[p] == q ? namesake_weight : 0);
    }

    void join(int p, int q) {
        pairing_.pair(p, q, pairing_.best_map(p, q));
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::int8_t* map = maps.map(pairing_.map(p));
        for (int i = 0; i < maps.terminals; ++i) {
            if (map[i] == none) continue;
            const int drawn = problem_.drawing.net[problem_.drawing.first[p] + i];
            const int found = problem_.board.net[problem_.board.first[q] + map[i]];
            if (pairing_.cells().count(pairing_.drawn_net(drawn), pairing_.found_net(found)) == 1) offer_nets(drawn, found);
        }
    }

    // The free parts on two nets that have just been brought together.
    void offer_nets(int drawn, int found) {
        const Side &d = problem_.drawing, &b = problem_.board;
        if (d.degree(drawn) > walk_degree || b.degree(found) > walk_degree) return;
        for (int i = d.net_first[drawn]; i < d.net_first[drawn + 1]; ++i) {
            const int p = d.part[d.net_terminals[i]];
            if (pairing_.partner(p) != none) continue;
            for (int j = b.net_first[found]; j < b.net_first[found + 1]; ++j) offer(p, b.part[b.net_terminals[j]]);
        }
    }

    void offer_around_part(int p) {
        if (pairing_.partner(p) != none) return;
        const Side &d = problem_.drawing, &b = problem_.board;
        for (int t = d.first[p]; t < d.first[p + 1]; ++t) {
            if (d.degree(d.net[t]) > walk_degree) continue;
            pairing_.cells().of_drawn(pairing_.drawn_net(d.net[t]), [&](const Cells::Cell& cell) {
                if (b.degree(cell.found) > walk_degree) return;
                for (int j = b.net_first[cell.found]; j < b.net_first[cell.found + 1]; ++j) offer(p, b.part[b.net_terminals[j]]);
            });
        }
    }

    void offer(int p, int q) {
        if (!free_pair(p, q) || problem_.pair_cost(p, q) == none) return;
        int map = 0;
        const int points = score(p, q, map) + (habit_.noise > 0 ? random_.below(habit_.noise) : 0);
        if (points > 0) queue_.push({points, p, q});
    }

    void follow() {
        while (!queue_.empty()) {
            const Candidate best = queue_.top();
            queue_.pop();
            if (!free_pair(best.p, best.q)) continue;
            int map = 0;
            const int now = score(best.p, best.q, map);
            if (now + habit_.noise < best.score) {   // what it stood on has changed
                if (now > 0) queue_.push({now, best.p, best.q});
                continue;
            }
            join(best.p, best.q);
        }
    }

    struct Coloured { std::uint64_t colour; int part; };
    static void sort_by_colour(const std::vector<int>& parts, const std::vector<std::uint64_t>& colours, std::vector<Coloured>& out) {
        out.clear();
        for (int part : parts) out.push_back({colours[part], part});
        std::sort(out.begin(), out.end(), [](const Coloured& a, const Coloured& b) {
            return a.colour != b.colour ? a.colour < b.colour : a.part < b.part;
        });
    }

    // Walks the groups of equal colour that both sides have.
    template <class Visit>
    void groups_of(int depth, bool plain, const Visit& visit) {
        sort_by_colour(drawn_, plain ? around_.drawn_plain[depth] : around_.drawn[depth], drawn_colours_);
        sort_by_colour(found_, plain ? around_.found_plain[depth] : around_.found[depth], found_colours_);
        std::size_t i = 0, j = 0;
        while (i < drawn_colours_.size() && j < found_colours_.size()) {
            const std::uint64_t a = drawn_colours_[i].colour, b = found_colours_[j].colour;
            std::size_t i_end = i, j_end = j;
            while (i_end < drawn_colours_.size() && drawn_colours_[i_end].colour == a) ++i_end;
            while (j_end < found_colours_.size() && found_colours_[j_end].colour == b) ++j_end;
            if (a == b) visit(i, i_end, j, j_end);
            if (a <= b) i = i_end;
            if (b <= a) j = j_end;
        }
    }

    // One round of seeds; false when no colour is left that both sides have.
    bool plant_seeds() {
        drop_paired();
        if (drawn_.empty() || found_.empty()) return false;
        for (int depth = habit_.deepest; depth >= habit_.least; --depth)
            for (bool plain : {habit_.plain, !habit_.plain}) {
                if (plain && depth < 2) continue;   // a number of pins, and nothing around it, says too little
                if (plant_at(depth, plain)) return true;
            }
        return tell_one_apart();
    }

    bool plant_at(int depth, bool plain) {
        std::vector<std::pair<int, int>> seeds;
        groups_of(depth, plain, [&](std::size_t i, std::size_t i_end, std::size_t j, std::size_t j_end) {
            if (i_end - i == 1 && j_end - j == 1) seeds.push_back({drawn_colours_[i].part, found_colours_[j].part});
        });
        if (habit_.noise > 0)   // another order, another start
            for (std::size_t i = seeds.size(); i > 1; --i) std::swap(seeds[i - 1], seeds[static_cast<std::size_t>(random_.below(static_cast<int>(i)))]);
        bool planted = false;
        for (auto [p, q] : seeds) {
            if (!free_pair(p, q) || problem_.pair_cost(p, q) == none || contradicts(p, q)) continue;
            join(p, q);
            planted = true;
            if (depth < 3) follow();   // shallow seeds may be wrong: let what they bring speak before the next
        }
        follow();
        return planted;
    }

    // More terminals that contradict what is paired than agree with it.
    bool contradicts(int p, int q) const { return pairing_.agreement(p, q, pairing_.best_map(p, q)) < 0; }

    // The smallest group of one colour: its first part with the one that suits it best, namesakes before others.
    bool tell_one_apart() {
        for (int depth = habit_.deepest; depth >= 0; --depth) {
            std::size_t least = 0;
            bool balanced = false;
            std::array<std::size_t, 4> group{};
            groups_of(depth, false, [&](std::size_t i, std::size_t i_end, std::size_t j, std::size_t j_end) {
                const bool even = i_end - i == j_end - j;
                const std::size_t size = std::max(i_end - i, j_end - j);
                if (least != 0 && (balanced != even ? balanced : size >= least)) return;
                least = size;
                balanced = even;
                group = {i, i_end, j, j_end};
            });
            if (least == 0) continue;
            std::size_t pick = group[0];
            if (habit_.noise > 0) pick += static_cast<std::size_t>(random_.below(static_cast<int>(group[1] - group[0])));
            for (std::size_t i = group[0]; habit_.noise == 0 && i < group[1]; ++i) {
                const int namesake = around_.drawn_namesake[drawn_colours_[i].part];
                if (namesake == none) continue;
                bool in_group = false;
                for (std::size_t j = group[2]; j < group[3]; ++j) in_group = in_group || found_colours_[j].part == namesake;
                if (!in_group) continue;
                pick = i;
                break;
            }
            const int p = drawn_colours_[pick].part;
            int best = none, most = 0;
            for (std::size_t j = group[2]; j < group[3]; ++j) {
                const int q = found_colours_[j].part;
                if (!free_pair(p, q) || problem_.pair_cost(p, q) == none) continue;
                int map = 0;
                const int points = score(p, q, map) + (habit_.noise > 0 ? random_.below(habit_.noise + 1) : 0);
                if (best == none || points > most) most = points, best = q;
            }
            if (best == none || most < -agree_weight) continue;
            join(p, best);
            follow();
            return true;
        }
        return false;
    }

    // What no colour brings together: by true cost, the cheapest first.
    void take_leftovers() {
        drop_paired();
        std::vector<Candidate> list;
        for (int p : drawn_)
            for (int q : found_) {
                if (problem_.pair_cost(p, q) == none) continue;
                int map = 0;
                list.push_back({score(p, q, map), p, q});
            }
        std::sort(list.begin(), list.end(), [](const Candidate& a, const Candidate& b) { return b < a; });
        for (const Candidate& candidate : list) {
            if (!free_pair(candidate.p, candidate.q)) continue;
            const int before = pairing_.cost();
            pairing_.pair(candidate.p, candidate.q, pairing_.best_map(candidate.p, candidate.q));
            if (pairing_.cost() > before) pairing_.unpair(candidate.p);
        }
    }

    Pairing& pairing_;
    const Problem& problem_;
    const Surroundings& around_;
    std::vector<int> drawn_, found_;
    GrowHabit habit_;
    Random& random_;
    std::priority_queue<Candidate> queue_;
    std::vector<Coloured> drawn_colours_, found_colours_;
};

}  // namespace

void grow(Pairing& pairing, const Surroundings& around, std::vector<int> drawn, std::vector<int> found, const GrowHabit& habit,
          Random& random) {
    Growth(pairing, around, std::move(drawn), std::move(found), habit, random).run();
}

}  // namespace tallyboard::detail
