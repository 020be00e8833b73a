#include "compare/prover.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
// Rounding of sums of some ten thousand doubles stays far below; costs are whole numbers.
constexpr double margin = 1e-4;
constexpr double nothing_known = -1e9;

}  // namespace

Prover::Prover(const Region& region, const Solution& answer, int target) : region_(&region), target_(target), candidates_(region.candidates) {
    drawing_.at = region.drawing;
    board_.at = region.board;
    for (Aspect* aspect : {&drawing_, &board_}) {
        const Side& side = *aspect->at.side;
        const int parts = aspect->at.count();
        aspect->gone.assign(parts, 0);
        aspect->alone.assign(parts, 0);
        aspect->left.assign(parts, 0);
        aspect->out_map.assign(parts, 0);
        aspect->out_maps.assign(parts, nullptr);
        aspect->firm.assign(parts, 0);
        aspect->out_pin.assign(aspect->at.terminals(), 0);
        aspect->out_price.assign(aspect->at.terminals(), 0);
        for (int part : aspect->at.parts)
            aspect->may_compose.push_back(side.across[part].first != none && side.group[part] == none && side.bound_to[part] == none);
    }
    std::vector<char> paired(board_.at.side->parts(), 0);
    for (std::size_t p = 0; p < answer.partner.size(); ++p) if (answer.partner[p] != none) paired[answer.partner[p]] = 1;
    for (int p = 0; p < drawing_.at.count(); ++p) {
        const int part = drawing_.at.parts[p];
        drawing_.firm[p] = answer.partner[part] == none && !std::binary_search(answer.bypassed.begin(), answer.bypassed.end(), part);
    }
    for (int q = 0; q < board_.at.count(); ++q) {
        const int part = board_.at.parts[q];
        board_.firm[q] = !paired[part] && !std::binary_search(answer.inserted.begin(), answer.inserted.end(), part);
    }
    drawn_ = region.drawing.nets;
    found_ = region.board.nets;
    nu_ = static_cast<std::size_t>(region.drawing.terminals()) * found_;
    out_drawn_ = nu_ + static_cast<std::size_t>(region.board.terminals()) * drawn_;
    out_found_ = out_drawn_ + region.drawing.terminals();
    multiplier_.assign(out_found_ + region.board.terminals(), 0);
    banned_.assign(static_cast<std::size_t>(drawn_) * found_, 0);
    find_possible_cells();
    charge();
    start_multipliers();
    arrange();
}

int Prover::bound() const { return std::clamp(static_cast<int>(std::ceil(best_ - margin)), 0, std::max(target_, 0)); }

// No cell with a net outside may earn more than it is charged: there are too many of them. What surrounds that net is not known.
void Prover::limit_outside() {
    for (bool on_board : {false, true}) {
        const Aspect& aspect = on_board ? board_ : drawing_;
        if ((on_board ? drawing_ : board_).at.whole) continue;
        for (int n = 0; n < aspect.at.nets; ++n) {
            double sum = 0;
            for (int t : aspect.at.on[n]) sum += multiplier_[out(on_board, t)];
            if (const double limit = out_limit(aspect, n); sum > limit)
                for (int t : aspect.at.on[n]) multiplier_[out(on_board, t)] *= limit / sum;
        }
    }
}

// Each net pays half of what its cells may earn, shared by its terminals: then a pair that keeps all its terminals pays what
// its nets earn, and no cell is worth keeping beside another.
void Prover::start_multipliers() {
    const double half = std::min<double>(soft_.further, 2) / 2;
    for (int a = 0; a < drawn_; ++a)
        for (int x = 0; x < found_; ++x) {
            if (!possible_[cell(a, x)]) continue;
            for (int t : drawing_.at.on[a]) multiplier_[mu(t, x)] = std::min(1.0, half / static_cast<double>(drawing_.at.on[a].size()));
            for (int f : board_.at.on[x]) multiplier_[nu(f, a)] = std::min(1.0, half / static_cast<double>(board_.at.on[x].size()));
        }
    for (bool on_board : {false, true}) {
        const RegionSide& at = on_board ? board_.at : drawing_.at;
        if ((on_board ? drawing_.at : board_.at).whole) continue;
        for (int t = 0; t < at.terminals(); ++t) multiplier_[out(on_board, t)] = std::min(2.0, half / static_cast<double>(at.on[at.net[t]].size()));
    }
}

std::pair<int, int> Prover::across(bool on_board, int part) const {
    const RegionSide& at = (on_board ? board_ : drawing_).at;
    const auto [first, second] = at.side->across[at.parts[part]];
    std::pair<int, int> out{none, none};
    const int from = at.side->first[at.parts[part]];
    for (int t = at.first[part]; t < at.first[part + 1]; ++t) {
        const int net = at.side->net[from + t - at.first[part]];
        if (net == first) out.first = at.net[t];
        if (net == second) out.second = at.net[t];
    }
    return out;
}

// How many composites may come together at most: parts that may be composites, connected by nets, make a tree. A cell may
// connect those of one side with those of the other, so their numbers are added.
int Prover::together() const {
    int most = 0;
    for (const Aspect* aspect : {&drawing_, &board_}) {
        if (!aspect->at.whole) return 1 << 20;
        std::vector<int> parent(aspect->at.nets), size(aspect->at.nets, 0);
        for (int n = 0; n < aspect->at.nets; ++n) parent[n] = n;
        auto root = [&](int n) {
            while (parent[n] != n) n = parent[n] = parent[parent[n]];
            return n;
        };
        for (int part = 0; part < aspect->at.count(); ++part) {
            if (!aspect->may_compose[part] || aspect->gone[part]) continue;
            const auto [x, y] = across(aspect == &board_, part);
            const int a = root(x), b = root(y);
            if (a == b) continue;
            parent[b] = a;
            size[a] += size[b] + 1;
        }
        most += aspect->at.nets == 0 ? 0 : *std::max_element(size.begin(), size.end());
    }
    return most;
}

// A part is no composite of a cheaper pairing where the nets that composites could make one with its own hold cells on one of them
// at most: being left over is cheaper then.
void Prover::clear_idle() {
    for (bool on_board : {false, true}) {
        Aspect& aspect = on_board ? board_ : drawing_;
        if (!aspect.at.whole) continue;
        std::vector<int> parent(aspect.at.nets), filled(aspect.at.nets, 0);
        for (int n = 0; n < aspect.at.nets; ++n) {
            parent[n] = n;
            for (int m = 0; m < (on_board ? drawn_ : found_); ++m) {
                const std::size_t here = on_board ? cell(m, n) : cell(n, m);
                if (possible_[here] && !banned_[here]) filled[n] = 1;
            }
        }
        auto root = [&](int n) {
            while (parent[n] != n) n = parent[n] = parent[parent[n]];
            return n;
        };
        for (int part = 0; part < aspect.at.count(); ++part) {
            if (!aspect.may_compose[part] || aspect.gone[part]) continue;
            const auto [x, y] = across(on_board, part);
            const int a = root(x), b = root(y);
            if (a != b) parent[b] = a, filled[a] += filled[b];
        }
        for (int part = 0; part < aspect.at.count(); ++part)
            if (aspect.may_compose[part] && !aspect.gone[part] && filled[root(across(on_board, part).first)] < 2) aspect.may_compose[part] = 0;
    }
}

// Prices of leaving over and of further cells, as far as composites are cleared. Below a cost of 10 no shape of composites has
// more than one straddling net of the other side to spare, and each may have its own charges as long as they come to 4.
void Prover::charge() {
    clear_idle();
    constexpr int mixed_below = 10;
    constexpr std::size_t few = 4;   // on a net of many terminals a weak charge costs more than it keeps
    const bool mixed = target_ <= mixed_below;
    soft_ = mixed ? Charges{1, 3} : safe_charges(together(), target_);
    const bool whole = drawing_.at.whole && board_.at.whole;
    for (Aspect* aspect : {&drawing_, &board_}) {
        aspect->charge.assign(aspect->at.nets, costs::piece);
        if (!whole)
            for (int n = 0; n < aspect->at.nets; ++n) if (aspect->at.open[n]) aspect->charge[n] = soft_.further;
        for (int part = 0; part < aspect->at.count(); ++part) {
            const double price = aspect->at.side->leave[aspect->at.parts[part]];
            aspect->left[part] = price;
            if (!aspect->may_compose[part] || aspect->gone[part]) continue;
            const auto [x, y] = across(aspect == &board_, part);
            const bool firm = mixed && aspect->firm[part] && std::max(aspect->at.on[x].size(), aspect->at.on[y].size()) <= few;
            aspect->left[part] = std::min(price, firm ? 3.0 : soft_.left);
            for (int t = aspect->at.first[part]; t < aspect->at.first[part + 1]; ++t) {
                double& further = aspect->charge[aspect->at.net[t]];
                further = std::min(further, firm ? 1.0 : soft_.further);
            }
        }
    }
}

// Cells that some candidate, or a part outside, can fill.
void Prover::find_possible_cells() {
    possible_.assign(banned_.size(), 0);
    for (const Candidate& c : candidates_) {
        const int from = drawing_.at.first[c.p], to = board_.at.first[c.q];
        for (int k = 0; k < c.maps->count; ++k)
            for (int i = 0; i < c.maps->terminals; ++i)
                if (const int j = c.maps->map(k)[i]; j != none) possible_[cell(drawing_.at.net[from + i], board_.at.net[to + j])] = 1;
    }
    for (int a = 0; a < drawn_; ++a)
        for (int x = 0; x < found_; ++x)
            if ((board_.at.open[x] && !drawing_.at.on[a].empty()) || (drawing_.at.open[a] && !board_.at.on[x].empty())) possible_[cell(a, x)] = 1;
}

// The two assignments' shapes from the candidates left. Choices and duals are kept as far as they stand for the same things.
void Prover::arrange() {
    std::vector<int> chosen_part(drawing_.at.count(), none), chosen_cell(drawn_, none);
    for (std::size_t p = 0; p < parts_.entry_of_row.size(); ++p)
        if (parts_.entry_of_row[p] >= 0) chosen_part[p] = parts_.column[parts_.entry_of_row[p]];
    for (std::size_t a = 0; a < cells_.entry_of_row.size(); ++a)
        if (cells_.entry_of_row[a] >= 0) chosen_cell[a] = cells_.column[cells_.entry_of_row[a]];

    parts_.first.assign(drawing_.at.count() + 1, 0);
    parts_.column.clear();
    for (const Candidate& c : candidates_) ++parts_.first[c.p + 1], parts_.column.push_back(c.q);
    for (int p = 0; p < drawing_.at.count(); ++p) parts_.first[p + 1] += parts_.first[p];
    parts_.cost.assign(candidates_.size(), 0);
    parts_.columns = board_.at.count();
    best_map_.assign(candidates_.size(), 0);

    find_possible_cells();
    cells_.first.assign(1, 0);
    cells_.column.clear();
    for (int a = 0; a < drawn_; ++a) {
        for (int x = 0; x < found_; ++x)
            if (possible_[cell(a, x)] && !banned_[cell(a, x)]) cells_.column.push_back(x);
        cells_.first.push_back(static_cast<int>(cells_.column.size()));
    }
    cells_.cost.assign(cells_.column.size(), 0);
    cells_.alone.assign(drawn_, 0);
    cells_.columns = found_;
    limit_outside();
    parts_.keep_choices(chosen_part);
    cells_.keep_choices(chosen_cell);
    recount_earnings();
    dropped_ = false;
}

void Prover::recount_earnings() {
    earns_.assign(banned_.size(), 0);
    for (int t = 0; t < drawing_.at.terminals(); ++t) {
        if (drawing_.gone[drawing_.at.part[t]]) continue;
        for (int x = 0; x < found_; ++x) earns_[cell(drawing_.at.net[t], x)] += multiplier_[mu(t, x)];
    }
    for (int f = 0; f < board_.at.terminals(); ++f) {
        if (board_.gone[board_.at.part[f]]) continue;
        for (int a = 0; a < drawn_; ++a) earns_[cell(a, board_.at.net[f])] += multiplier_[nu(f, a)];
    }
}

void Prover::change(std::size_t at, double to) {
    const double by = to - multiplier_[at];
    if (by == 0) return;
    multiplier_[at] = to;
    if (at < nu_) {
        const std::size_t t = at / found_;
        if (!drawing_.gone[drawing_.at.part[t]]) earns_[cell(drawing_.at.net[t], static_cast<int>(at % found_))] += by;
    } else if (at < out_drawn_) {
        const std::size_t f = (at - nu_) / drawn_;
        if (!board_.gone[board_.at.part[f]]) earns_[cell(static_cast<int>((at - nu_) % drawn_), board_.at.net[f])] += by;
    }
}

double Prover::price_of(const Candidate& c, int& best_map) const {
    double least = infinite;
    const int from = drawing_.at.first[c.p], to = board_.at.first[c.q];
    for (int k = 0; k < c.maps->count; ++k) {
        double sum = c.base + (k < c.maps->allowed ? 0 : costs::reversed);
        const std::int8_t* map = c.maps->map(k);
        for (int i = 0; i < c.maps->terminals && sum < least; ++i) {
            if (map[i] == none) continue;
            const int t = from + i, f = to + map[i], a = drawing_.at.net[t], x = board_.at.net[f];
            sum += banned_[cell(a, x)] ? costs::moved : std::min<double>(costs::moved, multiplier_[mu(t, x)] + multiplier_[nu(f, a)]);
        }
        if (sum < least) least = sum, best_map = k;
    }
    return least;
}

// What a part would pay at least for a partner outside: its terminals go to nets outside, or to open ones of the region.
void Prover::price_outside(bool on_board) {
    Aspect& aspect = on_board ? board_ : drawing_;
    const Aspect& other = on_board ? drawing_ : board_;
    const auto& out_of = on_board ? region_->found_out : region_->drawn_out;
    aspect.alone = aspect.left;
    std::fill(aspect.out_maps.begin(), aspect.out_maps.end(), nullptr);
    if (other.at.whole) return;
    for (int t = 0; t < aspect.at.terminals(); ++t) {
        aspect.out_pin[t] = none;
        aspect.out_price[t] = std::min<double>(costs::moved, multiplier_[out(on_board, t)]);
        for (int n = 0; n < other.at.nets; ++n) {
            if (!other.at.open[n] || other.at.on[n].empty()) continue;
            const std::size_t at = on_board ? nu(t, n) : mu(t, n), here = on_board ? cell(n, aspect.at.net[t]) : cell(aspect.at.net[t], n);
            if (!banned_[here] && multiplier_[at] < aspect.out_price[t]) aspect.out_price[t] = multiplier_[at], aspect.out_pin[t] = n;
        }
    }
    for (int part = 0; part < aspect.at.count(); ++part) {
        if (aspect.gone[part]) continue;
        for (const Outsider& sort : out_of[part])
            for (int k = 0; k < sort.maps->count; ++k) {
                double sum = sort.base + (k < sort.maps->allowed ? 0 : costs::reversed);
                const std::int8_t* map = sort.maps->map(k);
                for (int i = 0; i < sort.maps->terminals; ++i)
                    if (map[i] != none) sum += aspect.out_price[aspect.at.first[part] + (on_board ? map[i] : i)];
                if (sum < aspect.alone[part]) aspect.alone[part] = sum, aspect.out_maps[part] = sort.maps, aspect.out_map[part] = k;
            }
    }
}

// The bound at these multipliers.
double Prover::evaluate() {
    price_outside(false);
    price_outside(true);
    double total = 0;
    parts_.alone = drawing_.alone;
    for (int p = 0; p < drawing_.at.count(); ++p) if (drawing_.gone[p]) parts_.alone[p] = 0;
    for (int q = 0; q < board_.at.count(); ++q) if (!board_.gone[q]) total += board_.alone[q];
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& c = candidates_[i];
        parts_.cost[i] = price_of(c, best_map_[i]) - board_.alone[c.q];
    }
    return total + parts_.solve() + evaluate_nets();
}

double Prover::evaluate_nets() {
    double total = 0;
    std::vector<double> column_alone(found_, 0);
    for (bool on_board : {false, true}) {
        const Aspect& aspect = on_board ? board_ : drawing_;
        std::vector<double>& alone = on_board ? column_alone : cells_.alone;
        std::fill(alone.begin(), alone.end(), 0);
        if ((on_board ? drawing_ : board_).at.whole) continue;
        for (int t = 0; t < aspect.at.terminals(); ++t)
            if (!aspect.gone[aspect.at.part[t]]) alone[aspect.at.net[t]] -= multiplier_[out(on_board, t)];
    }
    for (double alone : column_alone) total += alone;
    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            const double r = earns_[cell(a, x)], s = cell_price(a, x);
            cells_.cost[e] = -std::min(r, s) - column_alone[x];
            total -= std::max(0.0, r - s);
        }
    return total + cells_.solve();
}

}  // namespace tallyboard::detail
