#include "compare/bound.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <vector>

#include "compare/assignment.h"
#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
// Rounding of sums of some ten thousand doubles stays far below; costs are whole numbers.
constexpr double margin = 1e-4;
constexpr double nothing_known = -1e9;

// What leaving a part over (e) and a further cell (s) may be charged where a composite may stand, and up to which cost of a
// pairing that holds: found by trying every small shape of joined nets, see docs/comparing.md. The greatest charge that is safe
// below the cost to be proved is used.
struct Charge { double piece, part; int safe_below; };
constexpr Charge charges[] = {{2, 2, 11}, {1.5, 2, 16}, {1.5, 1.75, 18}, {1.25, 2, 19}, {1.25, 1.75, 23}, {1, 2, 25}, {0, 3, 1 << 30}};

// One side as the proof sees it: nets may be made one and parts taken out.
struct Aspect {
    const Side* side = nullptr;
    std::vector<int> net;            // terminal -> net
    std::vector<char> gone;          // part -> taken out: it is a composite of this branch
    std::vector<char> may_compose;   // part -> a cheaper pairing may have it as a composite
    std::vector<char> soft;          // net -> such a part stands across it
    std::vector<double> alone;       // part -> price of being left over
};

struct Candidate { int p, q; int base; const PinMaps* maps; };

class Prover {
public:
    Prover(const Problem& problem, int cost) : problem_(problem), target_(cost) {
        prepare(problem.drawing, drawing_);
        prepare(problem.board, board_);
        nets_ = {problem.drawing.nets(), problem.board.nets()};
        mu_.assign(static_cast<std::size_t>(problem.drawing.terminals()) * nets_.found, 0);
        nu_.assign(static_cast<std::size_t>(problem.board.terminals()) * nets_.drawn, 0);
        banned_.assign(static_cast<std::size_t>(nets_.drawn) * nets_.found, 0);
        for (int p = 0; p < problem.drawing.parts(); ++p)
            for (int q = 0; q < problem.board.parts(); ++q)
                if (const int base = problem.pair_cost(p, q); base != none) candidates_.push_back({p, q, base, &problem.maps_of(p, q)});
        start_multipliers();
        charge();
        arrange();
    }

    // Steps until proved, stuck, or `steps` are used up. True when proved.
    bool climb(int& steps, int patience) {
        double level = nothing_known;
        int since = 0;
        stride_ = std::max(stride_, 0.3);
        while (steps > 0) {
            --steps;
            const double now = evaluate();
            if (now > best_) best_ = now;
            if (proved()) return true;
            drop_hopeless(now);
            if (now > level + 0.02) {
                level = now;
                since = 0;
            } else if (++since > patience) {
                return false;
            } else if (since % 6 == 0) {
                stride_ *= 0.7;   // the slope turns back and forth: go on in shorter steps
            }
            step(now);
        }
        return false;
    }

    // The whole proof. `depth`: how many composites deep branches may go.
    bool prove(int& steps, int depth) {
        if (target_ <= 0) return true;
        if (climb(steps, depth >= 2 ? 60 : 25)) return true;
        if (depth <= 0) return false;
        // A branch mostly falls within a few steps; one that does not is left until the bound has grown.
        for (int share = 40; steps > 0; share *= 4) {
            while (steps > 0 && clear_some(steps, depth, share)) {
                charge();
                arrange();
                if (climb(steps, 12)) return true;
            }
            if (!any_composite() || share > 10000) return false;
        }
        return false;
    }

    int bound() const { return std::clamp(static_cast<int>(std::ceil(best_ - margin)), 0, std::max(target_, 0)); }

private:
    bool proved() const { return best_ > target_ - 1 + margin; }

    static void prepare(const Side& side, Aspect& aspect) {
        aspect.side = &side;
        aspect.net = side.net;
        aspect.gone.assign(side.parts(), 0);
        aspect.alone.assign(side.parts(), 0);
        for (int part = 0; part < side.parts(); ++part)
            aspect.may_compose.push_back(side.across[part].first != none && side.group[part] == none && side.bound_to[part] == none);
    }

    // Half a unit each way for every place a terminal may go: then a pair that keeps all its terminals pays what its nets earn.
    void start_multipliers() {
        for (const Candidate& c : candidates_)
            each_terminal(c, [&](int t, int f) {
                mu(t, board_.net[f]) = 0.5;
                nu(f, drawing_.net[t]) = 0.5;
            });
        // No cell earns more than a further cell costs: a rail's many terminals share that.
        index_nets();
        for (int a = 0; a < nets_.drawn; ++a)
            for (int x = 0; x < nets_.found; ++x) {
                double r = 0;
                for (int t : on_drawn_[a]) r += mu(t, x);
                for (int f : on_found_[x]) r += nu(f, a);
                if (r <= 2) continue;
                for (int t : on_drawn_[a]) mu(t, x) *= 2 / r;
                for (int f : on_found_[x]) nu(f, a) *= 2 / r;
            }
    }

    double& mu(int t, int x) { return mu_[static_cast<std::size_t>(t) * nets_.found + x]; }
    double& nu(int f, int a) { return nu_[static_cast<std::size_t>(f) * nets_.drawn + a]; }
    char& banned(int a, int x) { return banned_[static_cast<std::size_t>(a) * nets_.found + x]; }

    template <class Visit>
    void each_terminal(const Candidate& c, const Visit& visit) const {
        const int from = problem_.drawing.first[c.p], to = problem_.board.first[c.q];
        for (int k = 0; k < c.maps->count; ++k)
            for (int i = 0; i < c.maps->terminals; ++i)
                if (const int j = c.maps->map(k)[i]; j != none) visit(from + i, to + j);
    }

    // Prices of leaving over and of further cells, as far as composites are cleared.
    void charge() {
        for (Aspect* aspect : {&drawing_, &board_}) {
            aspect->soft.assign(aspect->side->nets(), 0);
            for (int part = 0; part < aspect->side->parts(); ++part) {
                if (!aspect->may_compose[part] || aspect->gone[part]) continue;
                for (int t = aspect->side->first[part]; t < aspect->side->first[part + 1]; ++t) aspect->soft[aspect->net[t]] = 1;
            }
        }
        Charge now = charges[0];
        for (const Charge& charge : charges) {
            now = charge;
            if (target_ <= charge.safe_below) break;
        }
        soft_piece_ = now.piece;
        for (Aspect* aspect : {&drawing_, &board_})
            for (int part = 0; part < aspect->side->parts(); ++part) {
                const double whole = aspect->side->leave[part];
                aspect->alone[part] = aspect->may_compose[part] ? std::min<double>(whole, now.part) : whole;
            }
    }
    double piece_price(int a, int x) const { return drawing_.soft[a] || board_.soft[x] ? soft_piece_ : costs::piece; }

    // The two assignments' shapes from the candidates left.
    void arrange() {
        parts_ = {};
        const int rows = problem_.drawing.parts();
        std::stable_sort(candidates_.begin(), candidates_.end(), [](const Candidate& a, const Candidate& b) { return a.p < b.p; });
        parts_.first.assign(rows + 1, 0);
        for (const Candidate& c : candidates_) ++parts_.first[c.p + 1], parts_.column.push_back(c.q);
        for (int p = 0; p < rows; ++p) parts_.first[p + 1] += parts_.first[p];
        parts_.cost.assign(candidates_.size(), 0);
        parts_.columns = problem_.board.parts();
        best_map_.assign(candidates_.size(), 0);

        // Cells that some candidate can fill.
        std::vector<char> possible(banned_.size(), 0);
        for (const Candidate& c : candidates_)
            each_terminal(c, [&](int t, int f) { possible[static_cast<std::size_t>(drawing_.net[t]) * nets_.found + board_.net[f]] = 1; });
        cells_ = {};
        cells_.first.assign(1, 0);
        for (int a = 0; a < nets_.drawn; ++a) {
            for (int x = 0; x < nets_.found; ++x)
                if (possible[static_cast<std::size_t>(a) * nets_.found + x] && !banned(a, x)) cells_.column.push_back(x);
            cells_.first.push_back(static_cast<int>(cells_.column.size()));
        }
        cells_.cost.assign(cells_.column.size(), 0);
        cells_.alone.assign(nets_.drawn, 0);
        cells_.columns = nets_.found;
        earns_.assign(cells_.column.size(), 0);
        index_nets();
        dropped_ = 0;
    }

    void index_nets() {
        auto fill = [](const Aspect& aspect, int nets, std::vector<std::vector<int>>& on) {
            on.assign(nets, {});
            for (int t = 0; t < aspect.side->terminals(); ++t)
                if (!aspect.gone[aspect.side->part[t]]) on[aspect.net[t]].push_back(t);
        };
        fill(drawing_, nets_.drawn, on_drawn_);
        fill(board_, nets_.found, on_found_);
    }

    double price_of(const Candidate& c, int& best_map) {
        double least = infinite;
        const int from = problem_.drawing.first[c.p], to = problem_.board.first[c.q];
        for (int k = 0; k < c.maps->count; ++k) {
            double sum = c.base + (k < c.maps->allowed ? 0 : costs::reversed);
            const std::int8_t* map = c.maps->map(k);
            for (int i = 0; i < c.maps->terminals && sum < least; ++i) {
                if (map[i] == none) continue;
                const int t = from + i, f = to + map[i], a = drawing_.net[t], x = board_.net[f];
                sum += banned(a, x) ? costs::moved : std::min<double>(costs::moved, mu(t, x) + nu(f, a));
            }
            if (sum < least) least = sum, best_map = k;
        }
        return least;
    }

    // The bound at these multipliers.
    double evaluate() {
        parts_.alone.assign(drawing_.alone.begin(), drawing_.alone.end());
        double total = 0;
        for (int p = 0; p < problem_.drawing.parts(); ++p) if (drawing_.gone[p]) parts_.alone[p] = 0;
        for (int q = 0; q < problem_.board.parts(); ++q) if (!board_.gone[q]) total += board_.alone[q];
        for (std::size_t i = 0; i < candidates_.size(); ++i) {
            const Candidate& c = candidates_[i];
            parts_.cost[i] = price_of(c, best_map_[i]) - board_.alone[c.q];
        }
        total += parts_.solve();

        for (int a = 0; a < nets_.drawn; ++a)
            for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
                const int x = cells_.column[e];
                double r = 0;
                for (int t : on_drawn_[a]) r += mu(t, x);
                for (int f : on_found_[x]) r += nu(f, a);
                const double s = piece_price(a, x);
                earns_[e] = r;
                cells_.cost[e] = -std::min(r, s);
                total -= std::max(0.0, r - s);
            }
        return total + cells_.solve();
    }

    // Leaves out candidates and cells that no pairing below the target can use at this bound.
    void drop_hopeless(double now) {
        const double room = target_ - 1 + margin - now;
        for (int a = 0; a < nets_.drawn; ++a)
            for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
                const int x = cells_.column[e];
                if (banned(a, x)) continue;
                const double as_one = cells_.cost[e] - cells_.u[a] - cells_.v[x], further = piece_price(a, x) - earns_[e];
                if (std::min(as_one, further) > room) banned(a, x) = 1, ++dropped_;
            }
        std::size_t kept = 0;
        for (std::size_t i = 0; i < candidates_.size(); ++i) {
            const Candidate& c = candidates_[i];
            if (parts_.cost[i] - parts_.u[c.p] - parts_.v[c.q] > room) parts_.cost[i] = infinite, ++dropped_;
            else ++kept;
        }
        note_leaving(room);
        if (dropped_ > 0) {
            std::size_t to = 0;
            for (std::size_t i = 0; i < candidates_.size(); ++i) if (parts_.cost[i] != infinite) candidates_[to++] = candidates_[i];
            candidates_.resize(to);
            const Assignment parts = std::move(parts_), cells = std::move(cells_);
            // Nothing of the multipliers changes, but arrangements are shorter; duals carry over.
            arrange();
            parts_.u = parts.u, parts_.v = parts.v;
            cells_.u = cells.u, cells_.v = cells.v;
            fresh_ = true;
        }
    }

    // Parts that a cheaper pairing cannot leave over are no composites.
    void note_leaving(double room) {
        for (int p = 0; p < problem_.drawing.parts(); ++p)
            if (!drawing_.gone[p] && drawing_.may_compose[p] && parts_.alone[p] - parts_.u[p] > room) drawing_.may_compose[p] = 0, cleared_ = true;
        for (int q = 0; q < problem_.board.parts(); ++q)
            if (!board_.gone[q] && board_.may_compose[q] && -parts_.v[q] > room) board_.may_compose[q] = 0, cleared_ = true;
    }

    // Supposes one part after the other to be a composite, each with at most `share` steps, until some are cleared. True if any.
    bool clear_some(int& steps, int depth, int share) {
        int cleared = cleared_ ? 1 : 0;
        cleared_ = false;
        std::vector<std::pair<bool, int>> waiting = composites();
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

    bool any_composite() const {
        for (const Aspect* aspect : {&drawing_, &board_})
            for (std::size_t part = 0; part < aspect->may_compose.size(); ++part)
                if (aspect->may_compose[part] && !aspect->gone[part]) return true;
        return false;
    }

    // The parts that may still be composites, those first that a cheaper pairing could least easily leave over: they fall at once.
    std::vector<std::pair<bool, int>> composites() const {
        std::vector<std::tuple<double, bool, int>> list;
        for (int p = 0; p < problem_.drawing.parts(); ++p)
            if (!drawing_.gone[p] && drawing_.may_compose[p]) list.emplace_back(parts_.u[p] - drawing_.alone[p], false, p);
        for (int q = 0; q < problem_.board.parts(); ++q)
            if (!board_.gone[q] && board_.may_compose[q]) list.emplace_back(parts_.v[q], true, q);
        std::sort(list.begin(), list.end());
        std::vector<std::pair<bool, int>> out;
        for (auto [rise, on_board, part] : list) out.emplace_back(on_board, part);
        return out;
    }

    void step(double now);

    // Supposes that the part is a composite: it is gone, its nets are one, and 4 are spent.
    void contract(bool on_board, int part) {
        Aspect& aspect = on_board ? board_ : drawing_;
        int a = none, b = none;
        const auto [first, second] = aspect.side->across[part];
        for (int t = aspect.side->first[part]; t < aspect.side->first[part + 1]; ++t) {
            if (aspect.side->net[t] == first) a = aspect.net[t];
            if (aspect.side->net[t] == second) b = aspect.net[t];
        }
        aspect.gone[part] = 1;
        aspect.may_compose[part] = 0;
        if (a != b) {
            for (int& net : aspect.net) if (net == b) net = a;
            // Multipliers of the other side's terminals towards the two nets: the greater holds for both.
            if (on_board) {
                for (int t = 0; t < problem_.drawing.terminals(); ++t) mu(t, a) = std::max(mu(t, a), mu(t, b));
                for (int n = 0; n < nets_.drawn; ++n) banned(n, a) = banned(n, a) && banned(n, b);
            } else {
                for (int f = 0; f < problem_.board.terminals(); ++f) nu(f, a) = std::max(nu(f, a), nu(f, b));
                for (int n = 0; n < nets_.found; ++n) banned(a, n) = banned(a, n) && banned(b, n);
            }
        }
        std::erase_if(candidates_, [&](const Candidate& c) { return on_board ? c.q == part : c.p == part; });
        target_ -= costs::series;
        best_ = nothing_known;
        cleared_ = false;
        last_.clear();
        charge();
        arrange();
    }

    const Problem& problem_;
    int target_;
    Aspect drawing_, board_;
    struct { int drawn = 0, found = 0; } nets_;
    std::vector<double> mu_, nu_;
    std::vector<char> banned_;
    std::vector<Candidate> candidates_;
    Assignment parts_, cells_;
    std::vector<int> best_map_;
    std::vector<double> earns_;
    std::vector<std::vector<int>> on_drawn_, on_found_;
    double soft_piece_ = 0, best_ = nothing_known;
    double stride_ = 1;   // share of the step that would reach the target on a straight slope
    int dropped_ = 0;
    bool cleared_ = false, fresh_ = false;
    struct Change { std::size_t at; double by; };   // at: index into mu_, or mu_.size() + index into nu_
    std::vector<Change> last_;
    std::vector<double> slope_;
};

// One subgradient step with some of the last one's direction. A multiplier rises where a terminal is kept but its cell is not,
// and falls where the cell is kept without it.
void Prover::step(double now) {
    if (fresh_) {   // the arrangement has changed: the assignments' choices are gone
        evaluate();
        fresh_ = false;
    }
    slope_.resize(mu_.size() + nu_.size(), 0);
    std::vector<std::size_t> touched;
    auto push = [&](std::size_t at, double by) {
        if (slope_[at] == 0) touched.push_back(at);
        slope_[at] += by;
        if (slope_[at] == 0) slope_[at] = 1e-30;   // stays touched
    };
    constexpr double momentum = 0.4;
    for (int p = 0; p < problem_.drawing.parts(); ++p) {
        const int e = parts_.entry_of_row[p];
        if (e < 0) continue;
        const Candidate& c = candidates_[e];
        const std::int8_t* map = c.maps->map(best_map_[e]);
        for (int i = 0; i < c.maps->terminals; ++i) {
            if (map[i] == none) continue;
            const int t = problem_.drawing.first[c.p] + i, f = problem_.board.first[c.q] + map[i], a = drawing_.net[t], x = board_.net[f];
            if (banned(a, x) || mu(t, x) + nu(f, a) >= costs::moved) continue;
            push(static_cast<std::size_t>(t) * nets_.found + x, 1);
            push(mu_.size() + static_cast<std::size_t>(f) * nets_.drawn + a, 1);
        }
    }
    for (int a = 0; a < nets_.drawn; ++a)
        for (int e = cells_.first[a]; e < cells_.first[a + 1]; ++e) {
            const int x = cells_.column[e];
            if (cells_.entry_of_row[a] != e && earns_[e] <= piece_price(a, x)) continue;
            for (int t : on_drawn_[a]) push(static_cast<std::size_t>(t) * nets_.found + x, -1);
            for (int f : on_found_[x]) push(mu_.size() + static_cast<std::size_t>(f) * nets_.drawn + a, -1);
        }
    auto at = [&](std::size_t i) -> double& { return i < mu_.size() ? mu_[i] : nu_[i - mu_.size()]; };
    double norm = 0;
    for (std::size_t i : touched) {
        const double g = slope_[i], value = at(i);
        if ((g < 0 && value <= 0) || (g > 0 && value >= costs::moved)) slope_[i] = 1e-30;   // cannot go there
        else norm += g * g;
    }
    if (norm > 0.5) {
        const double size = stride_ * (target_ + 0.3 - now) / norm;
        for (const Change& change : last_) push(change.at, momentum * change.by);
        last_.clear();
        std::sort(touched.begin(), touched.end());
        for (std::size_t i : touched) {
            const double by = slope_[i];
            if (std::abs(by) < 0.02) continue;
            at(i) = std::clamp<double>(at(i) + size * by, 0, costs::moved);
            last_.push_back({i, by});
        }
    }
    for (std::size_t i : touched) slope_[i] = 0;
}

}  // namespace

int lower_bound(const Problem& problem, int cost, int steps) {
    if (cost <= 0) return 0;
    Prover prover(problem, cost);
    const bool proved = prover.prove(steps, 3);
    return proved ? cost : std::min(prover.bound(), cost);
}

}  // namespace tallyboard::detail
