#include "solve/linear.h"

#include <Eigen/OrderingMethods>
#include <Eigen/SparseCore>

#include <algorithm>
#include <cmath>

namespace tallyboard::detail {

namespace {

// A diagonal entry is taken as pivot while it is at least this share of the column's largest: it keeps the factors as sparse
// as the order promised, and growth bounded.
constexpr double prefer_diagonal = 0.1;
// Pivots chosen for other values are kept while they are at least this share of the column's largest.
constexpr double keep_pivot = 1e-4;

double size_of(double value) { return std::fabs(value); }
// The larger part stands for the magnitude: right to a factor of 1.5, and much cheaper than hypot.
double size_of(const std::complex<double>& value) { return std::max(std::fabs(value.real()), std::fabs(value.imag())); }

// std::complex's operators go through checks for infinities that the factors never hold.
double product(double a, double b) { return a * b; }
std::complex<double> product(const std::complex<double>& a, const std::complex<double>& b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}
double inverse(double a) { return 1 / a; }
std::complex<double> inverse(const std::complex<double>& a) {
    const double norm = a.real() * a.real() + a.imag() * a.imag();
    if (norm > 1e-280 && norm < 1e280) return {a.real() / norm, -a.imag() / norm};
    return std::complex<double>(1) / a;
}

}  // namespace

std::vector<int> fill_reducing_order(const Pattern& pattern) {
    const int n = pattern.size;
    Eigen::SparseMatrix<double, Eigen::ColMajor, int> matrix(n, n);
    std::vector<Eigen::Triplet<double, int>> entries;
    entries.reserve(pattern.rows.size());
    for (int c = 0; c < n; ++c)
        for (int k = pattern.starts[c]; k < pattern.starts[c + 1]; ++k) entries.emplace_back(pattern.rows[k], c, 1.0);
    matrix.setFromTriplets(entries.begin(), entries.end());
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> permutation;
    Eigen::AMDOrdering<int>()(matrix, permutation);
    return {permutation.indices().data(), permutation.indices().data() + n};
}

template <class T>
SparseLu<T>::SparseLu(const Pattern& pattern, std::vector<int> order) : pattern_(&pattern), order_(std::move(order)) {
    const std::size_t n = order_.size();
    pivot_row_.assign(n, -1);
    step_of_row_.assign(n, -1);
    work_.assign(n, T{});
    mark_.assign(n, -1);
    stack_.resize(n);
    place_.resize(n);
}

template <class T>
std::optional<int> SparseLu<T>::factor(const std::vector<T>& values) {
    if (pivots_known_ && refactor(values)) return {};
    return choose_pivots(values);
}

// The same elimination with new numbers: no searching, no growing.
template <class T>
bool SparseLu<T>::refactor(const std::vector<T>& values) {
    const int n = pattern_->size;
    for (int step = 0; step < n; ++step) {
        const int column = order_[step];
        for (int k = pattern_->starts[column]; k < pattern_->starts[column + 1]; ++k)
            work_[step_of_row_[pattern_->rows[k]]] = values[k];
        for (int k = u_starts_[step]; k < u_starts_[step + 1]; ++k) {
            const int earlier = u_rows_[k];
            const T factor = work_[earlier];
            work_[earlier] = T{};
            u_[k] = factor;
            if (factor == T{}) continue;
            for (int i = l_starts_[earlier]; i < l_starts_[earlier + 1]; ++i) work_[l_rows_[i]] -= product(l_[i], factor);
        }
        const T pivot = work_[step];
        work_[step] = T{};
        double largest = 0;
        for (int i = l_starts_[step]; i < l_starts_[step + 1]; ++i) largest = std::max(largest, size_of(work_[l_rows_[i]]));
        const bool good = size_of(pivot) > 0 && size_of(pivot) >= keep_pivot * largest && std::isfinite(size_of(pivot));
        const T inverted = good ? inverse(pivot) : T{};
        diagonal_[step] = inverted;
        for (int i = l_starts_[step]; i < l_starts_[step + 1]; ++i) {
            l_[i] = product(work_[l_rows_[i]], inverted);
            work_[l_rows_[i]] = T{};
        }
        if (!good) return false;
    }
    return true;
}

// Rows that become nonzero when L's earlier columns are applied to a column of A: found_[from …], in an order in which every
// row comes after those that feed it (depth first, reversed).
template <class T>
void SparseLu<T>::reach(int column, int step) {
    found_.clear();
    for (int k = pattern_->starts[column]; k < pattern_->starts[column + 1]; ++k) {
        const int root = pattern_->rows[k];
        if (mark_[root] == step) continue;
        int depth = 0;
        stack_[0] = root;
        mark_[root] = step;
        place_[0] = step_of_row_[root] < 0 ? 0 : l_starts_[step_of_row_[root]];
        while (depth >= 0) {
            const int at = step_of_row_[stack_[depth]];
            bool deeper = false;
            if (at >= 0) {
                for (int& i = place_[depth]; i < l_starts_[at + 1];) {
                    const int next = l_rows_[i++];
                    if (mark_[next] == step) continue;
                    mark_[next] = step;
                    ++depth;
                    stack_[depth] = next;
                    place_[depth] = step_of_row_[next] < 0 ? 0 : l_starts_[step_of_row_[next]];
                    deeper = true;
                    break;
                }
            }
            if (!deeper) found_.push_back(stack_[depth--]);
        }
    }
    std::reverse(found_.begin(), found_.end());
}

template <class T>
std::optional<int> SparseLu<T>::choose_pivots(const std::vector<T>& values) {
    const int n = pattern_->size;
    pivots_known_ = false;
    std::fill(step_of_row_.begin(), step_of_row_.end(), -1);
    std::fill(mark_.begin(), mark_.end(), -1);
    std::fill(work_.begin(), work_.end(), T{});
    l_starts_.assign(1, 0);
    u_starts_.assign(1, 0);
    for (auto* list : {&l_rows_, &u_rows_}) list->clear();
    l_.clear();
    u_.clear();
    diagonal_.assign(n, T{});

    for (int step = 0; step < n; ++step) {
        const int column = order_[step];
        reach(column, step);
        for (int k = pattern_->starts[column]; k < pattern_->starts[column + 1]; ++k) work_[pattern_->rows[k]] = values[k];
        for (int row : found_) {
            const int at = step_of_row_[row];
            if (at < 0 || work_[row] == T{}) continue;
            for (int i = l_starts_[at]; i < l_starts_[at + 1]; ++i) work_[l_rows_[i]] -= product(l_[i], work_[row]);
        }
        int best = -1;
        double largest = 0;
        for (int row : found_) {
            if (step_of_row_[row] >= 0) continue;
            const double size = size_of(work_[row]);
            if (size > largest) largest = size, best = row;
        }
        if (best < 0 || !std::isfinite(largest)) {
            for (int row : found_) work_[row] = T{};
            return column;
        }
        if (mark_[column] == step && step_of_row_[column] < 0 && size_of(work_[column]) >= prefer_diagonal * largest)
            best = column;
        const T inverted = inverse(work_[best]);
        diagonal_[step] = inverted;
        for (int row : found_) {
            if (row == best) continue;
            if (step_of_row_[row] >= 0) {
                u_rows_.push_back(step_of_row_[row]);
                u_.push_back(work_[row]);
            } else {
                l_rows_.push_back(row);
                l_.push_back(product(work_[row], inverted));
            }
            work_[row] = T{};
        }
        work_[best] = T{};
        step_of_row_[best] = step;
        pivot_row_[step] = best;
        l_starts_.push_back(static_cast<int>(l_rows_.size()));
        u_starts_.push_back(static_cast<int>(u_rows_.size()));
    }

    for (int& row : l_rows_) row = step_of_row_[row];
    // refactor() takes U's entries from the first step to the last.
    std::vector<std::pair<int, T>> column;
    for (int step = 0; step < n; ++step) {
        column.clear();
        for (int k = u_starts_[step]; k < u_starts_[step + 1]; ++k) column.emplace_back(u_rows_[k], u_[k]);
        std::sort(column.begin(), column.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
        for (std::size_t k = 0; k < column.size(); ++k)
            std::tie(u_rows_[u_starts_[step] + k], u_[u_starts_[step] + k]) = column[k];
    }
    pivots_known_ = true;
    return {};
}

template <class T>
void SparseLu<T>::solve(std::vector<T>& b) {
    const int n = pattern_->size;
    for (int step = 0; step < n; ++step) work_[step] = b[pivot_row_[step]];
    for (int step = 0; step < n; ++step) {
        const T known = work_[step];
        if (known == T{}) continue;
        for (int i = l_starts_[step]; i < l_starts_[step + 1]; ++i) work_[l_rows_[i]] -= product(l_[i], known);
    }
    for (int step = n - 1; step >= 0; --step) {
        const T known = work_[step] = product(work_[step], diagonal_[step]);
        if (known == T{}) continue;
        for (int k = u_starts_[step]; k < u_starts_[step + 1]; ++k) work_[u_rows_[k]] -= product(u_[k], known);
    }
    for (int step = 0; step < n; ++step) {
        b[order_[step]] = work_[step];
        work_[step] = T{};
    }
}

template <class T>
void SparseLu<T>::solve_transposed(std::vector<T>& b) {
    const int n = pattern_->size;
    for (int step = 0; step < n; ++step) work_[step] = b[order_[step]];
    for (int step = 0; step < n; ++step) {
        T sum = work_[step];
        for (int k = u_starts_[step]; k < u_starts_[step + 1]; ++k) sum -= product(u_[k], work_[u_rows_[k]]);
        work_[step] = product(sum, diagonal_[step]);
    }
    for (int step = n - 1; step >= 0; --step) {
        T sum = work_[step];
        for (int i = l_starts_[step]; i < l_starts_[step + 1]; ++i) sum -= product(l_[i], work_[l_rows_[i]]);
        work_[step] = sum;
    }
    // work_ is copied out first: b's rows are in another order.
    for (int step = 0; step < n; ++step) b[pivot_row_[step]] = work_[step];
    std::fill(work_.begin(), work_.end(), T{});
}

template class SparseLu<double>;
template class SparseLu<std::complex<double>>;

}  // namespace tallyboard::detail
