#include "compare/grow.h"

#include <algorithm>
#include <optional>
#include <queue>

#include "compare/free_colours.h"

namespace tallyboard::detail {
namespace {

// Scores in sixteenths, from the weights that served best: 4 for a terminal that agrees, -4 for one that contradicts, -2 a unit
// of kind and value or if reversed, half a point for each depth of colour in common.
constexpr int agree_weight = 32, unit_weight = 32, depth_weight = 8, promise_weight = 4, namesake_weight = 3;
// From this score on a pair that costs something is likelier than any choice among parts alike.
constexpr int likely = 48;

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
          habit_(habit), random_(random), colours_(pairing.problem) {}

    void run() {
        bind();
        if (habit_.names) join_namesakes();
        for (int p : drawn_) offer_around_part(p);
        follow();
        // What is certain first, then what is likely: parts alike told apart by nothing but their order come last.
        while (true) {
            drop_paired();
            if (drawn_.empty() || found_.empty()) break;
            if (plant_seeds(false) || take_doubtful(likely) || plant_seeds(true) || tell_apart() || take_doubtful(0)) continue;
            break;
        }
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
            if (const int cost = problem_.pair_cost(p, q); cost == 0 || cost == 1) pairing_.pair(p, q, best_map(p, q).map);
        }
    }

    bool free_pair(int p, int q) const { return pairing_.partner(p) == none && pairing_.partner_of_found(q) == none; }

    // How alike the nets are where the terminals would go and nothing is paired yet.
    int promise(int p, int q, int map) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::int8_t* to = maps.map(map);
        int sum = 0;
        for (int i = 0; i < maps.terminals; ++i) {
            if (to[i] == none) continue;
            const int a = problem_.drawing.net[problem_.drawing.first[p] + i], x = problem_.board.net[problem_.board.first[q] + to[i]];
            if (pairing_.cells().cells_of_drawn(pairing_.drawn_net(a)) > 0 || pairing_.cells().cells_of_found(pairing_.found_net(x)) > 0) continue;
            sum += around_.net_likeness(a, x);
        }
        return sum;
    }

    struct Fit { int map = 0, agreement = 0; bool either = false; };
    // Of the maps that agree best with what is paired the one whose other nets look most alike: what it brings together next
    // depends on it. `either`: another does as well, so that waiting may tell which.
    Fit best_map(int p, int q) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        Fit fit{0, pairing_.agreement(p, q, 0), false};
        int hope = none;
        for (int k = 1; k < maps.count; ++k) {
            if (k >= maps.allowed && fit.agreement == 2 * maps.terminals) break;   // cannot be bettered by one that costs
            const int sum = pairing_.agreement(p, q, k);
            if (sum < fit.agreement) continue;
            if (sum > fit.agreement) {
                fit = {k, sum, false}, hope = none;
                continue;
            }
            if (hope == none) hope = promise(p, q, fit.map);
            const int other = promise(p, q, k);
            if (other > hope) hope = other, fit.map = k, fit.either = false;
            else if (other == hope) fit.either = true;
        }
        return fit;
    }

    // `clean`: no cost at the pair itself, no terminal contradicts, and which goes where is told.
    int score(int p, int q, bool& clean) const {
        const Fit fit = best_map(p, q);
        const int cost = cost_of_pair(problem_, p, q, fit.map);
        clean = cost == 0 && !fit.either && fit.agreement >= 0 && !pairing_.contradicts(p, q, fit.map);
        return agree_weight * fit.agreement - unit_weight * cost + promise_weight * promise(p, q, fit.map) +
               depth_weight * around_.likeness(p, q) + (around_.drawn_namesake[p] == q ? namesake_weight : 0);
    }

    void join(int p, int q) {
        pairing_.pair(p, q, best_map(p, q).map);
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
        if (d.degree(drawn) > hub_degree || b.degree(found) > hub_degree) return;
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

    // Clean pairs, at which nothing costs, are followed at once; the others wait until nothing clean is left.
    void offer(int p, int q) {
        if (!free_pair(p, q) || problem_.pair_cost(p, q) == none) return;
        bool clean = true;
        const int points = score(p, q, clean) + (habit_.noise > 0 ? random_.below(habit_.noise) : 0);
        if (points > 0) (clean ? queue_ : doubtful_).push({points, p, q});
    }

    // The best of a queue that is still free and worth what it was when it was put there.
    std::optional<Candidate> best_of(std::priority_queue<Candidate>& queue, int least) {
        while (!queue.empty()) {
            const Candidate best = queue.top();
            if (best.score < least) return std::nullopt;
            queue.pop();
            if (!free_pair(best.p, best.q)) continue;
            bool clean = true;
            const int now = score(best.p, best.q, clean);
            if (now + habit_.noise >= best.score && clean == (&queue == &queue_)) return best;
            if (now > 0) (clean ? queue_ : doubtful_).push({now, best.p, best.q});   // what it stood on has changed
        }
        return std::nullopt;
    }

    void follow() {
        while (const auto best = best_of(queue_, 0)) join(best->p, best->q);
    }

    bool take_doubtful(int least) {
        const std::optional<Candidate> best = best_of(doubtful_, least);
        if (best) join(best->p, best->q);
        const bool any = best.has_value() || !queue_.empty();
        follow();
        return any;
    }

    struct Coloured { std::uint64_t colour; int part; };
    static void sort_by_colour(const std::vector<int>& parts, const std::vector<std::uint64_t>& colours, std::vector<Coloured>& out) {
        out.clear();
        for (std::size_t i = 0; i < parts.size(); ++i) out.push_back({colours[i], parts[i]});
        std::sort(out.begin(), out.end(), [](const Coloured& a, const Coloured& b) {
            return a.colour != b.colour ? a.colour < b.colour : a.part < b.part;
        });
    }

    // Walks the groups of equal colour that both sides have. The colours are those of the last take().
    template <class Visit>
    void groups_of(int depth, const Visit& visit) {
        sort_by_colour(drawn_, colours_.drawn[depth], drawn_colours_);
        sort_by_colour(found_, colours_.found[depth], found_colours_);
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

    // Seeds of the deepest colour that has any; false when none has. `either`: also those that fit more ways than one.
    bool plant_seeds(bool either) {
        for (bool plain : {habit_.plain, !habit_.plain}) {
            colours_.take(pairing_, around_, drawn_, found_, plain);
            // A number of pins, and little around it, says too little.
            for (int depth = habit_.deepest; depth >= (plain ? 2 : habit_.least); --depth)
                if (plant_at(depth, either)) return true;
        }
        return false;
    }

    bool plant_at(int depth, bool either) {
        struct Seed { std::size_t common; int p, q; };
        std::vector<Seed> seeds;
        groups_of(depth, [&](std::size_t i, std::size_t i_end, std::size_t j, std::size_t j_end) {
            if (i_end - i == 1 && j_end - j == 1) seeds.push_back({0, drawn_colours_[i].part, found_colours_[j].part});
        });
        if (seeds.empty()) return false;
        // Rare parts first: of many alike, one whose neighbour was changed may look like another far away. What grows from a rare one
        // takes the others along before they are asked.
        for (Seed& seed : seeds) seed.common = around_.common[seed.p];
        std::stable_sort(seeds.begin(), seeds.end(), [](const Seed& a, const Seed& b) { return a.common < b.common; });
        if (habit_.noise > 0)   // another order, another start
            for (std::size_t i = seeds.size(); i > 1; --i) std::swap(seeds[i - 1], seeds[static_cast<std::size_t>(random_.below(static_cast<int>(i)))]);
        bool planted = false;
        for (const Seed& seed : seeds) {
            if (!free_pair(seed.p, seed.q) || problem_.pair_cost(seed.p, seed.q) == none) continue;
            const Fit fit = best_map(seed.p, seed.q);
            if (fit.agreement < 0 || (fit.either && !either)) continue;
            join(seed.p, seed.q);
            follow();
            planted = true;
        }
        return planted;
    }

    struct Group {
        std::size_t i, i_end, j, j_end;
        bool even() const { return i_end - i == j_end - j; }
        std::size_t size() const { return std::max(i_end - i, j_end - j); }
    };

    // Groups of parts alike, even ones first, then small ones.
    std::vector<Group> groups_at(int depth) {
        std::vector<Group> groups;
        groups_of(depth, [&](std::size_t i, std::size_t i_end, std::size_t j, std::size_t j_end) { groups.push_back({i, i_end, j, j_end}); });
        std::stable_sort(groups.begin(), groups.end(), [](const Group& a, const Group& b) {
            return a.even() != b.even() ? a.even() : a.size() < b.size();
        });
        return groups;
    }

    // Parts alike in blocks alike: one of each block, and what hangs on it follows. Where no such blocks are left, one part of the
    // smallest group with the one that suits it best.
    bool tell_apart() {
        colours_.take(pairing_, around_, drawn_, found_, false);
        if (pair_blocks()) return true;
        for (int depth = habit_.deepest; depth >= 0; --depth)
            for (const Group& group : groups_at(depth)) {
                const auto pair = suited(group.i, group.i_end, group.j, group.j_end);
                if (!pair) continue;
                join(pair->first, pair->second);
                follow();
                return true;
            }
        return false;
    }

    struct Block { std::uint64_t look = 0; bool taken = false; };
    // part -> its block; a block looks like all its parts together.
    std::vector<Block> look_at_blocks(bool on_board, std::vector<int>& block_of) {
        const Side& side = on_board ? problem_.board : problem_.drawing;
        const std::vector<int>& parts = on_board ? found_ : drawn_;
        const auto& colours = (on_board ? colours_.found : colours_.drawn)[habit_.deepest];
        const std::vector<int> places = colours_.blocks_of(side, on_board, parts);
        std::vector<Block> blocks(parts.size());
        block_of.assign(side.parts(), none);
        for (std::size_t i = 0; i < parts.size(); ++i) {
            block_of[parts[i]] = places[i];
            blocks[places[i]].look += mix(colours[i]);
        }
        return blocks;
    }

    bool pair_blocks() {
        std::vector<int> drawn_block, found_block;
        std::vector<Block> drawn = look_at_blocks(false, drawn_block), found = look_at_blocks(true, found_block);
        bool told = false;
        for (const Group& group : groups_at(habit_.deepest)) {
            std::vector<std::pair<std::uint64_t, int>> partners;   // look of the block, part
            for (std::size_t j = group.j; j < group.j_end; ++j) {
                const int q = found_colours_[j].part;
                partners.push_back({found[found_block[q]].look, q});
            }
            std::sort(partners.begin(), partners.end());
            // Namesakes first, then what is left.
            for (const bool named : {true, false})
                for (std::size_t i = group.i; i < group.i_end; ++i) {
                    const int p = drawn_colours_[i].part;
                    Block& block = drawn[drawn_block[p]];
                    if (block.taken || pairing_.partner(p) != none) continue;
                    const int q = partner_in_block(p, block.look, partners, found_block, found, named);
                    if (q == none) continue;
                    block.taken = found[found_block[q]].taken = true;
                    join(p, q);
                    follow();
                    told = true;
                }
        }
        return told;
    }

    int partner_in_block(int p, std::uint64_t look, const std::vector<std::pair<std::uint64_t, int>>& partners,
                         const std::vector<int>& found_block, const std::vector<Block>& found, bool named) {
        auto may = [&](int q) { return !found[found_block[q]].taken && free_pair(p, q) && problem_.pair_cost(p, q) != none; };
        if (named) {
            const int q = around_.drawn_namesake[p];
            return q != none && std::binary_search(partners.begin(), partners.end(), std::pair{look, q}) && may(q) ? q : none;
        }
        auto at = std::lower_bound(partners.begin(), partners.end(), std::pair{look, none});
        constexpr int most = 8;
        int best = none, points = -agree_weight, seen = 0;
        for (; at != partners.end() && at->first == look && seen < most; ++at) {
            if (!may(at->second)) continue;
            bool clean = true;
            const int here = score(p, at->second, clean) + (habit_.noise > 0 ? random_.below(habit_.noise + 1) : 0);
            if (here > points) points = here, best = at->second;
            ++seen;
        }
        return best;
    }

    std::optional<std::pair<int, int>> suited(std::size_t i, std::size_t i_end, std::size_t j, std::size_t j_end) {
        const std::size_t first = i, size = i_end - i;
        if (habit_.noise > 0) i += static_cast<std::size_t>(random_.below(static_cast<int>(size)));
        std::size_t pick = i_end;
        for (std::size_t k = 0; k < size; ++k) {
            const std::size_t at = first + (i - first + k) % size;
            if (pairing_.partner(drawn_colours_[at].part) != none) continue;
            if (pick == i_end) pick = at;
            if (habit_.noise > 0) break;
            const int namesake = around_.drawn_namesake[drawn_colours_[at].part];
            if (namesake == none || pairing_.partner_of_found(namesake) != none) continue;
            const auto in_group = std::find_if(found_colours_.begin() + static_cast<std::ptrdiff_t>(j), found_colours_.begin() + static_cast<std::ptrdiff_t>(j_end),
                                               [&](const Coloured& c) { return c.part == namesake; });
            if (in_group == found_colours_.begin() + static_cast<std::ptrdiff_t>(j_end)) continue;
            pick = at;
            break;
        }
        if (pick == i_end) return std::nullopt;
        const int p = drawn_colours_[pick].part;
        int best = none, most = 0;
        for (std::size_t k = j; k < j_end; ++k) {
            const int q = found_colours_[k].part;
            if (!free_pair(p, q) || problem_.pair_cost(p, q) == none) continue;
            bool clean = true;
            const int points = score(p, q, clean) + (habit_.noise > 0 ? random_.below(habit_.noise + 1) : 0);
            if (best == none || points > most) most = points, best = q;
        }
        if (best == none || most < -agree_weight) return std::nullopt;
        return std::pair{p, best};
    }

    // What no colour brings together: by true cost, the cheapest first.
    void take_leftovers() {
        drop_paired();
        std::vector<Candidate> list;
        for (int p : drawn_)
            for (int q : found_) {
                if (problem_.pair_cost(p, q) == none) continue;
                bool clean = true;
                list.push_back({score(p, q, clean), p, q});
            }
        std::sort(list.begin(), list.end(), [](const Candidate& a, const Candidate& b) { return b < a; });
        for (const Candidate& candidate : list) {
            if (!free_pair(candidate.p, candidate.q)) continue;
            const int before = pairing_.cost();
            pairing_.pair(candidate.p, candidate.q, best_map(candidate.p, candidate.q).map);
            if (pairing_.cost() > before) pairing_.unpair(candidate.p);
        }
    }

    Pairing& pairing_;
    const Problem& problem_;
    const Surroundings& around_;
    std::vector<int> drawn_, found_;
    GrowHabit habit_;
    Random& random_;
    FreeColours colours_;
    std::priority_queue<Candidate> queue_, doubtful_;
    std::vector<Coloured> drawn_colours_, found_colours_;
};

}  // namespace

void grow(Pairing& pairing, const Surroundings& around, std::vector<int> drawn, std::vector<int> found, const GrowHabit& habit,
          Random& random) {
    Growth(pairing, around, std::move(drawn), std::move(found), habit, random).run();
}

}  // namespace tallyboard::detail
