#pragma once

#include <utility>
#include <vector>

#include "compare/assignment.h"
#include "compare/charges.h"
#include "compare/region.h"

namespace tallyboard::detail {

// Two assignments tied by multipliers, for one region, and what is known of it so far: see bound.h for what they bound.
class Prover {
public:
    // `region` must outlive the prover. `answer`: what it leaves over keeps its price (see charge). `target`: what is to be proved.
    Prover(const Region& region, const Solution& answer, int target);
    Prover(Region&&, const Solution&, int) = delete;

    // Steps until proved, stuck, or `steps` are used up, `sweeps` first. True when proved.
    bool climb(int& steps, int patience, int sweeps);
    // The whole proof. `depth`: how many composites deep branches may go.
    bool prove(int& steps, int depth);

    int bound() const;
    double best() const { return best_; }

private:
    // One side as the proof sees it: nets may be made one and parts taken out.
    struct Aspect {
        RegionSide at;
        std::vector<char> gone;          // part -> taken out: it is a composite of this branch
        std::vector<char> may_compose;   // part -> a cheaper pairing may have it as a composite
        std::vector<char> firm;          // part -> left over in the answer: keeps its price, its nets give way
        std::vector<double> charge;      // net -> charge for a further cell
        std::vector<double> left;        // part -> charge for being left over
        std::vector<double> alone;       // part -> the least of that and of a partner outside
        std::vector<int> out_map;        // part -> the map to the partner outside that costs so little, in out_maps
        std::vector<const PinMaps*> out_maps;
        std::vector<int> out_pin;        // terminal -> the multiplier that a terminal outside would pay
        std::vector<double> out_price;   // terminal -> how much
    };

    bool proved() const { return best_ > target_ - 1 + 1e-4; }
    void start_multipliers();
    void charge();
    void clear_idle();
    int together() const;
    void arrange();
    void find_possible_cells();
    void recount_earnings();
    void price_outside(bool on_board);
    double price_of(const Candidate& c, int& best_map) const;
    double evaluate();
    void note(double bound);
    double evaluate_nets();
    void drop_hopeless(double now);
    void drop_cells(double room);
    void note_leaving(double room);
    void clear_at_once(double now);
    double merged_nets(bool on_board, int x, int y) const;
    bool clear_some(int& steps, int depth, int share);
    std::vector<std::pair<bool, int>> composites() const;
    void contract(bool on_board, int part);
    std::pair<int, int> across(bool on_board, int part) const;
    void sweep();
    void take_spare();
    void spare_outside(bool on_board);
    void give_room();
    void step(double now);
    void push_slope(std::size_t at, double by);
    void collect_slope();
    void change(std::size_t at, double to);
    double cell_price(int a, int x) const { return drawing_.charge[a] < board_.charge[x] ? drawing_.charge[a] : board_.charge[x]; }
    double out_limit(const Aspect& aspect, int net) const { return aspect.charge[net] < soft_.further ? aspect.charge[net] : soft_.further; }
    void limit_outside();

    // Multipliers stand in one array: of drawn terminals and found nets, of found terminals and drawn nets, and of the terminals
    // of either side towards all nets outside.
    std::size_t mu(int t, int x) const { return static_cast<std::size_t>(t) * found_ + x; }
    std::size_t nu(int f, int a) const { return nu_ + static_cast<std::size_t>(f) * drawn_ + a; }
    std::size_t out(bool on_board, int t) const { return (on_board ? out_found_ : out_drawn_) + t; }
    std::size_t cell(int a, int x) const { return static_cast<std::size_t>(a) * found_ + x; }

    const Region* region_;
    int target_;
    Aspect drawing_, board_;
    int drawn_ = 0, found_ = 0;                 // nets
    std::size_t nu_ = 0, out_drawn_ = 0, out_found_ = 0;
    std::vector<double> multiplier_;
    std::vector<char> banned_, possible_;       // cells
    std::vector<double> earns_;                 // cells: sum of the multipliers of their terminals
    std::vector<Candidate> candidates_;
    Assignment parts_, cells_;
    std::vector<int> best_map_;
    Charges soft_;
    double best_ = -1e9;
    double stride_ = 1;                         // share of the step that would reach the target on a straight slope
    bool dropped_ = false, cleared_ = false;
    struct Change { std::size_t at; double by; };
    std::vector<Change> last_;
    std::vector<double> slope_, spare_;
    std::vector<std::size_t> touched_;
};

}  // namespace tallyboard::detail
