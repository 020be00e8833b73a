#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"
#include "compare/compare.h"

// The comparison as arrays: what the search and the proof work on. Links are gone (their nets are one), packages are put
// together, parts that do not count are left out, and values are numbered, so that equal numbers have equal ids.
namespace tallyboard::detail {

constexpr int none = -1;

// A way to see a part as a kind: `terminal[i]` is the part's terminal at the kind's pin i, none where it has none. A whole
// package written as its sections may be seen as any kind that can hold them.
struct Form {
    int kind = none;                      // Problem::kinds
    std::vector<std::string> pins;        // names, in order
    std::vector<int> terminal;
    friend bool operator==(const Form&, const Form&) = default;
};
// Parts of one shape differ in nothing but values and nets.
struct Shape {
    std::vector<Form> forms;              // preferred first
    int terminals = 0;
};

struct KindUse {
    std::string name;
    const KindTable* table = nullptr;     // the drawing's where both files know it
    KindId id;
};

// How the terminals of a drawn part may go to those of a found one. Map k sends terminal i to `to[k * terminals + i]`; none
// where the other side says nothing about that pin. The first `allowed` maps cost nothing, the rest are `reversed`.
struct PinMaps {
    int kind_cost = none;                 // none: parts of these shapes cannot be paired
    int terminals = 0;
    int allowed = 0, count = 0;
    std::vector<std::int8_t> to;
    // Which pin of the board's form (its number found_form) answers to a terminal, traced or not; none: it has no such pin.
    int found_form = 0;
    std::vector<std::int8_t> pin;
    const std::int8_t* map(int k) const { return to.data() + static_cast<std::size_t>(k) * terminals; }
};

// One side: parts, terminals and nets by index, in file order.
struct Side {
    const Circuit* circuit = nullptr;

    std::vector<std::vector<PartId>> members;  // part -> written parts: one, or a package's sections
    std::vector<std::string> name;             // part -> reference or package name
    std::vector<int> shape, value, model, taper;  // part -> ids; none: not known
    std::vector<int> leave;                    // part -> cost of being left over
    std::vector<std::pair<int, int>> across;   // part -> the two nets its traced pins stand on; {none, none} if not two
    std::vector<int> bound_to;                 // part -> the only partner it may have, by hand; none: free
    std::vector<int> group;                    // part -> Problem::groups entry it stands for; none: a part as written

    std::vector<int> first;                    // part -> its first terminal; one more at the end
    std::vector<int> net, part;                // terminal -> net, part
    std::vector<std::vector<PinId>> pins;      // terminal -> the written pins it stands for
    // part -> form -> pin -> a written pin that stands there, traced or not; empty for a part as written, whose pins are its own
    std::vector<std::vector<std::vector<std::optional<PinId>>>> form_pins;

    std::vector<int> net_first, net_terminals; // net -> its terminals, as one array with starts
    std::vector<std::vector<NetId>> written;   // net -> the file's nets; none for a pin that goes nowhere
    std::vector<int> net_of;                   // the file's net -> net; none: no pin that counts stands on it

    int parts() const { return static_cast<int>(shape.size()); }
    int nets() const { return static_cast<int>(net_first.size()) - 1; }
    int terminals() const { return static_cast<int>(net.size()); }
    // The written pin at pin `i` of a form of part p.
    std::optional<PinId> written_pin(int p, int form, int i) const {
        if (form_pins[p].empty()) return PinId{members[p].front(), static_cast<std::uint32_t>(i)};
        return form_pins[p][form][i];
    }
    int pin_count(int p) const { return first[p + 1] - first[p]; }
    int degree(int n) const { return net_first[n + 1] - net_first[n]; }
};

// Several parts of one side that stand as one, because in series or parallel they come to the value of a part on the other.
struct Group {
    bool on_board = false;                     // the side that has the several
    bool parallel = false;
    std::vector<int> parts;                    // two or three parts of that side, as make_problem numbers them
    std::vector<int> partners;                 // parts of the other side that it may stand for, and no others
    std::pair<int, int> nets;                  // the group's two ends; for a polarised kind, plus first
};

struct Problem {
    Side drawing, board;
    std::vector<KindUse> kinds;
    std::vector<Shape> drawn_shapes, found_shapes;
    std::vector<Group> groups;                 // those carried out in this problem
    std::vector<std::string> models;           // type numbers of both sides
    std::vector<char> same_model;              // drawn model * models.size() + found model
    std::vector<int> model_family;             // models that some chain of agreements connects
    bool all_known = true;                     // every pin traced, every value, type number and taper known

    const PinMaps& maps(int drawn_shape, int found_shape) const;
    const PinMaps& maps_of(int p, int q) const { return maps(drawing.shape[p], board.shape[q]); }
    bool value_differs(int p, int q) const;
    // Cost of pairing without regard to nets: kind and value; none where p and q cannot be partners.
    int pair_cost(int p, int q) const;

    // Maps are worked out when first asked for; several threads may ask.
    struct MapTable {
        std::vector<std::atomic<const PinMaps*>> at;
        std::vector<std::unique_ptr<PinMaps>> owned;
        std::mutex mutex;
    };
    std::shared_ptr<MapTable> map_table;
};

// Arrays of a drawing and a board. CommandError for hand pairs that cannot be. Near-linear.
std::unique_ptr<Problem> make_problem(const Circuit& drawing, const Circuit& board, const std::vector<HandPair>& pairs);

// The maps of pins between a form of the drawing and one of the board, by the format's rules for exchanges, other kinds and
// `reversed`.
PinMaps make_pin_maps(const Problem& problem, const Shape& drawn, const Shape& found);

// Lists terminals by net, once `net` is filled.
void index_nets(Side& side);

}  // namespace tallyboard::detail
