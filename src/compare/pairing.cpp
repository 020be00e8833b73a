#include "compare/pairing.h"

#include <algorithm>
#include <numeric>

#include "compare/costs.h"

namespace tallyboard::detail {

int cost_of_pair(const Problem& problem, int p, int q, int map) {
    return problem.pair_cost(p, q) + (map >= problem.maps_of(p, q).allowed ? costs::reversed : 0);
}

Pairing::Pairing(const Problem& given)
    : problem(given), partner_(given.drawing.parts(), none), back_(given.board.parts(), none), map_(given.drawing.parts(), 0),
      drawn_as_(given.drawing.nets()), found_as_(given.board.nets()), inserted_(given.board.parts(), 0),
      bypassed_(given.drawing.parts(), 0), cells_(given.drawing.nets(), given.board.nets()) {
    std::iota(drawn_as_.begin(), drawn_as_.end(), 0);
    std::iota(found_as_.begin(), found_as_.end(), 0);
    for (int leave : given.drawing.leave) parts_cost_ += leave;
    for (int leave : given.board.leave) parts_cost_ += leave;
}

void Pairing::count_terminals(int p, int change) {
    const Side &drawing = problem.drawing, &board = problem.board;
    const int q = partner_[p], from = drawing.first[p], to = board.first[q];
    const PinMaps& maps = problem.maps_of(p, q);
    const std::int8_t* map = maps.map(map_[p]);
    for (int i = 0; i < maps.terminals; ++i)
        if (map[i] != none)
            cells_.add(drawn_as_[drawing.net[from + i]], found_as_[board.net[to + map[i]]], change);
}

void Pairing::pair(int p, int q, int map) {
    if (bypassed_[p]) set_composite(false, p, false);
    if (inserted_[q]) set_composite(true, q, false);
    partner_[p] = q;
    back_[q] = p;
    map_[p] = map;
    parts_cost_ += cost_of_pair(problem, p, q, map) - problem.drawing.leave[p] - problem.board.leave[q];
    count_terminals(p, 1);
    changes_.push_back({Did::paired, p, q, map});
}

void Pairing::unpair(int p) {
    const int q = partner_[p];
    count_terminals(p, -1);
    parts_cost_ -= cost_of_pair(problem, p, q, map_[p]) - problem.drawing.leave[p] - problem.board.leave[q];
    partner_[p] = none;
    back_[q] = none;
    changes_.push_back({Did::unpaired, p, q, map_[p]});
}

void Pairing::take_back(std::size_t mark) {
    while (changes_.size() > mark) {
        const Change change = changes_.back();
        switch (change.did) {
            case Did::paired: unpair(change.a); break;
            case Did::unpaired: pair(change.a, change.b, change.map); break;
            case Did::composed: set_composite(change.a != 0, change.b, false); break;
            case Did::parted: set_composite(change.a != 0, change.b, true); break;
        }
        changes_.resize(changes_.size() - 2);   // taking back is no change itself
    }
}

int Pairing::agreement(int p, int q, int map) const {
    const Side &drawing = problem.drawing, &board = problem.board;
    const PinMaps& maps = problem.maps_of(p, q);
    const std::int8_t* to = maps.map(map);
    int sum = map < maps.allowed ? 0 : -1;
    for (int i = 0; i < maps.terminals; ++i) {
        if (to[i] == none) continue;
        const int a = drawn_as_[drawing.net[drawing.first[p] + i]], x = found_as_[board.net[board.first[q] + to[i]]];
        if (cells_.count(a, x) > 0) sum += 2;
        else if (cells_.cells_of_drawn(a) > 0 || cells_.cells_of_found(x) > 0) sum -= 2;
    }
    return sum;
}

bool Pairing::contradicts(int p, int q, int map) const {
    const Side &drawing = problem.drawing, &board = problem.board;
    const PinMaps& maps = problem.maps_of(p, q);
    const std::int8_t* to = maps.map(map);
    for (int i = 0; i < maps.terminals; ++i) {
        if (to[i] == none) continue;
        const int a = drawn_as_[drawing.net[drawing.first[p] + i]], x = found_as_[board.net[board.first[q] + to[i]]];
        if ((cells_.cells_of_drawn(a) > 0 || cells_.cells_of_found(x) > 0) && cells_.count(a, x) == 0) return true;
    }
    return false;
}

int Pairing::best_map(int p, int q) const {
    const PinMaps& maps = problem.maps_of(p, q);
    int best = 0, most = agreement(p, q, 0);
    for (int k = 1; k < maps.count; ++k) {
        // A perfect allowed map cannot be bettered by one that costs.
        if (k >= maps.allowed && most == 2 * maps.terminals) break;
        if (const int sum = agreement(p, q, k); sum > most) most = sum, best = k;
    }
    return best;
}

// Works out which net stands for which from the composites of one side: the least of those that are one.
void Pairing::rename_nets(bool on_board) {
    const Side& side = on_board ? problem.board : problem.drawing;
    std::vector<int>& as = on_board ? found_as_ : drawn_as_;
    const std::vector<int>& parts = composites(on_board);
    bool changed = true;
    while (changed) {   // chains are short
        changed = false;
        for (int part : parts) {
            const auto [a, b] = side.across[part];
            const int least = std::min(as[a], as[b]);
            changed = changed || as[a] != as[b];
            as[a] = as[b] = least;
        }
    }
}

void Pairing::set_composite(bool on_board, int part, bool on) {
    const Side& side = on_board ? problem.board : problem.drawing;
    std::vector<int>& as = on_board ? found_as_ : drawn_as_;
    std::vector<int>& list = on_board ? inserted_list_ : bypassed_list_;
    std::vector<char>& flags = on_board ? inserted_ : bypassed_;
    if ((flags[part] != 0) == on) return;

    changes_.push_back({on ? Did::composed : Did::parted, on_board, part, 0});

    // All nets that may get another name, and the parts on them, whose terminals are counted anew.
    std::vector<int> nets{side.across[part].first, side.across[part].second};
    for (int other : list) nets.insert(nets.end(), {side.across[other].first, side.across[other].second});
    std::sort(nets.begin(), nets.end());
    nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
    std::vector<int> old;
    for (int n : nets) old.push_back(as[n]);

    flags[part] = on;
    if (on) list.insert(std::lower_bound(list.begin(), list.end(), part), part);
    else list.erase(std::find(list.begin(), list.end(), part));
    for (int n : nets) as[n] = n;
    rename_nets(on_board);
    parts_cost_ += (costs::series - side.leave[part]) * (on ? 1 : -1);

    std::vector<int> renamed;
    for (std::size_t i = 0; i < nets.size(); ++i)
        if (as[nets[i]] != old[i]) renamed.push_back(static_cast<int>(i));
    for (int i : renamed) {
        const int n = nets[i];
        for (int at = side.net_first[n]; at < side.net_first[n + 1]; ++at) {
            const int t = side.net_terminals[at], own = side.part[t];
            const int p = on_board ? back_[own] : own;
            if (p == none || partner_[p] == none) continue;
            const PinMaps& maps = problem.maps_of(p, partner_[p]);
            const std::int8_t* map = maps.map(map_[p]);
            for (int k = 0; k < maps.terminals; ++k) {
                if (map[k] == none) continue;
                const int drawn = problem.drawing.first[p] + k, found = problem.board.first[partner_[p]] + map[k];
                if ((on_board ? found : drawn) != t) continue;
                if (on_board) {
                    const int a = drawn_as_[problem.drawing.net[drawn]];
                    cells_.add(a, old[i], -1);
                    cells_.add(a, as[n], 1);
                } else {
                    const int x = found_as_[problem.board.net[found]];
                    cells_.add(old[i], x, -1);
                    cells_.add(as[n], x, 1);
                }
            }
        }
    }
}

Solution Pairing::solution() const { return {partner_, map_, inserted_list_, bypassed_list_, cost()}; }

void Pairing::become(const Solution& solution) {
    for (bool on_board : {false, true}) {
        const std::vector<int> now = composites(on_board);
        const std::vector<int>& then = on_board ? solution.inserted : solution.bypassed;
        for (int part : now)
            if (!std::binary_search(then.begin(), then.end(), part)) set_composite(on_board, part, false);
    }
    std::vector<int> changed;
    for (int p = 0; p < problem.drawing.parts(); ++p)
        if (partner_[p] != solution.partner[p] || (partner_[p] != none && map_[p] != solution.map[p])) changed.push_back(p);
    for (int p : changed) if (partner_[p] != none) unpair(p);
    for (int p : changed) if (solution.partner[p] != none) pair(p, solution.partner[p], solution.map[p]);
    for (int part : solution.inserted) set_composite(true, part, true);
    for (int part : solution.bypassed) set_composite(false, part, true);
}

}  // namespace tallyboard::detail
