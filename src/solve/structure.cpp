#include "solve/structure.h"

#include <algorithm>

#include "base/classes.h"

namespace tallyboard::detail {

namespace {

// Floating groups and their ties. Own unknowns of an element belong to its first node's group.
void find_groups(const Network& network, bool at_rest, Structure& out) {
    Classes roots(network.size() + 1);  // unknown u is u + 1, the reference 0, which stays the one that stands for its class
    for (const auto& element : network.elements) {
        std::vector<std::pair<int, int>> first_of_group;
        for (int k = 0; k < element->nodes(); ++k) {
            const int group = element->group(k, at_rest);
            if (group == Element::alone) continue;
            if (group == Element::grounded) {
                roots.join(element->at[k] + 1, 0);
                continue;
            }
            const auto known = std::find_if(first_of_group.begin(), first_of_group.end(),
                                            [&](const auto& entry) { return entry.first == group; });
            if (known == first_of_group.end()) first_of_group.emplace_back(group, element->at[k] + 1);
            else roots.join(known->second, element->at[k] + 1);
        }
    }
    out.group.assign(network.size(), -1);
    std::vector<int> number(network.size() + 1, -1);
    int count = 0;
    for (int u = 0; u < network.size(); ++u) {
        if (!network.unknowns[u].is_node || roots.of(u + 1) == 0) continue;
        int& group = number[roots.of(u + 1)];
        if (group < 0) {
            group = count++;
            out.ties.push_back(u);
        }
        out.group[u] = group;
    }
}

// Rows by the unknowns they hold, and columns likewise.
struct Pairs { std::vector<std::vector<int>> columns_of_row, rows_of_column; };

Pairs pattern_of(const Network& network, bool at_rest, const std::vector<int>& ties) {
    Pairs pairs;
    pairs.columns_of_row.resize(network.size());
    pairs.rows_of_column.resize(network.size());
    for (const auto& element : network.elements)
        for (int r = 0; r < element->size(); ++r)
            for (int c = 0; c < element->size(); ++c)
                if (element->at[r] >= 0 && element->at[c] >= 0 && element->couples(r, c, at_rest))
                    pairs.columns_of_row[element->at[r]].push_back(element->at[c]);
    for (int tie : ties) pairs.columns_of_row[tie].push_back(tie);
    for (int r = 0; r < network.size(); ++r) {
        auto& columns = pairs.columns_of_row[r];
        std::sort(columns.begin(), columns.end());
        columns.erase(std::unique(columns.begin(), columns.end()), columns.end());
        for (int c : columns) pairs.rows_of_column[c].push_back(r);
    }
    return pairs;
}

// The unknown that each row settles: a maximum matching by augmenting paths, breadth first from each free row.
std::vector<int> settled_by(const Pairs& pairs) {
    const int n = static_cast<int>(pairs.columns_of_row.size());
    std::vector<int> column_of_row(n, -1), row_of_column(n, -1), came_from(n, -1), seen(n, -1);
    for (int r = 0; r < n; ++r)
        for (int c : pairs.columns_of_row[r])
            if (row_of_column[c] < 0) {
                column_of_row[r] = c;
                row_of_column[c] = r;
                break;
            }
    for (int start = 0; start < n; ++start) {
        if (column_of_row[start] >= 0) continue;
        std::vector<int> queue{start};
        int end = -1;
        for (std::size_t i = 0; i < queue.size() && end < 0; ++i) {
            for (int c : pairs.columns_of_row[queue[i]]) {
                if (seen[c] == start) continue;
                seen[c] = start;
                came_from[c] = queue[i];
                if (row_of_column[c] < 0) {
                    end = c;
                    break;
                }
                queue.push_back(row_of_column[c]);
            }
        }
        while (end >= 0) {
            const int row = came_from[end], before = column_of_row[row];
            column_of_row[row] = end;
            row_of_column[end] = row;
            end = row == start ? -1 : before;
        }
    }
    return column_of_row;
}

void spread_doubt(const Pairs& pairs, const std::vector<int>& column_of_row, std::vector<int> rows, std::vector<char>& told) {
    std::vector<char> visited(told.size(), 0);
    for (int row : rows) visited[row] = 1;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const int unknown = column_of_row[rows[i]];
        if (unknown < 0) continue;
        told[unknown] = 0;
        for (int next : pairs.rows_of_column[unknown])
            if (!visited[next]) {
                visited[next] = 1;
                rows.push_back(next);
            }
    }
}

}  // namespace

bool Structure::tells_difference(int a, int b) const {
    if (a == b) return true;
    const int group_a = a < 0 ? -1 : group[a], group_b = b < 0 ? -1 : group[b];
    const bool known = (a < 0 || told[a]) && (b < 0 || told[b]);
    return known && group_a == group_b;
}

Structure structure_of(const Network& network, bool at_rest) {
    Structure out;
    find_groups(network, at_rest, out);
    out.told.assign(network.size(), 1);

    // Equations into which something unknown enters: nets with a part that has no model …
    std::vector<int> rows;
    for (int node : at_rest ? network.hidden_rest : network.hidden_response)
        if (node >= 0) rows.push_back(node);
    // … and equations outside a floating group that hold a voltage of it: a valve whose grid hangs in the air.
    for (const auto& element : network.elements) {
        for (int c = 0; c < element->nodes(); ++c) {
            const int column = element->at[c];
            if (column < 0 || out.group[column] < 0) continue;
            for (int r = 0; r < element->size(); ++r) {
                const int row = element->at[r];
                if (row < 0 || !element->couples(r, c, at_rest)) continue;
                // An own equation is as free as the element's nodes: one that floats with them does not fix the group.
                bool outside = network.unknowns[row].is_node ? out.group[row] != out.group[column] : false;
                if (!network.unknowns[row].is_node)
                    for (int k = 0; k < element->nodes(); ++k)
                        if (element->couples(r, k, at_rest) && (element->at[k] < 0 || out.group[element->at[k]] != out.group[column]))
                            outside = true;
                if (outside) rows.push_back(row);
            }
        }
    }
    std::sort(rows.begin(), rows.end());
    rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
    if (rows.empty()) return out;
    const Pairs pairs = pattern_of(network, at_rest, out.ties);
    spread_doubt(pairs, settled_by(pairs), rows, out.told);
    return out;
}

}  // namespace tallyboard::detail
