#include <algorithm>
#include <limits>

#include "compare/costs.h"
#include "compare/prover.h"

namespace tallyboard::detail {

// What every pair has to spare is taken off the multipliers of its terminals: the parts' bound stays as it is, and cells earn less.
void Prover::take_spare() {
    spare_.assign(out_drawn_, 2.0);
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& c = candidates_[i];
        const double paid = parts_.u[c.p] + parts_.v[c.q] + board_.alone[c.q];
        const int from = drawing_.at.first[c.p], to = board_.at.first[c.q];
        for (int k = 0; k < c.maps->count; ++k) {
            const std::int8_t* map = c.maps->map(k);
            double price = c.base + (k < c.maps->allowed ? 0 : costs::reversed);
            int pins = 0;
            for (int j = 0; j < c.maps->terminals; ++j) {
                if (map[j] == none) continue;
                const int t = from + j, f = to + map[j], a = drawing_.at.net[t], x = board_.at.net[f];
                ++pins;
                price += banned_[cell(a, x)] ? costs::moved : std::min<double>(costs::moved, multiplier_[mu(t, x)] + multiplier_[nu(f, a)]);
            }
            if (pins == 0) continue;
            const double share = std::max(0.0, price - paid) / pins;
            for (int j = 0; j < c.maps->terminals; ++j) {
                if (map[j] == none) continue;
                const int t = from + j, f = to + map[j], a = drawing_.at.net[t], x = board_.at.net[f];
                if (banned_[cell(a, x)]) continue;
                const double over = std::max(0.0, multiplier_[mu(t, x)] + multiplier_[nu(f, a)] - costs::moved), each = (share + over) / 2;
                spare_[mu(t, x)] = std::min(spare_[mu(t, x)], each);
                spare_[nu(f, a)] = std::min(spare_[nu(f, a)], each);
            }
        }
    }
    for (bool on_board : {false, true}) spare_outside(on_board);
    for (std::size_t at = 0; at < spare_.size(); ++at)
        if (spare_[at] > 0 && multiplier_[at] > 0) change(at, std::max(0.0, multiplier_[at] - spare_[at]));
}

// Likewise for partners outside: their price must not fall below what the part pays.
void Prover::spare_outside(bool on_board) {
    Aspect& aspect = on_board ? board_ : drawing_;
    const Aspect& other = on_board ? drawing_ : board_;
    if (other.at.whole) return;
    const auto& out_of = on_board ? region_->found_out : region_->drawn_out;
    std::vector<double> least(aspect.at.terminals(), 0);   // terminal -> what it must go on paying outside
    for (int part = 0; part < aspect.at.count(); ++part) {
        const double paid = on_board ? parts_.v[part] + board_.alone[part] : parts_.u[part];
        for (const Outsider& sort : out_of[part])
            for (int k = 0; k < sort.maps->count; ++k) {
                double sum = sort.base + (k < sort.maps->allowed ? 0 : costs::reversed);
                int pins = 0;
                const std::int8_t* map = sort.maps->map(k);
                for (int i = 0; i < sort.maps->terminals; ++i)
                    if (map[i] != none) sum += aspect.out_price[aspect.at.first[part] + (on_board ? map[i] : i)], ++pins;
                if (pins == 0) continue;
                const double share = std::max(0.0, sum - paid) / pins;
                for (int i = 0; i < sort.maps->terminals; ++i) {
                    if (map[i] == none) continue;
                    const int t = aspect.at.first[part] + (on_board ? map[i] : i);
                    least[t] = std::max(least[t], aspect.out_price[t] - share);
                }
            }
    }
    for (int t = 0; t < aspect.at.terminals(); ++t) {
        if (aspect.gone[aspect.at.part[t]]) continue;
        change(out(on_board, t), std::min(multiplier_[out(on_board, t)], least[t]));
        for (int n = 0; n < other.at.nets; ++n) {
            if (!other.at.open[n]) continue;
            const std::size_t at = on_board ? nu(t, n) : mu(t, n);
            spare_[at] = std::min(spare_[at], std::max(0.0, multiplier_[at] - least[t]));
        }
    }
}

// What every cell may still earn without being worth keeping is given to its terminals.
void Prover::give_room() {
    auto need = [&](std::size_t at) { return 1 / (spare_[at] + 0.02); };
    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            const double as_one = cells_.cost[e] - cells_.u[a] - cells_.v[x], further = cell_price(a, x) - earns_[cell(a, x)];
            const double room = std::min(as_one, further);
            const auto& drawn = drawing_.at.on[a];
            const auto& found = board_.at.on[x];
            if (room < 1e-6 || drawn.empty() || found.empty()) continue;
            // Those get it whose pairs have nothing to spare.
            double all = 0;
            for (int t : drawn) all += need(mu(t, x));
            for (int f : found) all += need(nu(f, a));
            for (int t : drawn) change(mu(t, x), std::min<double>(costs::moved, multiplier_[mu(t, x)] + room * need(mu(t, x)) / all));
            for (int f : found) change(nu(f, a), std::min<double>(costs::moved, multiplier_[nu(f, a)] + room * need(nu(f, a)) / all));
        }
    for (bool on_board : {false, true}) {
        Aspect& aspect = on_board ? board_ : drawing_;
        if ((on_board ? drawing_ : board_).at.whole) continue;
        for (int n = 0; n < aspect.at.nets; ++n) {
            const auto& on = aspect.at.on[n];
            const double room = on_board ? -cells_.v[n] : cells_.alone[n] - cells_.u[n];
            if (room < 1e-6 || on.empty()) continue;
            for (int t : on) change(out(on_board, t), std::min<double>(costs::moved, multiplier_[out(on_board, t)] + room / static_cast<double>(on.size())));
        }
    }
    limit_outside();
}

void Prover::sweep() {
    take_spare();
    evaluate_nets();
    give_room();
}

}  // namespace tallyboard::detail
