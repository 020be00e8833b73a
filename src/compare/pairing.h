#pragma once

#include <vector>

#include "compare/cells.h"
#include "compare/problem.h"

namespace tallyboard::detail {

// A complete answer, as little as it takes to write it down.
struct Solution {
    std::vector<int> partner;           // drawn part -> found part; none: left over
    std::vector<int> map;               // drawn part -> which of the pair's pin maps
    std::vector<int> inserted;          // found parts left over whose two nets count as one, rising
    std::vector<int> bypassed;          // drawn parts likewise
    int cost = 0;
};

// A pairing of parts that knows its true cost at every moment: pairs come and go in microseconds.
class Pairing {
public:
    explicit Pairing(const Problem& problem);

    int cost() const { return parts_cost_ + cells_.cost(); }
    int partner(int p) const { return partner_[p]; }
    int partner_of_found(int q) const { return back_[q]; }
    int map(int p) const { return map_[p]; }
    const Cells& cells() const { return cells_; }
    // A net as composites leave it: the net that stands for it.
    int drawn_net(int n) const { return drawn_as_[n]; }
    int found_net(int n) const { return found_as_[n]; }

    // Both parts must be free, and pair_cost must not be none; they cease to be composites.
    void pair(int p, int q, int map);
    void unpair(int p);
    // The map under which most terminals go along with what is paired already; allowed ones first. The parts are free.
    int best_map(int p, int q) const;
    // How well the terminals would go along under that map: 2 each that does, -2 each that does not, 0 where nothing speaks yet.
    int agreement(int p, int q, int map) const;
    // Whether some terminal would not go along.
    bool contradicts(int p, int q, int map) const;

    // Counts the two nets of a part left over as one, or as two again. The part must stand across two nets and be unpaired.
    void set_composite(bool on_board, int part, bool on);
    bool is_composite(bool on_board, int part) const { return (on_board ? inserted_ : bypassed_)[part] != 0; }
    const std::vector<int>& composites(bool on_board) const { return on_board ? inserted_list_ : bypassed_list_; }

    Solution solution() const;
    // Changes what differs from `solution`.
    void become(const Solution& solution);

    // Every change is noted, so that a trial can be taken back: `mark` a moment, `take_back` to it, or `settle` for good.
    std::size_t mark() const { return changes_.size(); }
    void take_back(std::size_t mark);
    void settle() { changes_.clear(); }

    const Problem& problem;

private:
    enum class Did { paired, unpaired, composed, parted };
    struct Change { Did did; int a, b, map; };   // parts, or (side, part) for composites

    void count_terminals(int p, int change);
    void rename_nets(bool on_board);

    std::vector<int> partner_, back_, map_;
    std::vector<int> drawn_as_, found_as_;
    std::vector<char> inserted_, bypassed_;
    std::vector<int> inserted_list_, bypassed_list_;
    int parts_cost_ = 0;
    std::vector<Change> changes_;
    Cells cells_;
};

// What pairing costs beyond nets: kind, value and `reversed`.
int cost_of_pair(const Problem& problem, int p, int q, int map);

}  // namespace tallyboard::detail
