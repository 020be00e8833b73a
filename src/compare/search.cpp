#include "compare/search.h"

#include <algorithm>

#include "compare/follow.h"

namespace tallyboard::detail {
namespace {

// The shapes of rounds. Below `small_board` parts every fourth round begins anew from nothing.
constexpr int small_board = 400;
constexpr int hopeless = 16;   // what a change of many pairs may cost above the best and still be mended

class Search {
public:
    Search(const Problem& problem, const Surroundings& around, const Solution& start, std::uint64_t seed)
        : problem_(problem), around_(around), pairing_(problem), random_(seed) {
        pairing_.become(start);
        pairing_.settle();
        best_ = pairing_.solution();
    }

    Solution run(int rounds, int enough) {
        bool changed = true;
        for (int round = 0; round < rounds && best_.cost > enough; ++round) {
            if (changed) list_suspects();   // of large circuits the dearest part of a round
            if (suspects_.empty()) break;
            const int before = pairing_.cost();
            touched_.clear();
            followed_ = false;
            const int kind = random_.below(8);
            if (kind < 3) {
                move_run();
            } else if (kind == 3 && problem_.drawing.parts() <= small_board) {
                unpair_all();
            } else {
                ruin();
            }
            rebuild(before);
            changed = pairing_.cost() <= before;
            if (!changed) {
                pairing_.take_back(0);
            } else {
                pairing_.settle();
                if (pairing_.cost() < best_.cost) best_ = pairing_.solution();
            }
        }
        return best_;
    }

private:
    // Drawn parts with a fault, and those that stand beside a found part left over.
    void list_suspects() {
        suspects_.clear();
        suspect_.assign(problem_.drawing.parts(), 0);
        for (int p = 0; p < problem_.drawing.parts(); ++p)
            if (is_suspect(pairing_, p)) suspects_.push_back(p), suspect_[p] = 1;
        const Side& b = problem_.board;
        for (int q = 0; q < b.parts(); ++q) {
            if (pairing_.partner_of_found(q) != none) continue;
            for (int t = b.first[q]; t < b.first[q + 1]; ++t) {
                if (b.degree(b.net[t]) > hub_degree) continue;
                for (int i = b.net_first[b.net[t]]; i < b.net_first[b.net[t] + 1]; ++i)
                    if (const int p = pairing_.partner_of_found(b.part[b.net_terminals[i]]); p != none) suspects_.push_back(p);
            }
        }
    }
    int any_suspect() { return suspects_[random_.below(static_cast<int>(suspects_.size()))]; }

    void leave(int p) {
        if (pairing_.partner(p) == none) return;
        pairing_.unpair(p);
        touched_.push_back(p);
    }

    void drop_composites() {
        for (bool on_board : {false, true}) {
            const std::vector<int> now = pairing_.composites(on_board);
            for (int part : now) if (random_.below(2) == 0) pairing_.set_composite(on_board, part, false);
        }
    }

    void unpair_all() {
        drop_composites();
        for (int p = 0; p < problem_.drawing.parts(); ++p) leave(p);
    }

    // Unpairs the surroundings of one to three parts with a fault, up to three steps away, not across hubs.
    void ruin() {
        if (random_.below(3) == 0) drop_composites();
        const int centres = 1 + random_.below(3), steps = 1 + random_.below(3);
        std::vector<int> region;
        std::vector<char> in_region(problem_.drawing.parts(), 0);
        auto take = [&](int p) {
            if (in_region[p]) return;
            in_region[p] = 1;
            region.push_back(p);
        };
        for (int i = 0; i < centres; ++i) take(any_suspect());
        std::size_t from = 0;
        const Side& d = problem_.drawing;
        for (int step = 0; step < steps; ++step) {
            const std::size_t end = region.size();
            for (; from < end; ++from)
                for (int t = d.first[region[from]]; t < d.first[region[from] + 1]; ++t) {
                    if (d.degree(d.net[t]) > hub_degree + 2) continue;
                    for (int j = d.net_first[d.net[t]]; j < d.net_first[d.net[t] + 1]; ++j) take(d.part[d.net_terminals[j]]);
                }
        }
        for (int p : region) leave(p);
    }

    // Takes a part of a run to another partner and lets its neighbours follow, net by net, as far as they change theirs: a run
    // of like sections shifts by one, two like blocks change places. Whoever loses a partner is paired anew afterwards.
    void move_run() {
        const int p = any_suspect(), old = pairing_.partner(p);
        if (old != none && random_.below(4) == 0 && problem_.maps_of(p, old).count > 1) return turn(p, old);
        std::vector<int> others;
        if (random_.below(3) > 0) others = near(p);
        if (others.empty())
            for (int q = 0; q < problem_.board.parts(); ++q)
                if (may_go_to(p, q)) others.push_back(q);
        if (others.empty()) return ruin();
        // Of several at random the one whose surroundings look most alike.
        int to = others[random_.below(static_cast<int>(others.size()))];
        for (int again = random_.below(4); again > 0; --again) {
            const int other = others[random_.below(static_cast<int>(others.size()))];
            if (around_.likeness(p, other) > around_.likeness(p, to)) to = other;
        }
        follow_run(p, to, none);
    }

    bool may_go_to(int p, int q) const {
        return q != pairing_.partner(p) && around_.found[0][q] == around_.drawn[0][p] && problem_.pair_cost(p, q) != none;
    }

    // Like parts within some steps of where p is, or of where its neighbours are: the next sections of a ladder.
    std::vector<int> near(int p) {
        const Side &d = problem_.drawing, &b = problem_.board;
        std::vector<int> met, out;
        std::vector<char> seen(b.parts(), 0);
        auto meet = [&](int q) { if (q != none && !seen[q]) seen[q] = 1, met.push_back(q); };
        meet(pairing_.partner(p));
        for (int t = d.first[p]; t < d.first[p + 1] && met.empty(); ++t) {
            if (d.degree(d.net[t]) > hub_degree) continue;
            for (int i = d.net_first[d.net[t]]; i < d.net_first[d.net[t] + 1]; ++i) meet(pairing_.partner(d.part[d.net_terminals[i]]));
        }
        constexpr std::size_t enough = 60;
        for (std::size_t i = 0; i < met.size() && met.size() < enough; ++i)
            for (int t = b.first[met[i]]; t < b.first[met[i] + 1]; ++t) {
                if (b.degree(b.net[t]) > hub_degree) continue;
                for (int j = b.net_first[b.net[t]]; j < b.net_first[b.net[t] + 1]; ++j) meet(b.part[b.net_terminals[j]]);
            }
        constexpr std::size_t few = 6;
        for (int q : met)
            if (may_go_to(p, q) && out.size() < few) out.push_back(q);
        return out;
    }

    // The same partner with another order of pins, and the neighbours follow: windings, sections of a package, a run back to front.
    void turn(int p, int q) {
        const PinMaps& maps = problem_.maps_of(p, q);
        const int among = maps.allowed > 1 && random_.below(4) > 0 ? maps.allowed : maps.count;
        int map = random_.below(among);
        if (map == pairing_.map(p)) map = (map + 1) % among;
        follow_run(p, q, map);
    }

    void follow_run(int first, int to, int turned) {
        if (problem_.drawing.bound_to[first] != none || problem_.board.bound_to[to] != none) return;
        RunWay way;
        way.turned = turned;
        // Half the time parts with a fault do not follow, so that a run ends there; and half the time it goes one way only.
        if (random_.below(2) == 0) way.stay = &suspect_;
        if (random_.below(2) == 0) way.one_way = random_.below(1 << 16);
        followed_ = true;
        tallyboard::detail::follow_run(pairing_, around_, first, to, way, touched_);
    }

    // Pairs what is free anew. `before`: the cost to be met.
    void rebuild(int before) {
        std::vector<int> drawn, found;
        for (int p = 0; p < problem_.drawing.parts(); ++p)
            if (pairing_.partner(p) == none && !pairing_.is_composite(false, p)) drawn.push_back(p);
        for (int q = 0; q < problem_.board.parts(); ++q)
            if (pairing_.partner_of_found(q) == none && !pairing_.is_composite(true, q)) found.push_back(q);
        GrowHabit habit;
        if (followed_ && random_.below(4) > 0) return finish(drawn, found, habit, before);
        habit.least = random_.below(4);
        habit.deepest = habit.least + random_.below(colour_depths - habit.least);
        habit.noise = random_.below(3) == 0 ? 0 : 1 << random_.below(7);
        habit.plain = random_.below(4) == 0;
        finish(drawn, found, habit, before);
    }

    void finish(const std::vector<int>& drawn, const std::vector<int>& found, const GrowHabit& habit, int before) {
        grow(pairing_, around_, drawn, found, habit, random_);
        // Single changes seldom mend more than this.
        if (pairing_.cost() > before + hopeless + before / 4) return;
        touched_.insert(touched_.end(), drawn.begin(), drawn.end());
        if (touched_.empty()) touched_ = suspects_;
        improve(pairing_, around_, touched_);
    }

    const Problem& problem_;
    const Surroundings& around_;
    Pairing pairing_;
    Random random_;
    Solution best_;
    std::vector<int> suspects_, touched_;
    std::vector<char> suspect_;
    bool followed_ = false;   // whether this round has moved a run: what it left over is few and plain
};

}  // namespace

void complete(Pairing& pairing, const Surroundings& around) {
    std::vector<int> drawn, found;
    for (int p = 0; p < pairing.problem.drawing.parts(); ++p)
        if (pairing.partner(p) == none && !pairing.is_composite(false, p)) drawn.push_back(p);
    for (int q = 0; q < pairing.problem.board.parts(); ++q)
        if (pairing.partner_of_found(q) == none && !pairing.is_composite(true, q)) found.push_back(q);
    Random random(1);
    grow(pairing, around, drawn, found, {}, random);
    improve(pairing, around);
}

Solution first_solution(const Problem& problem, const Surroundings& around, const GrowHabit& habit, std::uint64_t seed) {
    Pairing pairing(problem);
    Random random(seed);
    std::vector<int> drawn(problem.drawing.parts()), found(problem.board.parts());
    for (std::size_t i = 0; i < drawn.size(); ++i) drawn[i] = static_cast<int>(i);
    for (std::size_t i = 0; i < found.size(); ++i) found[i] = static_cast<int>(i);
    grow(pairing, around, drawn, found, habit, random);
    improve(pairing, around);
    return pairing.solution();
}

Solution search(const Problem& problem, const Surroundings& around, const Solution& start, int rounds, int enough, std::uint64_t seed) {
    return Search(problem, around, start, seed).run(rounds, enough);
}

}  // namespace tallyboard::detail
