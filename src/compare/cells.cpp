#include "compare/cells.h"

#include <algorithm>

#include "compare/costs.h"

namespace tallyboard::detail {

Cells::Cells(int drawn_nets, int found_nets)
    : drawn_nets_(drawn_nets), at_(drawn_nets + found_nets), big_(at_.size(), 0), two_(at_.size(), 0),
      component_(at_.size(), alone), number_(at_.size(), 0) {}

int Cells::find(int drawn, int found) const {
    const auto &a = at_[drawn], &b = at_[drawn_nets_ + found];
    if (a.size() <= b.size()) {
        for (int c : a) if (pool_[c].found == found) return c;
    } else {
        for (int c : b) if (pool_[c].drawn == drawn) return c;
    }
    return -1;
}

int Cells::count(int drawn, int found) const {
    const int c = find(drawn, found);
    return c < 0 ? 0 : pool_[c].n;
}

bool Cells::is_leading(const Cell& cell) const {
    if (cell.n >= costs::always_kept) return true;
    const int a = cell.drawn, x = drawn_nets_ + cell.found;
    if (cell.n == 2) return big_[a] == 0 || big_[x] == 0;
    return big_[a] == 0 && big_[x] == 0 && two_[a] == 0 && two_[x] == 0;
}

int Cells::edge_weight(const Cell& cell) const {
    const int a = cell.drawn, x = drawn_nets_ + cell.found;
    if (cell.n >= costs::always_kept || big_[a] > 0 || big_[x] > 0) return 0;
    if (cell.n == 2) return 2;
    return (two_[a] == 0) + (two_[x] == 0);
}

// The component of a net is no longer known.
void Cells::spoil(int node) {
    const int k = component_[node];
    if (k == unsettled) return;
    if (k == alone) {
        component_[node] = unsettled;
        dirty_.push_back(node);
        return;
    }
    Component& component = components_[k];
    weight_ -= component.weight;
    for (int net : component.nets) {
        component_[net] = unsettled;
        dirty_.push_back(net);
    }
    component.nets.clear();
    spare_components_.push_back(k);
}

void Cells::settle() const {
    for (int node : dirty_)
        if (component_[node] == unsettled) take_component(node);
    dirty_.clear();
}

void Cells::take_component(int start) const {
    component_[start] = alone;
    if (big_[start] > 0) return;
    edges_.clear();
    queue_.assign(1, start);
    int best = 0;
    bool star = true;   // every edge shares the starting net or is the only one
    for (std::size_t i = 0; i < queue_.size(); ++i) {
        const int node = queue_[i];
        for (int c : at_[node]) {
            const int weight = edge_weight(pool_[c]);
            if (weight == 0) continue;
            const int other = node < drawn_nets_ ? drawn_nets_ + pool_[c].found : pool_[c].drawn;
            if (node < drawn_nets_) {
                edges_.push_back(c);
                best = std::max(best, weight);
            }
            if (i > 0 && other != start) star = false;
            if (component_[other] != unsettled) continue;
            component_[other] = alone;
            queue_.push_back(other);
        }
    }
    work_ += static_cast<long>(edges_.size());
    if (queue_.size() == 1) return;
    if (spare_components_.empty()) {
        spare_components_.push_back(static_cast<int>(components_.size()));
        components_.emplace_back();
    }
    const int k = spare_components_.back();
    spare_components_.pop_back();
    components_[k].weight = star || edges_.size() < 2 ? best : greatest_matching();
    components_[k].nets = queue_;
    for (int net : queue_) component_[net] = k;
    weight_ += components_[k].weight;
}

namespace {

// The most that edges from `next` on can add, by trying; for a handful.
int most_of_few(const std::vector<MatchEdge>& edges, std::size_t next, unsigned rows, unsigned columns) {
    if (next == edges.size()) return 0;
    const MatchEdge& edge = edges[next];
    const int without = most_of_few(edges, next + 1, rows, columns);
    if (rows >> edge.row & 1 || columns >> edge.column & 1) return without;
    return std::max(without, edge.weight + most_of_few(edges, next + 1, rows | 1u << edge.row, columns | 1u << edge.column));
}

// Takes edges that outweigh all their rivals together, as some greatest matching must; what is left of `edges` is for others
// to decide. Returns what was taken. `most`, `second`: scratch.
int take_certain(std::vector<MatchEdge>& edges, int rows, int columns, std::vector<int>& most, std::vector<int>& second) {
    int taken = 0;
    for (bool found = true; found && !edges.empty();) {
        found = false;
        most.assign(rows + columns, 0);
        second.assign(rows + columns, 0);
        for (const MatchEdge& edge : edges)
            for (int node : {edge.row, rows + edge.column}) {
                second[node] = std::max(second[node], std::min(most[node], edge.weight));
                most[node] = std::max(most[node], edge.weight);
            }
        for (std::size_t i = 0; i < edges.size() && !found; ++i) {
            const MatchEdge edge = edges[i];
            const int row = edge.row, column = rows + edge.column;
            const int rival = edge.weight == most[row] ? second[row] : most[row];
            if (edge.weight < rival + (edge.weight == most[column] ? second[column] : most[column])) continue;
            taken += edge.weight;
            found = true;
            std::erase_if(edges, [&](const MatchEdge& other) { return other.row == edge.row || other.column == edge.column; });
        }
    }
    return taken;
}

}  // namespace

int Cells::greatest_matching() const {
    int rows = 0, columns = 0;
    for (int node : queue_) number_[node] = node < drawn_nets_ ? rows++ : columns++;
    list_.clear();
    for (int c : edges_) list_.push_back({number_[pool_[c].drawn], number_[drawn_nets_ + pool_[c].found], edge_weight(pool_[c])});
    const auto all = static_cast<long>(list_.size());
    const int certain = take_certain(list_, rows, columns, most_, second_);
    const auto left = static_cast<long>(list_.size());
    work_ += all * (all - left + 1) + left * left;
    constexpr std::size_t few = 7;
    if (list_.size() <= few && rows <= 32 && columns <= 32) return certain + most_of_few(list_, 0, 0, 0);
    return certain + greatest_weight_matching(list_);
}

void Cells::add(int drawn, int found, int change) {
    const int a = drawn, x = drawn_nets_ + found;
    int c = find(drawn, found);
    const int was = c < 0 ? 0 : pool_[c].n, now = was + change;

    spoil(a);
    spoil(x);
    // A net that becomes settled or unsettled takes or frees all its neighbours.
    for (int node : {a, x}) {
        const int big = big_[node] + (now >= 3) - (was >= 3), two = two_[node] + (now == 2) - (was == 2);
        if ((big > 0) == (big_[node] > 0) && (two > 0) == (two_[node] > 0)) continue;
        for (int near : at_[node]) spoil(node == a ? drawn_nets_ + pool_[near].found : pool_[near].drawn);
    }

    if (c < 0) {
        if (spare_.empty()) {
            spare_.push_back(static_cast<int>(pool_.size()));
            pool_.emplace_back();
        }
        c = spare_.back();
        spare_.pop_back();
        pool_[c] = {drawn, found, 0, {static_cast<int>(at_[a].size()), static_cast<int>(at_[x].size())}};
        at_[a].push_back(c);
        at_[x].push_back(c);
    }
    auto toll = [](int n) { return n >= costs::always_kept ? 2 * costs::piece : costs::moved * n; };
    Cell& cell = pool_[c];
    cost_ -= node_value(a) + node_value(x) + toll(was);
    cell.n = now;
    for (int node : {a, x}) {
        big_[node] += (now >= 3) - (was >= 3);
        two_[node] += (now == 2) - (was == 2);
    }
    cost_ += node_value(a) + node_value(x) + toll(now);
    if (now == 0) {
        for (int side = 0; side < 2; ++side) {
            auto& list = at_[side == 0 ? a : x];
            const int place = cell.place[side];
            list[place] = list.back();
            pool_[list[place]].place[side] = place;
            list.pop_back();
        }
        spare_.push_back(c);
    }
}

namespace {

// Rows join one by one; with each the greatest matching so far changes along one path of edges given up and taken, the longest
// from the new row. It ends at a column that is free, or at a row that is left without one.
class Matching {
public:
    Matching(const std::vector<MatchEdge>& edges, int rows, int columns)
        : row_edge(rows, -1), edges_(edges), column_edge_(columns, -1), first_(rows + 1, 0), of_row_(edges.size()), gain_(rows, never),
          best_(columns, never), via_(columns, -1), waiting_(rows, 0) {
        for (const MatchEdge& edge : edges) ++first_[edge.row + 1];
        for (int r = 0; r < rows; ++r) first_[r + 1] += first_[r];
        std::vector<int> next(first_.begin(), first_.end() - 1);
        for (std::size_t e = 0; e < edges.size(); ++e) of_row_[next[edges[e].row]++] = static_cast<int>(e);
        for (int r = 0; r < rows; ++r) join(r);
    }

    std::vector<int> row_edge;   // the edge that a row is matched by; -1: free

private:
    static constexpr int never = -1000000;

    void join(int row) {
        rows_.assign(1, row);
        columns_.clear();
        queue_.assign(1, row);
        gain_[row] = 0;
        for (std::size_t i = 0; i < queue_.size(); ++i) {
            const int r = queue_[i];
            waiting_[r] = 0;
            for (int k = first_[r]; k < first_[r + 1]; ++k) reach(of_row_[k]);
        }
        int end = -1, dropped = -1, most = 0;
        for (int c : columns_)
            if (column_edge_[c] < 0 && best_[c] > most) most = best_[c], end = c;
        for (int r : rows_)
            if (row_edge[r] >= 0 && gain_[r] > most) most = gain_[r], dropped = r;
        if (most > 0) change(dropped, dropped >= 0 ? edges_[row_edge[dropped]].column : end);
        for (int r : rows_) gain_[r] = never;
        for (int c : columns_) best_[c] = never;
    }

    void reach(int e) {
        const MatchEdge& edge = edges_[e];
        const int here = gain_[edge.row] + edge.weight;
        if (row_edge[edge.row] == e || here <= best_[edge.column]) return;
        if (best_[edge.column] == never) columns_.push_back(edge.column);
        best_[edge.column] = here;
        via_[edge.column] = e;
        const int back = column_edge_[edge.column];
        if (back < 0) return;
        const int r = edges_[back].row;
        if (here - edges_[back].weight <= gain_[r]) return;
        if (gain_[r] == never) rows_.push_back(r);
        gain_[r] = here - edges_[back].weight;
        if (waiting_[r]) return;
        waiting_[r] = 1;
        queue_.push_back(r);
    }

    void change(int dropped, int column) {
        if (dropped >= 0) row_edge[dropped] = -1;
        while (true) {
            const int e = via_[column], row = edges_[e].row, old = row_edge[row];
            column_edge_[column] = e;
            row_edge[row] = e;
            if (old < 0) return;
            column = edges_[old].column;
            column_edge_[column] = -1;
        }
    }

    const std::vector<MatchEdge>& edges_;
    std::vector<int> column_edge_, first_, of_row_, gain_, best_, via_;
    std::vector<char> waiting_;
    std::vector<int> rows_, columns_, queue_;
};

}  // namespace

int greatest_weight_matching(const std::vector<MatchEdge>& given, std::vector<char>* taken) {
    int rows = 0, columns = 0;
    for (const MatchEdge& edge : given) rows = std::max(rows, edge.row + 1), columns = std::max(columns, edge.column + 1);
    std::vector<int> row_of(rows, -1), column_of(columns, -1);
    std::vector<MatchEdge> edges;
    rows = columns = 0;
    for (const MatchEdge& edge : given) {
        if (row_of[edge.row] < 0) row_of[edge.row] = rows++;
        if (column_of[edge.column] < 0) column_of[edge.column] = columns++;
        edges.push_back({row_of[edge.row], column_of[edge.column], edge.weight});
    }
    const Matching matching(edges, rows, columns);
    int weight = 0;
    if (taken) taken->assign(edges.size(), 0);
    for (int e : matching.row_edge) {
        if (e < 0) continue;
        weight += edges[e].weight;
        if (taken) (*taken)[e] = 1;
    }
    return weight;
}

}  // namespace tallyboard::detail
