#include "compare/assignment.h"

#include <algorithm>
#include <functional>
#include <limits>
#include <queue>

namespace tallyboard::detail {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double tight = 1e-9;

}  // namespace

// The greatest dual of a row that its entries and its own price allow; lets go of an entry that is no longer tight.
void Assignment::price_row(int row) {
    double least = alone[row];
    for (int e = first[row]; e < first[row + 1]; ++e) least = std::min(least, cost[e] - v[column[e]]);
    u[row] = least;
    const int e = entry_of_row[row];
    if (e >= 0 && cost[e] - v[column[e]] > least + tight) {
        row_of_column[column[e]] = -1;
        entry_of_row[row] = -1;
    }
}

// Takes a free column that the row's dual already pays for.
bool Assignment::take_free(int row) {
    for (int e = first[row]; e < first[row + 1]; ++e) {
        const int c = column[e];
        if (row_of_column[c] >= 0 || cost[e] - v[c] > u[row] + tight) continue;
        entry_of_row[row] = e;
        row_of_column[c] = row;
        return true;
    }
    return false;
}

// Shortest path from a row without a column to a free column, or to a row that may as well stay alone.
void Assignment::augment(int start) {
    using Step = std::pair<double, int>;
    std::priority_queue<Step, std::vector<Step>, std::greater<>> queue;
    touched_.clear();
    scanned_.clear();
    double best = infinite;      // of the ends found: a row left alone …
    int alone_row = -1, end = -1;
    auto scan = [&](int row, double at) {
        if (const double here = at + alone[row] - u[row]; here < best) best = here, alone_row = row, end = -1;
        for (int e = first[row]; e < first[row + 1]; ++e) {
            const int c = column[e];
            if (done_[c] || cost[e] == infinite) continue;
            const double here = at + cost[e] - u[row] - v[c];
            if (here >= distance_[c] || here >= best) continue;
            if (distance_[c] == infinite) touched_.push_back(c);
            distance_[c] = here;
            via_[c] = e;
            queue.push({here, c});
        }
    };
    scan(start, 0);
    while (!queue.empty()) {
        const auto [at, c] = queue.top();
        queue.pop();
        if (done_[c] || at > distance_[c]) continue;
        if (at >= best) break;
        if (row_of_column[c] < 0) {   // … or a free column
            best = at;
            end = c;
            alone_row = -1;
            break;
        }
        done_[c] = 1;
        scanned_.push_back(c);
        scan(row_of_column[c], at);
    }
    // Duals: what was reached before the end comes closer to it.
    u[start] += best;
    for (int c : scanned_) {
        const double nearer = best - distance_[c];
        v[c] -= nearer;
        u[row_of_column[c]] += nearer;
    }
    auto row_of_entry = [&](int e) {
        return static_cast<int>(std::upper_bound(first.begin(), first.end(), e) - first.begin()) - 1;
    };
    int c = end;
    if (alone_row >= 0) {
        c = alone_row == start ? -1 : column[entry_of_row[alone_row]];
        entry_of_row[alone_row] = -1;
    }
    while (c >= 0) {
        const int e = via_[c], row = row_of_entry(e), before = row == start ? -1 : column[entry_of_row[row]];
        row_of_column[c] = row;
        entry_of_row[row] = e;
        c = before;
    }
    for (int t : touched_) distance_[t] = infinite;
    for (int t : scanned_) done_[t] = 0;
}

void Assignment::keep_choices(const std::vector<int>& column_of_row) {
    entry_of_row.assign(column_of_row.size(), -1);
    row_of_column.assign(columns, -1);
    distance_.assign(columns, infinite);
    via_.assign(columns, -1);
    done_.assign(columns, 0);
    for (std::size_t row = 0; row < column_of_row.size(); ++row)
        for (int e = first[row]; column_of_row[row] >= 0 && e < first[row + 1]; ++e)
            if (column[e] == column_of_row[row]) entry_of_row[row] = e, row_of_column[column[e]] = static_cast<int>(row);
}

double Assignment::solve() {
    const int rows = static_cast<int>(alone.size());
    // Duals of an earlier arrangement of the same rows and columns may be given; choices are made anew.
    if (static_cast<int>(v.size()) != columns) v.assign(columns, 0);
    if (static_cast<int>(u.size()) != rows) u.assign(rows, 0);
    if (static_cast<int>(entry_of_row.size()) != rows || static_cast<int>(row_of_column.size()) != columns) {
        entry_of_row.assign(rows, -1);
        row_of_column.assign(columns, -1);
        distance_.assign(columns, infinite);
        via_.assign(columns, -1);
        done_.assign(columns, 0);
    }
    constexpr int repairs = 6;
    for (int pass = 0;; ++pass) {
        for (int row = 0; row < rows; ++row) price_row(row);
        for (int row = 0; row < rows; ++row)
            if (entry_of_row[row] < 0 && u[row] < alone[row] - tight && !take_free(row)) augment(row);
        // A free column must have no price of its own; raising it may cost some rows their hold.
        bool raised = false;
        for (int c = 0; c < columns; ++c) {
            if (row_of_column[c] >= 0 || v[c] > -tight) continue;
            v[c] = 0;
            raised = true;
        }
        if (!raised) break;
        if (pass == repairs) {   // begin anew: from no prices none can be left over
            std::fill(v.begin(), v.end(), 0);
            std::fill(entry_of_row.begin(), entry_of_row.end(), -1);
            std::fill(row_of_column.begin(), row_of_column.end(), -1);
        }
    }
    double total = 0;
    for (int row = 0; row < rows; ++row) {
        price_row(row);
        total += u[row];
    }
    for (int c = 0; c < columns; ++c) total += v[c];
    return total;
}

}  // namespace tallyboard::detail
