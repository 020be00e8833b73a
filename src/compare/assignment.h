#pragma once

#include <vector>

namespace tallyboard::detail {

// A sparse assignment of rows to columns, each at most once, of least total cost; a row may stay without a column at its own
// price. Kept between calls, so that a small change of the costs needs a small repair.
// Source: Jonker, Volgenant 1987 (shortest augmenting paths), on sparse rows and with duals carried over.
class Assignment {
public:
    // Row i's candidates are entries first[i] … first[i + 1] - 1: `column` in any order, `cost` (infinite: not allowed).
    std::vector<int> first, column;
    std::vector<double> cost;
    std::vector<double> alone;          // row -> price of staying without a column
    int columns = 0;

    // A lower bound on the least total, which is the least total but for rounding and rare repairs given up: the sum of the duals.
    double solve();

    // Before a new arrangement is solved: the column that each row had, -1 for none, where the new one still offers it. Duals stay.
    void keep_choices(const std::vector<int>& column_of_row);

    std::vector<int> entry_of_row;      // row -> the entry chosen, -1: alone
    std::vector<int> row_of_column;     // -1: free
    std::vector<double> u, v;           // duals: u[i] + v[j] <= cost, u[i] <= alone[i], v[j] <= 0

private:
    void price_row(int row);
    bool take_free(int row);
    void augment(int row);
    std::vector<double> distance_;
    std::vector<int> via_;
    std::vector<char> done_;
    std::vector<int> touched_, scanned_;
};

}  // namespace tallyboard::detail
