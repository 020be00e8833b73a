#include "compare/prover.h"

#include <algorithm>
#include <cmath>
#include "base/classes.h"

namespace tallyboard::detail {

Prover::Prover(const Problem& problem, const Solution& answer, int target) : problem_(&problem), target_(target), best_(nothing_known) {
    drawing_.side = &problem.drawing;
    board_.side = &problem.board;
    for (Aspect* aspect : {&drawing_, &board_}) {
        const Side& side = *aspect->side;
        aspect->net = side.net;
        aspect->on.resize(side.nets());
        for (int t = 0; t < side.terminals(); ++t) aspect->on[side.net[t]].push_back(t);
        aspect->gone.assign(side.parts(), 0);
        aspect->left.assign(side.parts(), 0);
        for (int part = 0; part < side.parts(); ++part)
            aspect->may_compose.push_back(side.across[part].first != none && side.group[part] == none && side.bound_to[part] == none);
    }
    board_.firm.assign(problem.board.parts(), 1);
    for (int partner : answer.partner) {
        drawing_.firm.push_back(partner == none);
        if (partner != none) board_.firm[partner] = 0;
    }
    for (int p : answer.bypassed) drawing_.firm[p] = 0;
    for (int q : answer.inserted) board_.firm[q] = 0;
    for (int p = 0; p < problem.drawing.parts(); ++p)
        for (int q = 0; q < problem.board.parts(); ++q)
            if (const int base = problem.pair_cost(p, q); base != none) candidates_.push_back({p, q, base, &problem.maps_of(p, q)});
    drawn_ = problem.drawing.nets();
    found_ = problem.board.nets();
    nu_ = static_cast<std::size_t>(problem.drawing.terminals()) * found_;
    multiplier_.assign(nu_ + static_cast<std::size_t>(problem.board.terminals()) * drawn_, 0);
    banned_.assign(static_cast<std::size_t>(drawn_) * found_, 0);
    find_possible_cells();
    charge();
    start_multipliers();
    arrange();
    parts_.keep_choices(answer.partner);
}

bool Prover::proved() const { return best_ > target_ - 1 + margin; }

int Prover::bound() const { return std::clamp(static_cast<int>(std::ceil(best_ - margin)), 0, std::max(target_, 0)); }

// Each net pays half of what its cells may earn, shared by its terminals: then a pair that keeps all its terminals pays what
// its nets earn, and no cell is worth keeping beside another.
void Prover::start_multipliers() {
    constexpr double half = 1;
    for (int a = 0; a < drawn_; ++a)
        for (int x = 0; x < found_; ++x) {
            if (!possible_[cell(a, x)]) continue;
            for (int t : drawing_.on[a]) multiplier_[mu(t, x)] = std::min(1.0, half / static_cast<double>(drawing_.on[a].size()));
            for (int f : board_.on[x]) multiplier_[nu(f, a)] = std::min(1.0, half / static_cast<double>(board_.on[x].size()));
        }
}

// The nets of a part that may be a composite, as branches leave them.
std::pair<int, int> Prover::across(bool on_board, int part) const {
    const Aspect& aspect = on_board ? board_ : drawing_;
    const auto [first, second] = aspect.side->across[part];
    std::pair<int, int> out{none, none};
    for (int t = aspect.side->first[part]; t < aspect.side->first[part + 1]; ++t) {
        if (aspect.side->net[t] == first) out.first = aspect.net[t];
        if (aspect.side->net[t] == second) out.second = aspect.net[t];
    }
    return out;
}

// How many composites may come together at most: parts that may be composites, connected by nets, make a tree. A cell may
// connect those of one side with those of the other, so their numbers are added.
int Prover::together() const {
    int most = 0;
    for (const Aspect* aspect : {&drawing_, &board_}) {
        Classes one(aspect->side->nets());
        std::vector<int> size(aspect->side->nets(), 0);
        for (int part = 0; part < aspect->side->parts(); ++part) {
            if (!aspect->may_compose[part] || aspect->gone[part]) continue;
            const auto [x, y] = across(aspect == &board_, part);
            const int both = size[one.of(x)] + size[one.of(y)] + 1;
            if (one.join(x, y)) size[one.of(x)] = both;
        }
        most += aspect->side->nets() == 0 ? 0 : *std::max_element(size.begin(), size.end());
    }
    return most;
}

// A part is no composite of a cheaper pairing where the nets that composites could make one with its own hold cells on one of them
// at most: being left over is cheaper then.
void Prover::clear_idle() {
    for (bool on_board : {false, true}) {
        Aspect& aspect = on_board ? board_ : drawing_;
        Classes one(aspect.side->nets());
        std::vector<int> filled(aspect.side->nets(), 0);
        for (int n = 0; n < aspect.side->nets(); ++n)
            for (int m = 0; m < (on_board ? drawn_ : found_); ++m) {
                const std::size_t here = on_board ? cell(m, n) : cell(n, m);
                if (possible_[here] && !banned_[here]) filled[n] = 1;
            }
        for (int part = 0; part < aspect.side->parts(); ++part) {
            if (!aspect.may_compose[part] || aspect.gone[part]) continue;
            const auto [x, y] = across(on_board, part);
            const int both = filled[one.of(x)] + filled[one.of(y)];
            if (one.join(x, y)) filled[one.of(x)] = both;
        }
        for (int part = 0; part < aspect.side->parts(); ++part)
            if (aspect.may_compose[part] && !aspect.gone[part] && filled[one.of(across(on_board, part).first)] < 2) aspect.may_compose[part] = 0;
    }
}

// Prices of leaving over and of further cells, as far as composites are cleared. Below a cost of 10 no shape of composites has
// more than one straddling net of the other side to spare, and each may have its own charges as long as they come to 4.
void Prover::charge() {
    clear_idle();
    constexpr std::size_t few = 4;   // on a net of many terminals a weak charge costs more than it keeps
    const bool mixed = target_ <= cheap;
    const Charges soft = mixed ? Charges{1, 3} : safe_charges(together(), target_);
    for (Aspect* aspect : {&drawing_, &board_}) {
        aspect->charge.assign(aspect->side->nets(), costs::piece);
        for (int part = 0; part < aspect->side->parts(); ++part) {
            const double price = aspect->side->leave[part];
            aspect->left[part] = price;
            if (!aspect->may_compose[part] || aspect->gone[part]) continue;
            const auto [x, y] = across(aspect == &board_, part);
            const bool firm = mixed && aspect->firm[part] && std::max(aspect->on[x].size(), aspect->on[y].size()) <= few;
            aspect->left[part] = std::min(price, firm ? 3.0 : soft.left);
            for (int t = aspect->side->first[part]; t < aspect->side->first[part + 1]; ++t) {
                double& further = aspect->charge[aspect->net[t]];
                further = std::min(further, firm ? 1.0 : soft.further);
            }
        }
    }
}

// Cells that some candidate can fill.
void Prover::find_possible_cells() {
    possible_.assign(banned_.size(), 0);
    for (const Candidate& c : candidates_) {
        const int from = drawing_.side->first[c.p], to = board_.side->first[c.q];
        for (int k = 0; k < c.maps->count; ++k)
            for (int i = 0; i < c.maps->terminals; ++i)
                if (const int j = c.maps->map(k)[i]; j != none) possible_[cell(drawing_.net[from + i], board_.net[to + j])] = 1;
    }
}

// The two assignments' shapes from the candidates left. Choices and duals are kept as far as they stand for the same things.
void Prover::arrange() {
    std::vector<int> chosen_part(drawing_.side->parts(), none), chosen_cell(drawn_, none);
    for (std::size_t p = 0; p < parts_.entry_of_row.size(); ++p)
        if (parts_.entry_of_row[p] >= 0) chosen_part[p] = parts_.column[parts_.entry_of_row[p]];
    for (std::size_t a = 0; a < cells_.entry_of_row.size(); ++a)
        if (cells_.entry_of_row[a] >= 0) chosen_cell[a] = cells_.column[cells_.entry_of_row[a]];

    parts_.first.assign(drawing_.side->parts() + 1, 0);
    parts_.column.clear();
    for (const Candidate& c : candidates_) ++parts_.first[c.p + 1], parts_.column.push_back(c.q);
    for (int p = 0; p < drawing_.side->parts(); ++p) parts_.first[p + 1] += parts_.first[p];
    parts_.cost.assign(candidates_.size(), 0);
    parts_.columns = board_.side->parts();
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
    parts_.keep_choices(chosen_part);
    cells_.keep_choices(chosen_cell);
    recount_earnings();
    dropped_ = false;
}

void Prover::recount_earnings() {
    earns_.assign(banned_.size(), 0);
    for (int t = 0; t < drawing_.side->terminals(); ++t) {
        if (drawing_.gone[drawing_.side->part[t]]) continue;
        for (int x = 0; x < found_; ++x) earns_[cell(drawing_.net[t], x)] += multiplier_[mu(t, x)];
    }
    for (int f = 0; f < board_.side->terminals(); ++f) {
        if (board_.gone[board_.side->part[f]]) continue;
        for (int a = 0; a < drawn_; ++a) earns_[cell(a, board_.net[f])] += multiplier_[nu(f, a)];
    }
}

void Prover::change(std::size_t at, double to) {
    const double by = to - multiplier_[at];
    if (by == 0) return;
    multiplier_[at] = to;
    if (at < nu_) {
        const std::size_t t = at / found_;
        if (!drawing_.gone[drawing_.side->part[t]]) earns_[cell(drawing_.net[t], static_cast<int>(at % found_))] += by;
    } else {
        const std::size_t f = (at - nu_) / drawn_;
        if (!board_.gone[board_.side->part[f]]) earns_[cell(static_cast<int>((at - nu_) % drawn_), board_.net[f])] += by;
    }
}

double Prover::price_of(const Candidate& c, int& best_map) const {
    double least = infinite;
    const int from = drawing_.side->first[c.p], to = board_.side->first[c.q];
    for (int k = 0; k < c.maps->count; ++k) {
        double sum = c.base + (k < c.maps->allowed ? 0 : costs::reversed);
        const std::int8_t* map = c.maps->map(k);
        for (int i = 0; i < c.maps->terminals && sum < least; ++i) {
            if (map[i] == none) continue;
            const int t = from + i, f = to + map[i];
            sum += terminal_price(t, drawing_.net[t], f, board_.net[f]);
        }
        if (sum < least) least = sum, best_map = k;
    }
    return least;
}

// The bound at these multipliers.
double Prover::evaluate() {
    double total = 0;
    parts_.alone = drawing_.left;
    for (int p = 0; p < drawing_.side->parts(); ++p) if (drawing_.gone[p]) parts_.alone[p] = 0;
    for (int q = 0; q < board_.side->parts(); ++q) if (!board_.gone[q]) total += board_.left[q];
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const Candidate& c = candidates_[i];
        parts_.cost[i] = price_of(c, best_map_[i]) - board_.left[c.q];
    }
    return total + parts_.solve() + evaluate_nets();
}

double Prover::evaluate_nets() {
    double total = 0;
    for (int a = 0; a < drawn_; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            const double r = earns_[cell(a, x)], s = cell_price(a, x);
            cells_.cost[e] = -std::min(r, s);
            total -= std::max(0.0, r - s);
        }
    return total + cells_.solve();
}

}  // namespace tallyboard::detail
