#include <algorithm>
#include <cmath>
#include <tuple>

#include "compare/prover.h"

namespace tallyboard::detail {

// How many steps of a small circuit a step here is worth.
int Prover::work() const {
    constexpr std::size_t small = 8000;   // candidates and cells of a hundred parts
    return 1 + static_cast<int>((candidates_.size() + cells_.column.size()) / small);
}

bool Prover::climb(int& steps, int patience, int sweeps) {
    double level = nothing_known;
    int since = 0;
    stride_ = 1;
    for (int i = 0; steps > 0; ++i) {
        steps -= work();
        const double now = evaluate();
        note(now);
        if (proved()) return true;
        if (i >= sweeps && i % 4 == 0) drop_hopeless(now);
        if (now > level + 0.02) {
            level = now;
            since = 0;
        } else if (++since > patience) {
            return false;
        } else if (since % 10 == 0) {
            stride_ = std::max(0.2, stride_ * 0.8);   // the slope turns back and forth: go on in shorter steps
        }
        if (i < sweeps || i % 10 == 9) sweep();
        else step(now);
    }
    return false;
}

// Notes a bound; one that would prove the target is worked out once more from the multipliers as they are, not from sums carried along.
void Prover::note(double bound) {
    if (bound > target_ - 1 + margin) {
        recount_earnings();
        bound = evaluate();
    }
    best_ = std::max(best_, bound);
}

bool Prover::prove(int& steps, int depth) {
    if (target_ <= 0) return true;
    if (climb(steps, depth >= 3 ? 120 : depth == 2 ? 60 : 25, depth >= 3 ? 6 : 1)) return true;
    if (depth <= 0) return false;
    // A branch mostly falls within a few steps; one that does not is left until the bound has grown.
    for (int share = 40; steps > 0; share *= 4) {
        while (steps > 0 && clear_some(steps, depth, share)) {
            charge();
            arrange();
            if (climb(steps, 12, 1)) return true;
        }
        if (composites().empty() || share > 10000) break;
    }
    return false;
}

// Leaves out candidates and cells that no pairing below the target can use at this bound.
void Prover::drop_hopeless(double now) {
    const double room = target_ - 1 + margin - now;
    drop_cells(room);
    std::vector<Candidate> kept;
    kept.reserve(candidates_.size());
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& c = candidates_[i];
        if (parts_.cost[i] - parts_.u[c.p] - parts_.v[c.q] <= room) kept.push_back(c);
    }
    note_leaving(room);
    clear_at_once(now);
    if (kept.size() < candidates_.size()) {
        candidates_ = std::move(kept);
        dropped_ = true;
    }
    if (cleared_) charge();
    if (dropped_ || cleared_) {
        arrange();
        evaluate();
        cleared_ = false;
    }
}

void Prover::drop_cells(double room) {
    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            const double as_one = cells_.cost[e] - cells_.u[a] - cells_.v[x], further = cell_price(a, x) - earns_[cell(a, x)];
            if (std::min(as_one, further) > room) banned_[cell(a, x)] = 1, dropped_ = true;
        }
}

// Parts that a cheaper pairing cannot leave over are no composites.
void Prover::note_leaving(double room) {
    for (int p = 0; p < drawing_.side->parts(); ++p)
        if (!drawing_.gone[p] && drawing_.may_compose[p] && drawing_.left[p] - parts_.u[p] > room) drawing_.may_compose[p] = 0, cleared_ = true;
    for (int q = 0; q < board_.side->parts(); ++q)
        if (!board_.gone[q] && board_.may_compose[q] && -parts_.v[q] > room)
            board_.may_compose[q] = 0, cleared_ = true;
}

// What the nets' part of the bound changes by, at least, if nets x and y are made one: the prices of the other side's nets stay,
// and the net made of both gets the one it needs.
double Prover::merged_nets(bool on_board, int x, int y) const {
    const int others = on_board ? drawn_ : found_;
    double change = 0, price = 0;
    auto at = [&](int n, int net) { return on_board ? cell(n, net) : cell(net, n); };
    auto charge_of = [&](int n, int net) { return on_board ? cell_price(n, net) : cell_price(net, n); };
    auto usable = [&](int n, int net) { return possible_[at(n, net)] && !banned_[at(n, net)]; };
    auto price_of_net = [&](bool board, int net) { return board ? cells_.v[net] : cells_.u[net]; };
    change -= price_of_net(on_board, x) + price_of_net(on_board, y);
    for (int n = 0; n < others; ++n) {
        double earned = 0, s = infinite;
        for (int net : {x, y}) {
            s = std::min(s, charge_of(n, net));
            if (!usable(n, net)) continue;
            earned += earns_[at(n, net)];
            change += std::max(0.0, earns_[at(n, net)] - charge_of(n, net));
        }
        change -= std::max(0.0, earned - s);
        price = std::min(price, -std::min(earned, s) - price_of_net(!on_board, n));
    }
    return change + price;
}

// What a composite across nets x and y adds to the bound at least, in pairings that cost less than 10: 4 less what the part pays, and
// what its nets pay less what their cells earn. So cheap, one net of the other side or two may have cells on them: the first
// pays its price and no more, the second 3 besides. (Another composite beside it, or between those two, adds no less than they do.)
double Prover::cheap_composite(bool on_board, int part, int x, int y) const {
    const int others = on_board ? drawn_ : found_;
    const Side& side = on_board ? *board_.side : *drawing_.side;
    const Aspect& aspect = on_board ? board_ : drawing_;
    auto price_of_net = [&](bool board, int net) { return board ? -cells_.v[net] : -cells_.u[net]; };
    double first = infinite, second = infinite;   // what the two nets would add that add least
    for (int n = 0; n < others; ++n) {
        double lacks = price_of_net(!on_board, n);
        for (int net : {x, y}) {
            const std::size_t at = on_board ? cell(n, net) : cell(net, n);
            if (!possible_[at] || banned_[at]) continue;
            double earned = earns_[at];
            for (int t = side.first[part]; t < side.first[part + 1]; ++t)   // its own terminals are not paired
                if (aspect.net[t] == net) earned -= multiplier_[on_board ? nu(t, n) : mu(t, n)];
            lacks -= std::min(earned, on_board ? cell_price(n, net) : cell_price(net, n));
        }
        if (lacks < first) second = first, first = lacks;
        else second = std::min(second, lacks);
    }
    const double joined = std::min(first, first + second + costs::piece);
    const double paid = on_board ? board_.left[part] + parts_.v[part] : parts_.u[part];
    return costs::series - paid + price_of_net(on_board, x) + price_of_net(on_board, y) + std::min(0.0, joined);
}

// Parts that cannot be composites of a cheaper pairing even at these multipliers: without the part, its nets one, 4 spent.
void Prover::clear_at_once(double now) {
    for (bool on_board : {false, true}) {
        Aspect& aspect = on_board ? board_ : drawing_;
        for (int part = 0; part < aspect.side->parts(); ++part) {
            if (!aspect.may_compose[part] || aspect.gone[part]) continue;
            const double without = on_board ? -board_.left[part] - parts_.v[part] : -parts_.u[part];
            const auto [x, y] = across(on_board, part);
            const double nets = x == y ? 0 : merged_nets(on_board, x, y);
            double added = without + nets + costs::series;
            if (target_ <= cheap && x != y) added = std::max(added, cheap_composite(on_board, part, x, y));
            if (now + added > target_ - 1 + margin) aspect.may_compose[part] = 0, cleared_ = true;
        }
    }
}

// Supposes one part after the other to be a composite, each with at most `share` steps, until some are cleared. True if any.
bool Prover::clear_some(int& steps, int depth, int share) {
    int cleared = 0;
    const std::vector<std::pair<bool, int>> waiting = composites();
    constexpr int enough = 24;   // then the bound is looked at again
    for (auto [on_board, part] : waiting) {
        if (steps <= 0 || cleared >= enough) break;
        Prover child(*this);
        child.contract(on_board, part);
        int allowed = std::min(steps, share);
        const int before = allowed;
        const bool fell = child.prove(allowed, depth - 1);
        steps -= before - allowed;
        if (!fell) continue;
        (on_board ? board_ : drawing_).may_compose[part] = 0;
        ++cleared;
    }
    return cleared > 0;
}

// The parts that may still be composites, those first that a cheaper pairing could least easily leave over: they fall at once.
std::vector<std::pair<bool, int>> Prover::composites() const {
    std::vector<std::tuple<double, bool, int>> list;
    for (int p = 0; p < drawing_.side->parts(); ++p)
        if (!drawing_.gone[p] && drawing_.may_compose[p]) list.emplace_back(parts_.u[p] - drawing_.left[p], false, p);
    for (int q = 0; q < board_.side->parts(); ++q)
        if (!board_.gone[q] && board_.may_compose[q]) list.emplace_back(parts_.v[q], true, q);
    std::sort(list.begin(), list.end());
    std::vector<std::pair<bool, int>> out;
    for (auto [rise, on_board, part] : list) out.emplace_back(on_board, part);
    return out;
}

// Supposes that the part is a composite: it is gone, its nets are one, and 4 are spent.
void Prover::contract(bool on_board, int part) {
    Aspect& aspect = on_board ? board_ : drawing_;
    const auto [a, b] = across(on_board, part);
    aspect.gone[part] = 1;
    aspect.may_compose[part] = 0;
    for (int t = aspect.side->first[part]; t < aspect.side->first[part + 1]; ++t) std::erase(aspect.on[aspect.net[t]], t);
    if (a != b) {
        for (int& net : aspect.net) if (net == b) net = a;
        aspect.on[a].insert(aspect.on[a].end(), aspect.on[b].begin(), aspect.on[b].end());
        aspect.on[b].clear();
        // Multipliers of the other side's terminals towards the two nets: the greater holds for both.
        if (on_board) {
            for (int t = 0; t < drawing_.side->terminals(); ++t) multiplier_[mu(t, a)] = std::max(multiplier_[mu(t, a)], multiplier_[mu(t, b)]);
            for (int n = 0; n < drawn_; ++n) banned_[cell(n, a)] = banned_[cell(n, a)] && banned_[cell(n, b)];
        } else {
            for (int f = 0; f < board_.side->terminals(); ++f) multiplier_[nu(f, a)] = std::max(multiplier_[nu(f, a)], multiplier_[nu(f, b)]);
            for (int n = 0; n < found_; ++n) banned_[cell(a, n)] = banned_[cell(a, n)] && banned_[cell(b, n)];
        }
    }
    std::erase_if(candidates_, [&](const Candidate& c) { return on_board ? c.q == part : c.p == part; });
    target_ -= costs::series;
    best_ = nothing_known;
    cleared_ = false;
    last_.clear();
    find_possible_cells();
    charge();
    arrange();
}

void Prover::push_slope(std::size_t at, double by) {
    if (slope_[at] == 0) touched_.push_back(at);
    slope_[at] += by;
    if (slope_[at] == 0) slope_[at] = 1e-30;   // stays touched
}

// How the bound changes with each multiplier: one rises where a terminal is kept but its cell is not, and falls where the cell is
// kept without it.
void Prover::collect_slope() {
    auto kept = [&](int t, int f) {
        const int a = drawing_.net[t], x = board_.net[f];
        if (banned_[cell(a, x)] || multiplier_[mu(t, x)] + multiplier_[nu(f, a)] >= costs::moved) return;
        push_slope(mu(t, x), 1);
        push_slope(nu(f, a), 1);
    };
    for (int p = 0; p < drawing_.side->parts(); ++p) {
        const int e = parts_.entry_of_row[p];
        if (e < 0) continue;
        const Candidate& c = candidates_[e];
        const std::int8_t* map = c.maps->map(best_map_[e]);
        for (int i = 0; i < c.maps->terminals; ++i)
            if (map[i] != none) kept(drawing_.side->first[c.p] + i, board_.side->first[c.q] + map[i]);
    }

    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            if (cells_.entry_of_row[a] != e && earns_[cell(a, x)] <= cell_price(a, x)) continue;
            for (int t : drawing_.on[a]) push_slope(mu(t, x), -1);
            for (int f : board_.on[x]) push_slope(nu(f, a), -1);
        }
}

// One subgradient step with some of the last one's direction.
void Prover::step(double now) {
    slope_.resize(multiplier_.size(), 0);
    touched_.clear();
    collect_slope();
    double norm = 0;
    for (std::size_t i : touched_) {
        const double g = slope_[i], value = multiplier_[i];
        if ((g < 0 && value <= 0) || (g > 0 && value >= costs::moved)) slope_[i] = 1e-30;   // cannot go there
        else norm += g * g;
    }
    constexpr double momentum = 0.4;
    if (norm > 0.5) {
        const double size = stride_ * (target_ + 0.3 - now) / norm;
        for (const Change& change : last_) push_slope(change.at, momentum * change.by);
        last_.clear();
        for (std::size_t i : touched_) {
            const double by = slope_[i];
            if (std::abs(by) < 0.02) continue;
            change(i, std::clamp<double>(multiplier_[i] + size * by, 0, costs::moved));
            last_.push_back({i, by});
        }
    }
    for (std::size_t i : touched_) slope_[i] = 0;
}

}  // namespace tallyboard::detail
