#pragma once

#include <algorithm>
#include <limits>
#include <utility>
#include <vector>

#include "compare/assignment.h"
#include "compare/charges.h"
#include "compare/costs.h"
#include "compare/pairing.h"

namespace tallyboard::detail {

// Two assignments tied by multipliers, and what is known of a problem so far: see bound.h for what they bound. A branch supposes
// that some parts are composites: they are gone, and their nets are one.
class Prover {
public:
    // `answer`: parts it leaves over are expected to be left over (see charge). `target`: the cost to be proved.
    Prover(const Problem& problem, const Solution& answer, int target);

    // Steps until proved, stuck, or `steps` are used up, `sweeps` first. True when proved.
    bool climb(int& steps, int patience, int sweeps);
    // The whole proof. `depth`: how many composites deep branches may go.
    bool prove(int& steps, int depth);
    // What no pairing is cheaper than, as far as is known.
    int bound() const;

private:
    // One side as the proof sees it.
    struct Aspect {
        const Side* side = nullptr;
        std::vector<int> net;                // terminal -> net
        std::vector<std::vector<int>> on;    // net -> its terminals, but those of parts that are gone
        std::vector<char> gone;              // part -> it is a composite of this branch
        std::vector<char> may_compose;       // part -> a cheaper pairing may have it as a composite
        std::vector<char> firm;              // part -> left over in the answer
        std::vector<double> charge;          // net -> charge for a further cell
        std::vector<double> left;            // part -> charge for being left over
    };
    struct Candidate { int p, q, base; const PinMaps* maps; };
    static constexpr double infinite = std::numeric_limits<double>::infinity();
    // Rounding of sums of some ten thousand doubles stays far below; costs are whole numbers.
    static constexpr double margin = 1e-4;
    static constexpr double nothing_known = -1e9;
    // Below this cost composites come in the simplest shapes alone.
    static constexpr int cheap = 10;

    void start_multipliers();
    bool proved() const;
    void note(double bound);
    int work() const;

    void charge();
    void clear_idle();
    int together() const;

    void arrange();
    void find_possible_cells();
    void recount_earnings();
    void change(std::size_t at, double to);
    double price_of(const Candidate& c, int& best_map) const;
    double evaluate();
    double evaluate_nets();

    void drop_hopeless(double now);
    void drop_cells(double room);
    void note_leaving(double room);
    void clear_at_once(double now);
    double merged_nets(bool on_board, int x, int y) const;
    double cheap_composite(bool on_board, int part, int x, int y) const;

    bool clear_some(int& steps, int depth, int share);
    std::vector<std::pair<bool, int>> composites() const;
    void contract(bool on_board, int part);
    std::pair<int, int> across(bool on_board, int part) const;

    void sweep();
    void take_spare();
    void give_room();
    void step(double now);
    void push_slope(std::size_t at, double by);
    void collect_slope();

    // What a pair pays for a terminal that goes from net a to net x: for keeping it there, or for its being moved.
    double terminal_price(int t, int a, int f, int x) const {
        return banned_[cell(a, x)] ? costs::moved : std::min<double>(costs::moved, multiplier_[mu(t, x)] + multiplier_[nu(f, a)]);
    }
    double cell_price(int a, int x) const { return drawing_.charge[a] < board_.charge[x] ? drawing_.charge[a] : board_.charge[x]; }
    // Multipliers stand in one array: of drawn terminals and found nets, then of found terminals and drawn nets.
    std::size_t mu(int t, int x) const { return static_cast<std::size_t>(t) * found_ + x; }
    std::size_t nu(int f, int a) const { return nu_ + static_cast<std::size_t>(f) * drawn_ + a; }
    std::size_t cell(int a, int x) const { return static_cast<std::size_t>(a) * found_ + x; }

    const Problem* problem_;
    int target_;
    Aspect drawing_, board_;
    int drawn_ = 0, found_ = 0;                 // nets
    std::size_t nu_ = 0;
    std::vector<double> multiplier_;
    std::vector<char> banned_, possible_;       // cells
    std::vector<double> earns_;                 // cells: sum of the multipliers of their terminals
    std::vector<Candidate> candidates_;         // by drawn part, then found part
    Assignment parts_, cells_;
    std::vector<int> best_map_;
    double best_;
    double stride_ = 1;                         // share of the step that would reach the target on a straight slope
    bool dropped_ = false, cleared_ = false;
    struct Change { std::size_t at; double by; };
    std::vector<Change> last_;
    std::vector<double> slope_, spare_;
    std::vector<std::size_t> touched_;
};

}  // namespace tallyboard::detail
