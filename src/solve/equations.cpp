#include "solve/equations.h"

#include <algorithm>
#include <cmath>

namespace tallyboard::detail {

namespace {

// Newton's steps: a voltage has settled when it moves by less than this share of itself and this many volts; a current
// likewise. A thousandth of what a reading is asked for.
constexpr double settled_share = 1e-9;
constexpr double settled_volts = 1e-11;
constexpr double settled_amperes = 1e-15;
// Where rounding keeps voltages moving (a net held by leaks alone), balanced currents are enough.
constexpr double balanced_share = 1e-9;
constexpr double balanced_amperes = 1e-17;
constexpr int patience = 12;            // settled by balance only after that many steps
constexpr int steps_alone = 60;         // without help; circuits that behave need 5 to 20
constexpr int steps_helped = 40;
constexpr int steps_in_all = 3000;
constexpr int damped_after = 25;        // from there on half steps: what swings to and fro comes to rest
constexpr double short_siemens = 1e6;   // what shorts a node for a trial
constexpr double short_circuit = 1e5;   // amperes that no bench has: nothing limits the current there

}  // namespace

Equations::Equations(Network given) : network(std::move(given)), at_rest_(structure_of(network, true)) {
    build_pattern();
    order_ = fill_reducing_order(pattern_);
    lu_ = SparseLu<double>(pattern_, order_);
    values_.assign(pattern_.rows.size(), 0);
    rhs_.assign(network.size(), 0);
    scale_.assign(network.size(), 0);
}

void Equations::build_pattern() {
    const int n = network.size();
    std::vector<std::pair<int, int>> entries;  // column, row
    int locals = 0;
    for (const auto& element : network.elements) {
        offset_.push_back(locals);
        locals += element->size();
        largest_ = std::max(largest_, element->size());
        for (int c : element->at)
            for (int r : element->at)
                if (c >= 0 && r >= 0) entries.emplace_back(c, r);
    }
    held_.assign(locals, 0);
    for (int u = 0; u < n; ++u)
        if (network.unknowns[u].is_node) entries.emplace_back(u, u);
    std::sort(entries.begin(), entries.end());
    entries.erase(std::unique(entries.begin(), entries.end()), entries.end());

    pattern_.size = n;
    pattern_.starts.assign(n + 1, 0);
    for (const auto& [c, r] : entries) {
        ++pattern_.starts[c + 1];
        pattern_.rows.push_back(r);
    }
    for (int c = 0; c < n; ++c) pattern_.starts[c + 1] += pattern_.starts[c];
    const auto place = [&](int r, int c) {
        const auto first = pattern_.rows.begin() + pattern_.starts[c], last = pattern_.rows.begin() + pattern_.starts[c + 1];
        return static_cast<int>(std::lower_bound(first, last, r) - pattern_.rows.begin());
    };
    for (const auto& element : network.elements) {
        std::vector<int>& places = places_.emplace_back();
        for (int r : element->at)
            for (int c : element->at) places.push_back(r >= 0 && c >= 0 ? place(r, c) : -1);
    }
    diagonal_.assign(n, -1);
    for (int u = 0; u < n; ++u)
        if (network.unknowns[u].is_node) diagonal_[u] = place(u, u);
}

void Equations::read_local(const Element& element, const std::vector<double>& x, double* local) const {
    for (int k = 0; k < element.size(); ++k) local[k] = element.at[k] < 0 ? 0 : x[element.at[k]];
}

// Slopes into values_, minus the residual into rhs_, the sum of each equation's terms into scale_. Elements with steep curves are
// worked out where limit() allows and carried on straight from there.
void Equations::assemble(const std::vector<double>& x, double drive, double help, bool first) {
    std::fill(values_.begin(), values_.end(), 0.0);
    std::fill(rhs_.begin(), rhs_.end(), 0.0);
    std::fill(scale_.begin(), scale_.end(), 0.0);
    limited_ = false;
    std::vector<double> now(largest_), moved(largest_), f(largest_), j(largest_ * largest_);
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& element = *network.elements[e];
        const int n = element.size();
        double* const held = held_.data() + offset_[e];
        read_local(element, x, now.data());
        std::vector<int>& places = places_[e];
        const double* at = now.data();
        if (!element.is_linear()) {
            std::copy(now.begin(), now.begin() + n, moved.begin());
            if (!first && element.limit(held, moved.data())) limited_ = true;
            std::copy(moved.begin(), moved.begin() + n, held);
            at = held;
        }
        std::fill(f.begin(), f.begin() + n, 0.0);
        std::fill(j.begin(), j.begin() + n * n, 0.0);
        element.rest(at, drive, f.data(), j.data());
        for (int r = 0; r < n; ++r) {
            const int row = element.at[r];
            if (row < 0) continue;
            double value = f[r], size = r < element.nodes() ? std::fabs(f[r]) : 0;
            for (int c = 0; c < n; ++c) {
                const double slope = j[r * n + c];
                if (slope == 0) continue;
                value += slope * (now[c] - at[c]);
                if (r >= element.nodes()) size += std::fabs(slope * now[c]);
                if (places[r * n + c] >= 0) values_[places[r * n + c]] += slope;
            }
            rhs_[row] -= value;
            scale_[row] += size;
        }
    }
    for (int tie : at_rest_.ties) {
        values_[diagonal_[tie]] += 1;
        rhs_[tie] -= x[tie];
    }
    if (help > 0)
        for (int u = 0; u < network.size(); ++u)
            if (diagonal_[u] >= 0) {
                values_[diagonal_[u]] += help;
                rhs_[u] -= help * x[u];
            }
}

bool Equations::step_is_small(const std::vector<double>& x, const std::vector<double>& step) const {
    for (int u = 0; u < network.size(); ++u) {
        const double floor = network.unknowns[u].is_node ? settled_volts : settled_amperes;
        if (std::fabs(step[u]) > settled_share * std::fabs(x[u]) + floor) return false;
    }
    return true;
}

bool Equations::residual_is_small() const {
    for (int u = 0; u < network.size(); ++u)
        if (std::fabs(rhs_[u]) > balanced_share * scale_[u] + balanced_amperes) return false;
    return true;
}

Equations::Trial Equations::newton(std::vector<double>& x, double drive, double help, int limit) {
    Trial trial;
    const double leap = 4 * network.volts_about + 10;
    std::vector<double> step;
    for (trial.iterations = 0; trial.iterations < limit; ++trial.iterations) {
        assemble(x, drive, help, trial.iterations == 0);
        trial.worst = -1;
        double worst = 0;
        for (int u = 0; u < network.size(); ++u) {
            const double share = std::fabs(rhs_[u]) / (scale_[u] + balanced_amperes);
            if (network.unknowns[u].is_node && share > worst) worst = share, trial.worst = u;
        }
        if (!limited_ && trial.iterations >= patience && residual_is_small()) {
            trial.converged = true;
            return trial;
        }
        if (const std::optional<int> singular = lu_.factor(values_)) {
            trial.worst = *singular;
            return trial;
        }
        step = rhs_;
        lu_.solve(step);
        double share = !network.linear && trial.iterations >= damped_after ? 0.5 : 1;
        bool cut = share < 1;
        for (int u = 0; u < network.size(); ++u) {
            if (!std::isfinite(step[u])) {
                trial.worst = u;
                return trial;
            }
            // No circuit leaps by more than a few times all its sources together: the slope was no guide there.
            if (!network.linear && network.unknowns[u].is_node && std::fabs(step[u]) > leap) {
                step[u] = std::copysign(leap, step[u]);
                cut = true;
            }
        }
        for (int u = 0; u < network.size(); ++u) x[u] += share * step[u];
        // A linear network is there after one step; the second takes out the first one's rounding.
        if (network.linear ? trial.iterations >= 1 : !limited_ && (!cut || share < 1) && trial.iterations > 0 && step_is_small(x, step)) {
            ++trial.iterations;
            trial.converged = true;
            return trial;
        }
    }
    return trial;
}

// Conductances from every net to the reference, from where anything converges down to none.
bool Equations::help_by_conductances(std::vector<double>& x, Rest& rest) {
    std::fill(x.begin(), x.end(), 0.0);
    double help = 1e-2, ratio = 10, reached = 0;
    std::vector<double> good = x;
    while (rest.iterations < steps_in_all) {
        std::vector<double> trial_x = good;
        const Trial trial = newton(trial_x, 1, help, steps_helped);
        rest.iterations += trial.iterations;
        if (trial.converged) {
            good = trial_x;
            if (help == 0) {
                x = good;
                return true;
            }
            reached = help;
            ratio = std::min(ratio * 1.5, 30.0);
            help = help > 1e-13 ? help / ratio : 0;
            continue;
        }
        rest.resists = trial.worst;
        // A net held by leaks alone may need the last conductance only to be found: try without it from there.
        if (reached == 0 || ratio < 1.2) return false;
        ratio = std::sqrt(ratio);
        help = help == 0 ? reached / 10 : reached / ratio;
        if (reached < 1e-14) return false;
    }
    return false;
}

// Sources from nothing up to what they are.
bool Equations::help_by_sources(std::vector<double>& x, Rest& rest) {
    std::fill(x.begin(), x.end(), 0.0);
    double reached = 0, by = 0.1;
    while (rest.iterations < steps_in_all && by > 1e-5) {
        const double drive = std::min(1.0, reached + by);
        std::vector<double> trial_x = x;
        const Trial trial = newton(trial_x, drive, 0, steps_helped);
        rest.iterations += trial.iterations;
        if (!trial.converged) {
            rest.resists = trial.worst;
            by /= 4;
            continue;
        }
        x = trial_x;
        reached = drive;
        if (reached >= 1) return true;
        by = std::min(by * 2, 0.25);
    }
    return false;
}

Rest Equations::find_rest(const std::vector<double>& start) {
    Rest rest;
    rest.x = start.size() == static_cast<std::size_t>(network.size()) ? start : std::vector<double>(network.size(), 0);
    Trial trial = newton(rest.x, 1, 0, steps_alone);
    rest.iterations = trial.iterations;
    rest.converged = trial.converged;
    rest.resists = trial.worst;
    if (!rest.converged && !network.linear) {
        if (help_by_conductances(rest.x, rest)) {
            rest.converged = true;
            rest.help = Rest::Help::conductances;
        } else if (help_by_sources(rest.x, rest)) {
            rest.converged = true;
            rest.help = Rest::Help::sources;
        }
    }
    for (int u = 0; u < network.size() && !rest.short_circuit; ++u)
        if (!network.unknowns[u].is_node && std::fabs(rest.x[u]) > short_circuit) {
            rest.converged = false;
            rest.short_circuit = true;
            rest.resists = u;
        }
    slopes_at_.clear();
    return rest;
}

std::optional<std::vector<double>> Equations::adjoint(std::vector<double> b) {
    lu_.solve_transposed(b);
    for (double value : b)
        if (!std::isfinite(value)) return {};
    return b;
}

void Equations::add_residual(int e, const std::vector<double>& x, double sign, std::vector<double>& f) const {
    const Element& element = *network.elements[e];
    std::vector<double> local(element.size()), out(element.size(), 0), j(element.size() * element.size(), 0);
    read_local(element, x, local.data());
    element.rest(local.data(), 1, out.data(), j.data());
    for (int r = 0; r < element.size(); ++r)
        if (element.at[r] >= 0) f[element.at[r]] += sign * out[r];
}

std::vector<double> Equations::residual(const std::vector<double>& x) const {
    std::vector<double> f(network.size(), 0);
    for (std::size_t e = 0; e < network.elements.size(); ++e) add_residual(static_cast<int>(e), x, 1, f);
    return f;
}

const Structure& Equations::moving() {
    if (!moving_) moving_ = structure_of(network, false);
    return *moving_;
}

const std::vector<std::complex<double>>* Equations::at_frequency(const std::vector<double>& x, double omega,
                                                                 const std::vector<int>& shorted) {
    if (network.source < 0) return nullptr;
    if (!moving_lu_) {
        moving_lu_.emplace(pattern_, order_);
        moving_values_.resize(pattern_.rows.size());
        moving_x_.resize(network.size());
    }
    std::vector<double> local(largest_), f(largest_);
    if (slopes_at_ != x || slopes_.empty()) {
        slopes_.clear();
        for (const auto& element : network.elements) {
            const std::size_t from = slopes_.size();
            slopes_.resize(from + element->size() * element->size(), 0.0);
            read_local(*element, x, local.data());
            std::fill(f.begin(), f.end(), 0.0);
            element->rest(local.data(), 1, f.data(), slopes_.data() + from);
        }
        slopes_at_ = x;
    }
    std::fill(moving_values_.begin(), moving_values_.end(), std::complex<double>());
    std::vector<std::complex<double>> y(largest_ * largest_);
    std::size_t from = 0;
    for (std::size_t e = 0; e < network.elements.size(); ++e) {
        const Element& element = *network.elements[e];
        const int n = element.size(), entries = n * n;
        for (int k = 0; k < entries; ++k) y[k] = slopes_[from + k];
        from += entries;
        read_local(element, x, local.data());
        element.moving(local.data(), omega, y.data());
        for (int k = 0; k < entries; ++k)
            if (places_[e][k] >= 0) moving_values_[places_[e][k]] += y[k];
    }
    for (int tie : moving().ties) moving_values_[diagonal_[tie]] += 1.0;
    for (int node : shorted)
        if (node >= 0) moving_values_[diagonal_[node]] += short_siemens;
    if (moving_lu_->factor(moving_values_)) return nullptr;
    std::fill(moving_x_.begin(), moving_x_.end(), std::complex<double>());
    moving_x_[network.source] = 1;
    moving_lu_->solve(moving_x_);
    return &moving_x_;
}

}  // namespace tallyboard::detail
