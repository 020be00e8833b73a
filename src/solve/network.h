#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "solve/plan.h"

namespace tallyboard::detail {

// What a circuit's equations are laid out for.
struct LayoutRequest {
    bool powered = true;                    // false: supplies, batteries, source, load and chips out
    std::vector<PartId> without;            // parts taken out besides
    std::span<const Departure> departures;
    // A meter: volts or ohms across two nets (one of them may be absent: a pin that is open) …
    struct Across { int a = -1, b = -1; double siemens = 0; std::optional<double> test_volts, test_amperes; };
    std::optional<Across> across;
    // … or in series with a supply's or battery's branch, or with a pin.
    std::string through_supply;
    std::optional<PinId> through_pin;
    double burden_ohms = 0;
};

// Elements with their places among the unknowns. Unknowns: the nets' voltages against the reference, nodes that parts have of their
// own, and the own currents of branches, in the order they come up.
struct Network {
    static constexpr int absent = -2;       // the net plays no part

    struct Touch { int element = 0, node = 0; PinId pin; };          // a pin and the element's node on it
    std::vector<std::vector<int>> devices;  // elements of each of the plan's device spreads
    struct Valued { PartId part; double nominal = 0; Tolerance tolerance; std::vector<int> elements; double now = nominal; };
    struct Delivers { std::string name; int unknown = -1; };         // current of the branch; the supply delivers minus that
    struct Unknown { int net = -1; bool is_node = false; std::string says; };

    std::vector<std::unique_ptr<Element>> elements;
    std::vector<Unknown> unknowns;
    std::vector<int> node_of_net;           // -1: the reference; absent
    std::vector<Touch> touches;
    std::vector<Valued> valued;             // by part, in file order
    struct Leak { int element = -1; double ohms = 0; };
    std::vector<Leak> leaks;                // elements of the leaks asked for, in the request's order; -1: between places that are one
    std::vector<Delivers> supplies;
    std::vector<int> hidden_rest, hidden_response;   // nodes on which a part without a model hangs
    bool hidden_actively = false;           // one of them is no passive part: what it may do has no bounds
    double volts_about = 1;                 // sum of all EMFs: the scale of the voltages
    bool linear = true;

    int source = -1;                        // own current of the signal source; -1: none
    int load_a = absent, load_b = absent;   // nodes; -1: the reference
    int meter_a = absent, meter_b = absent; // nodes of a voltmeter
    int meter_current = -1;                 // own current that a meter shows; -1: none, or nothing flows there
    double meter_sign = 1;

    int size() const { return static_cast<int>(unknowns.size()); }
    // The part takes this value (SI); false where no element has one.
    bool set_value(PartId part, double value);
    void set_specimen(std::size_t device, double share, double vbe);
    // Net's name, or part's, for telling where equations resist.
    std::string says(const Circuit& circuit, int unknown) const;
};

Network lay_out(const Circuit& circuit, const Plan& plan, const LayoutRequest& request);

}  // namespace tallyboard::detail
