#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/packages.h"
#include "solve/element.h"
#include "solve/parameters.h"
#include "solve/solve.h"

namespace tallyboard::detail {

// A pin of a section as the solver sees it. net: index of the net, or -1 where the pin is open.
struct Terminal {
    int net = -1;
    PinId pin;
};

// An element of a part before it is given places in a circuit's equations: its nodes are the part's terminals.
struct Prototype {
    std::unique_ptr<const Element> element;
    std::vector<int> terminals;   // of each node: index in PlannedPart::terminals; -1: a node of the part's own
    bool takes_value = false;     // take_value() gets the part's value
};

// One section read once: what it is made of, whatever it is then asked.
struct PlannedPart {
    PartId part;
    std::string ref;
    std::vector<Terminal> terminals;
    std::vector<Prototype> prototypes;
    bool is_battery = false;
    bool is_chip = false;          // taken out for resistance readings
    bool is_valve = false;         // cold then: nothing flows between its electrodes
    bool hides_rest = false;       // no model: what depends on it is not told, at rest …
    bool hides_response = false;   // … or in small signal
    std::optional<double> value;   // SI; what spreads and can be taken otherwise
    Tolerance tolerance;
    int device = -1;               // index in Plan::device_spreads; -1: its figures do not spread
};

// A circuit in one state, found or left.
struct Plan {
    std::vector<PlannedPart> parts;   // sections in file order
    std::vector<Spread> spreads;
    std::vector<DeviceSpread> device_spreads;
    std::vector<Unmodelled> unmodelled;
    std::vector<std::string> remarks;
    int reference = -1;               // index of the net all voltages are against; -1: the circuit has no net
};

// Parts absent in the state asked for (added later, removed) are left out; replaced and adjusted ones have the new value.
Plan plan_of(const Circuit& circuit, const SolveOptions& options);

// What a part is in the state asked for.
struct WorkedPart {
    bool present = true;
    std::optional<Value> value;
    std::string model;
    std::optional<double> turned;     // a track adjusted to this share of its turn
};
WorkedPart worked_part(const Circuit& circuit, const Part& part, When when);

// Share of the track between ccw and wiper at the turn x, 0 … 1. Log and reverse-log: (b^x - 1)/(b - 1), b = (1/half - 1)², half
// the share at half turn (format, section 2); a half on the wrong side of the middle for its law is counted from the other end.
double track_share(double x, std::string_view taper, std::optional<double> half);

// Builds one planned part from a section. The kinds' models are KindModels' (kind_models.h).
class PartBuilder {
public:
    PartBuilder(const Circuit& circuit, const SolveOptions& options, const DeviceShelf& shelf, Plan& plan)
        : circuit_(circuit), options_(options), shelf_(shelf), plan_(plan) {}
    void add(const Section& section, const WorkedPart& worked);

private:
    friend struct KindModels;
    const Control* control_of(PartId part) const;
    int terminal(std::string_view pin) const;       // its index, -1 if the section has none so named
    bool is_open(std::string_view pin) const;
    Parameters parameters(std::string_view kind);
    void device_spreads(const Parameters& parameters);   // what specimens of the part's type differ by
    void remark(std::string text);
    void no_model(std::string why, bool at_rest = true);
    // `terminals`: of each node of the element, as Prototype has them.
    template <class E>
    void put(E element, std::vector<int> terminals, bool takes_value = false) {
        put_element(std::make_unique<E>(std::move(element)), std::move(terminals), takes_value);
    }
    void put_element(std::unique_ptr<const Element> element, std::vector<int> terminals, bool takes_value);
    std::optional<double> number(Quantity quantity) const;

    const Circuit& circuit_;
    const SolveOptions& options_;
    const DeviceShelf& shelf_;
    Plan& plan_;
    const Section* section_ = nullptr;
    const Part* part_ = nullptr;
    const WorkedPart* worked_ = nullptr;
    PlannedPart* planned_ = nullptr;
};

}  // namespace tallyboard::detail
