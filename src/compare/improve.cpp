#include <algorithm>
#include <deque>

#include "compare/costs.h"
#include "compare/search.h"

namespace tallyboard::detail {

bool is_suspect(const Pairing& pairing, int p) {
    const Problem& problem = pairing.problem;
    const int q = pairing.partner(p);
    if (q == none) return problem.drawing.leave[p] > 0 || pairing.is_composite(false, p);
    if (cost_of_pair(problem, p, q, pairing.map(p)) > 0) return true;
    const PinMaps& maps = problem.maps_of(p, q);
    const std::int8_t* map = maps.map(pairing.map(p));
    const Cells& cells = pairing.cells();
    for (int i = 0; i < maps.terminals; ++i) {
        if (map[i] == none) continue;
        const int a = pairing.drawn_net(problem.drawing.net[problem.drawing.first[p] + i]);
        const int x = pairing.found_net(problem.board.net[problem.board.first[q] + map[i]]);
        const int drawn_cells = cells.cells_of_drawn(a), found_cells = cells.cells_of_found(x);
        if (drawn_cells == 1 && found_cells == 1) continue;
        // Beside something at least half as heavy, or small: it may belong elsewhere.
        const int n = cells.count(a, x);
        int rival = 0;
        auto look = [&](const Cells::Cell& cell) { if (cell.drawn != a || cell.found != x) rival = std::max(rival, cell.n); };
        if (drawn_cells > 1) cells.of_drawn(a, look);
        if (found_cells > 1) cells.of_found(x, look);
        if (2 * rival >= n || n <= 2) return true;
    }
    return false;
}

namespace {

class Improvement {
public:
    Improvement(Pairing& pairing, const Surroundings& around) : pairing_(pairing), problem_(pairing.problem), around_(around) {}

    void run(const std::vector<int>& focus) {
        waiting_.assign(problem_.drawing.parts(), 0);
        // A pairing so wrong that all its nets hang together is not worth mending: matchings of hundreds of cells take too long.
        constexpr long enough = 1000000, enough_a_part = 200;
        last_work_ = pairing_.cells().work() + enough + enough_a_part * problem_.drawing.parts();
        if (focus.empty()) {
            for (int p = 0; p < problem_.drawing.parts(); ++p) add(p);
        } else {
            for (int p : focus) add(p);
        }
        do {
            list_free();
            while (!work_.empty() && !is_tired()) {
                const int p = work_.front();
                work_.pop_front();
                waiting_[p] = 0;
                if (is_suspect(pairing_, p)) look_at(p);
            }
        } while (!is_tired() && compose());
    }

private:
    bool is_tired() const { return pairing_.cells().work() > last_work_; }

    void add(int p) {
        if (waiting_[p]) return;
        waiting_[p] = 1;
        work_.push_back(p);
    }
    void add_around(int p) {
        add(p);
        const Side& d = problem_.drawing;
        for (int t = d.first[p]; t < d.first[p + 1]; ++t) {
            if (d.degree(d.net[t]) > 2 * hub_degree) continue;
            for (int i = d.net_first[d.net[t]]; i < d.net_first[d.net[t] + 1]; ++i) add(d.part[d.net_terminals[i]]);
        }
    }
    void list_free() {
        free_found_.clear();
        for (int q = 0; q < problem_.board.parts(); ++q) if (pairing_.partner_of_found(q) == none) free_found_.push_back(q);
    }

    void look_at(int p) {
        if (problem_.drawing.bound_to[p] != none && pairing_.partner(p) != none) {
            try_maps(p);
            return;
        }
        if (pairing_.partner(p) != none && (try_maps(p) || try_divorce(p))) return;
        list_partners(p);
        for (int q : partners_)
            if (is_tired() || try_partner(p, q)) return;
    }

    // Found parts on the nets that p's nets touch, and those left over.
    void list_partners(int p) {
        partners_.clear();
        const Side &d = problem_.drawing, &b = problem_.board;
        for (int t = d.first[p]; t < d.first[p + 1]; ++t)
            pairing_.cells().of_drawn(pairing_.drawn_net(d.net[t]), [&](const Cells::Cell& cell) {
                const bool wide = b.degree(cell.found) > walk_degree;
                for (int j = b.net_first[cell.found]; j < b.net_first[cell.found + 1]; ++j) {
                    const int q = b.part[b.net_terminals[j]];
                    if (!wide || pairing_.partner_of_found(q) == none) partners_.push_back(q);
                }
            });
        partners_.insert(partners_.end(), free_found_.begin(), free_found_.end());
        std::sort(partners_.begin(), partners_.end());
        partners_.erase(std::unique(partners_.begin(), partners_.end()), partners_.end());
    }

    bool keep_if_cheaper(int cost, std::size_t mark, std::initializer_list<int> changed) {
        if (pairing_.cost() >= cost) {
            pairing_.take_back(mark);
            return false;
        }
        for (int p : changed) if (p != none) add_around(p);
        return true;
    }

    bool try_maps(int p) {
        const int q = pairing_.partner(p), was = pairing_.map(p), cost = pairing_.cost();
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::size_t mark = pairing_.mark();
        // Of a package's many maps only those that agree about as well as the best, but on boards of a few parts all.
        std::vector<char> worth(maps.count, 1);
        if (maps.count > 12 && (problem_.drawing.parts() > 8 || maps.count > 150)) {
            pairing_.unpair(p);
            std::vector<int> agreement;
            for (int k = 0; k < maps.count; ++k) agreement.push_back(pairing_.agreement(p, q, k));
            pairing_.take_back(mark);
            const int best = *std::max_element(agreement.begin(), agreement.end());
            for (int k = 0; k < maps.count; ++k) worth[k] = agreement[k] >= best - 1;
        }
        for (int k = 0; k < maps.count; ++k) {
            if (k == was || !worth[k]) continue;
            pairing_.unpair(p);
            pairing_.pair(p, q, k);
            if (keep_if_cheaper(cost, mark, {p})) return true;
        }
        return false;
    }

    // Whether the two nets of a free part may be better off as one: some net of the other side has terminals on both.
    bool may_compose(bool on_board, int part) const {
        const Side& side = on_board ? problem_.board : problem_.drawing;
        auto [a, b] = side.across[part];
        if (a == none || side.group[part] != none) return false;
        a = on_board ? pairing_.found_net(a) : pairing_.drawn_net(a);
        b = on_board ? pairing_.found_net(b) : pairing_.drawn_net(b);
        if (a == b) return false;
        std::vector<int> touched;
        const Cells& cells = pairing_.cells();
        bool both = false;
        if (on_board) {
            cells.of_found(a, [&](const Cells::Cell& cell) { touched.push_back(cell.drawn); });
            cells.of_found(b, [&](const Cells::Cell& cell) { both = both || std::find(touched.begin(), touched.end(), cell.drawn) != touched.end(); });
        } else {
            cells.of_drawn(a, [&](const Cells::Cell& cell) { touched.push_back(cell.found); });
            cells.of_drawn(b, [&](const Cells::Cell& cell) { both = both || std::find(touched.begin(), touched.end(), cell.found) != touched.end(); });
        }
        return both;
    }

    void compose_if_cheaper(bool on_board, int part) {
        if (!may_compose(on_board, part)) return;
        const int cost = pairing_.cost();
        const std::size_t mark = pairing_.mark();
        pairing_.set_composite(on_board, part, true);
        if (pairing_.cost() >= cost) pairing_.take_back(mark);
    }

    // Leaves both parts over, as composites where that helps.
    bool try_divorce(int p) {
        const int q = pairing_.partner(p), cost = pairing_.cost();
        const std::size_t mark = pairing_.mark();
        pairing_.unpair(p);
        compose_if_cheaper(true, q);
        compose_if_cheaper(false, p);
        if (!keep_if_cheaper(cost, mark, {p})) return false;
        free_found_.push_back(q);
        return true;
    }

    bool try_partner(int p, int q) {
        const int old = pairing_.partner(p), other = pairing_.partner_of_found(q);
        if (old == q || problem_.pair_cost(p, q) == none) return false;
        if (other != none && problem_.drawing.bound_to[other] != none) return false;
        // Most trials can be seen to lose without making them.
        const int gain = burden(p) + (other != none ? burden(other) : std::max(costs::series, problem_.board.leave[q]));
        int toll = least_toll(p, q);
        if (toll >= gain) return false;
        if (other != none && old != none)
            toll += problem_.pair_cost(other, old) == none ? costs::part : std::min(costs::part, least_toll(other, old));
        if (toll >= gain) return false;
        const int cost = pairing_.cost();
        const std::size_t mark = pairing_.mark();
        if (pairing_.is_composite(false, p)) pairing_.set_composite(false, p, false);
        if (pairing_.is_composite(true, q)) pairing_.set_composite(true, q, false);
        if (old != none) pairing_.unpair(p);
        if (other != none) pairing_.unpair(other);
        const int map = pairing_.best_map(p, q);
        if (old != none && pairing_.agreement(p, q, map) <= -2 * problem_.drawing.pin_count(p)) {   // nothing speaks for it
            pairing_.take_back(mark);
            return false;
        }
        pairing_.pair(p, q, map);
        if (other != none && old != none && problem_.pair_cost(other, old) != none) {
            const std::size_t before = pairing_.mark();
            const int alone = pairing_.cost();
            pairing_.pair(other, old, pairing_.best_map(other, old));
            if (pairing_.cost() > alone) pairing_.take_back(before);
        } else if (other != none) {
            settle_elsewhere(other);
        }
        if (!keep_if_cheaper(cost, mark, {p, other})) return false;
        list_free();
        return true;
    }

    // About the most that may be saved by taking a drawn part from where it is: what it costs itself, and its few terminals that go
    // where others of their nets do not.
    int burden(int p) const {
        const int q = pairing_.partner(p);
        if (q == none) return std::max(costs::series, problem_.drawing.leave[p]);
        int sum = cost_of_pair(problem_, p, q, pairing_.map(p));
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::int8_t* map = maps.map(pairing_.map(p));
        for (int i = 0; i < maps.terminals; ++i) {
            if (map[i] == none) continue;
            const int a = drawn_at(p, i), x = found_at(q, map[i]);
            if (pairing_.cells().cells_of_drawn(a) == 1 && pairing_.cells().cells_of_found(x) == 1) continue;
            const int n = pairing_.cells().count(a, x);
            sum += n == 1 ? costs::piece : n == 2 ? 1 : 0;
        }
        return sum;
    }

    // About the least that p and q cost as a pair: terminals that would leave what their nets hold are moved.
    int least_toll(int p, int q) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        constexpr int most_maps = 12;
        if (maps.count > most_maps) return 0;
        int least = costs::never;
        for (int k = 0; k < maps.count; ++k) {
            int sum = cost_of_pair(problem_, p, q, k);
            for (int i = 0; i < maps.terminals && sum < least; ++i) {
                const int to = maps.map(k)[i];
                if (to == none) continue;
                const int a = drawn_at(p, i), x = found_at(q, to);
                if ((pairing_.cells().holds_drawn(a) || pairing_.cells().holds_found(x)) && pairing_.cells().count(a, x) == 0) sum += costs::moved;
            }
            least = std::min(least, sum);
        }
        return least;
    }
    int drawn_at(int p, int terminal) const { return pairing_.drawn_net(problem_.drawing.net[problem_.drawing.first[p] + terminal]); }
    int found_at(int q, int terminal) const { return pairing_.found_net(problem_.board.net[problem_.board.first[q] + terminal]); }

    // The part that lost its partner takes the free one that suits it best.
    void settle_elsewhere(int p) {
        int best = none, least = pairing_.cost();
        for (int q : free_found_) {
            if (pairing_.partner_of_found(q) != none || problem_.pair_cost(p, q) == none || pairing_.is_composite(true, q)) continue;
            const std::size_t mark = pairing_.mark();
            pairing_.pair(p, q, pairing_.best_map(p, q));
            if (pairing_.cost() < least) least = pairing_.cost(), best = q;
            pairing_.take_back(mark);
        }
        if (best != none) pairing_.pair(p, best, pairing_.best_map(p, best));
    }

    // Composites on and off among the parts left over; true where that made anything cheaper.
    bool compose() {
        bool better = false;
        for (bool on_board : {false, true}) {
            const std::vector<int> now = pairing_.composites(on_board);
            for (int part : now) {
                const int cost = pairing_.cost();
                const std::size_t mark = pairing_.mark();
                pairing_.set_composite(on_board, part, false);
                if (pairing_.cost() < cost) better = true, add_part(on_board, part);
                else pairing_.take_back(mark);
            }
            const int parts = on_board ? problem_.board.parts() : problem_.drawing.parts();
            for (int part = 0; part < parts; ++part) {
                if ((on_board ? pairing_.partner_of_found(part) : pairing_.partner(part)) != none) continue;
                if (pairing_.is_composite(on_board, part)) continue;
                const int cost = pairing_.cost();
                compose_if_cheaper(on_board, part);
                if (pairing_.cost() < cost) better = true, add_part(on_board, part);
            }
        }
        return better;
    }

    // Whoever stands around a part that has become or ceased to be a composite.
    void add_part(bool on_board, int part) {
        if (!on_board) return add_around(part);
        const Side& b = problem_.board;
        for (int t = b.first[part]; t < b.first[part + 1]; ++t) {
            if (b.degree(b.net[t]) > walk_degree) continue;
            for (int i = b.net_first[b.net[t]]; i < b.net_first[b.net[t] + 1]; ++i)
                if (const int p = pairing_.partner_of_found(b.part[b.net_terminals[i]]); p != none) add(p);
        }
    }

    Pairing& pairing_;
    const Problem& problem_;
    const Surroundings& around_;
    std::deque<int> work_;
    long last_work_ = 0;
    std::vector<char> waiting_;
    std::vector<int> partners_, free_found_;
};

}  // namespace

void improve(Pairing& pairing, const Surroundings& around, const std::vector<int>& focus) {
    Improvement(pairing, around).run(focus);
}

}  // namespace tallyboard::detail
