#include <algorithm>

#include "compare/prover.h"

namespace tallyboard::detail {

// What every pair has to spare is taken off the multipliers of its terminals: the parts' bound stays as it is, and cells earn less.
void Prover::take_spare() {
    spare_.assign(multiplier_.size(), costs::moved);
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& c = candidates_[i];
        const double paid = parts_.u[c.p] + parts_.v[c.q] + board_.left[c.q];
        const int from = drawing_.side->first[c.p], to = board_.side->first[c.q];
        for (int k = 0; k < c.maps->count; ++k) {
            const std::int8_t* map = c.maps->map(k);
            double price = c.base + (k < c.maps->allowed ? 0 : costs::reversed);
            int pins = 0;
            for (int j = 0; j < c.maps->terminals; ++j) {
                if (map[j] == none) continue;
                const int t = from + j, f = to + map[j], a = drawing_.net[t], x = board_.net[f];
                ++pins;
                price += terminal_price(t, a, f, x);
            }
            if (pins == 0) continue;
            const double share = std::max(0.0, price - paid) / pins;
            for (int j = 0; j < c.maps->terminals; ++j) {
                if (map[j] == none) continue;
                const int t = from + j, f = to + map[j], a = drawing_.net[t], x = board_.net[f];
                if (banned_[cell(a, x)]) continue;
                const double over = std::max(0.0, multiplier_[mu(t, x)] + multiplier_[nu(f, a)] - costs::moved), each = (share + over) / 2;
                spare_[mu(t, x)] = std::min(spare_[mu(t, x)], each);
                spare_[nu(f, a)] = std::min(spare_[nu(f, a)], each);
            }
        }
    }
    for (std::size_t at = 0; at < spare_.size(); ++at)
        if (spare_[at] > 0 && multiplier_[at] > 0) change(at, std::max(0.0, multiplier_[at] - spare_[at]));
}

// What every cell may still earn without being worth keeping is given to its terminals.
void Prover::give_room() {
    auto need = [&](std::size_t at) { return 1 / (spare_[at] + 0.02); };
    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            const double as_one = cells_.cost[e] - cells_.u[a] - cells_.v[x], further = cell_price(a, x) - earns_[cell(a, x)];
            const double room = std::min(as_one, further);
            const auto& drawn = drawing_.on[a];
            const auto& found = board_.on[x];
            if (room < 1e-6 || drawn.empty() || found.empty()) continue;
            // Those get it whose pairs have nothing to spare.
            double all = 0;
            for (int t : drawn) all += need(mu(t, x));
            for (int f : found) all += need(nu(f, a));
            for (int t : drawn) change(mu(t, x), std::min<double>(costs::moved, multiplier_[mu(t, x)] + room * need(mu(t, x)) / all));
            for (int f : found) change(nu(f, a), std::min<double>(costs::moved, multiplier_[nu(f, a)] + room * need(nu(f, a)) / all));
        }
}

void Prover::sweep() {
    take_spare();
    evaluate_nets();
    give_room();
}

}  // namespace tallyboard::detail
