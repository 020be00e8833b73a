#pragma once

#include <complex>
#include <optional>
#include <vector>

namespace tallyboard::detail {

// Places of the entries of a square sparse matrix, column by column: rows[starts[c]] … rows[starts[c + 1] - 1] are column c's,
// rising. A matrix's values stand in the same order.
struct Pattern {
    int size = 0;
    std::vector<int> starts;
    std::vector<int> rows;
};

// A column order in which factors stay sparse: approximate minimum degree on the pattern of A + Aᵀ
// (P. Amestoy, T. Davis, I. Duff, SIAM J. Matrix Anal. Appl. 17, 1996). order[k] is the k-th column to eliminate.
std::vector<int> fill_reducing_order(const Pattern& pattern);

// LU factors of a sparse matrix whose values change again and again while its pattern stays: the pivots are chosen once, with
// partial pivoting that prefers the diagonal (J. Gilbert, T. Peierls, SIAM J. Sci. Stat. Comput. 9, 1988); after that only
// the numbers are worked out anew, which for a circuit of a hundred parts is some microseconds. T: double or complex<double>.
template <class T>
class SparseLu {
public:
    SparseLu() = default;
    // `pattern` is referred to, not copied: it must outlive the factors.
    SparseLu(const Pattern& pattern, std::vector<int> order);

    // Factorises anew with the pivots chosen before, or with new ones where those have become too small. Nothing: done.
    // Else the matrix is singular in double precision, and this is the column (unknown) at which that shows.
    std::optional<int> factor(const std::vector<T>& values);

    // Solves A x = b, Aᵀ x = b in place after factor() succeeded. b has `size` entries. The conjugate is not taken.
    void solve(std::vector<T>& b);
    void solve_transposed(std::vector<T>& b);

private:
    bool refactor(const std::vector<T>& values);
    std::optional<int> choose_pivots(const std::vector<T>& values);
    void reach(int column, int step);

    const Pattern* pattern_ = nullptr;
    std::vector<int> order_;           // column eliminated at each step
    std::vector<int> pivot_row_;       // row eliminated at each step
    std::vector<int> step_of_row_;     // its inverse; -1 while not yet a pivot
    bool pivots_known_ = false;

    // L has unit diagonal, not stored; both by columns (steps). After choose_pivots all row indices are steps; U's rise.
    std::vector<int> l_starts_, l_rows_, u_starts_, u_rows_;
    std::vector<T> l_, u_, diagonal_;

    std::vector<T> work_;
    std::vector<int> mark_, stack_, place_, found_;
};

extern template class SparseLu<double>;
extern template class SparseLu<std::complex<double>>;

}  // namespace tallyboard::detail
