#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace tallyboard::detail {

// The greatest weight of a matching between rows and columns, and which edges it takes (as a flag an edge). Weights are small
// positive integers; sizes as small as a component of unsettled nets. Of equal matchings the one that takes earlier edges first.
struct MatchEdge { int row = 0, column = 0, weight = 0; };
int greatest_weight_matching(const std::vector<MatchEdge>& edges, std::vector<char>* taken = nullptr);

// Cells n(A, x): how many terminals of paired parts go from drawn net A to found net x; and the exact least cost of keeping
// some of them, as cells come and go.
//
// For kept cells E that cost is the sum over E of (6 - 2n) - 3 * (nets that E touches) + 2 * (all terminals): a net with d kept
// cells costs 3(d - 1). So a cell of 3 or more is always kept. Call the nets such cells touch settled. A net not settled that
// has a cell of 2 saves 1 by keeping it (it costs 2 and touches a new net, 3), and whatever more can be saved is a matching:
// a cell of 2 between two such nets saves 2 more, a cell of 1 saves 2 between nets that have no cell of 2, and 1 between such a
// net and one that has. The greatest weight of a matching of these few cells gives the least cost exactly, in polynomial time.
class Cells {
public:
    Cells(int drawn_nets, int found_nets);

    int count(int drawn, int found) const;
    // Adds `change` (1 or -1) terminals to a cell.
    void add(int drawn, int found, int change);
    // Works out the matching of what has changed since it was asked last: many changes are cheap as long as nobody asks.
    int cost() const {
        if (!dirty_.empty()) settle();
        return cost_ - weight_;
    }

    // How much has been done to work out matchings, in edges looked at: a count that stands for time.
    long work() const { return work_; }

    struct Cell { int drawn = 0, found = 0, n = 0; std::array<int, 2> place{}; };
    // The cells of a net, in no particular order.
    template <class Visit>
    void of_drawn(int net, const Visit& visit) const { for (int c : at_[net]) visit(pool_[c]); }
    template <class Visit>
    void of_found(int net, const Visit& visit) const { for (int c : at_[drawn_nets_ + net]) visit(pool_[c]); }
    int cells_of_drawn(int net) const { return static_cast<int>(at_[net].size()); }
    int cells_of_found(int net) const { return static_cast<int>(at_[drawn_nets_ + net].size()); }

    // Whether two terminals or more of a net go along to one net of the other side.
    bool holds_drawn(int net) const { return big_[net] > 0 || two_[net] > 0; }
    bool holds_found(int net) const { return holds_drawn(drawn_nets_ + net); }

    // Whether the search may take a cell's terminals as going along: nothing on its nets outweighs it.
    bool is_leading(const Cell& cell) const;

private:
    int find(int drawn, int found) const;
    int node_value(int node) const { return big_[node] > 0 ? -3 : two_[node] > 0 ? -1 : 0; }
    int edge_weight(const Cell& cell) const;
    void spoil(int node);
    void settle() const;
    void take_component(int start) const;
    int greatest_matching() const;

    int drawn_nets_;
    int cost_ = 0;
    std::vector<std::vector<int>> at_;   // net -> its cells; the board's nets after the drawing's
    std::vector<Cell> pool_;
    std::vector<int> spare_;
    std::vector<int> big_, two_;         // net -> how many cells of 3 or more, of 2

    // Components of cells that a matching may choose from, as far as they are worked out.
    struct Component { int weight = 0; std::vector<int> nets; };
    static constexpr int alone = -1, unsettled = -2;
    mutable long work_ = 0;
    mutable int weight_ = 0;                       // of all components worked out
    mutable std::vector<int> component_;           // net -> component; alone; unsettled: in dirty_
    mutable std::vector<Component> components_;
    mutable std::vector<int> spare_components_, dirty_;
    mutable std::vector<int> queue_, edges_, number_, most_, second_;
    mutable std::vector<MatchEdge> list_;
};

}  // namespace tallyboard::detail
