#include "solve/network.h"

#include <algorithm>
#include <cmath>

#include "base/classes.h"
#include "solve/models/passive.h"

namespace tallyboard::detail {

bool Network::set_value(PartId part, double value) {
    const auto one = std::lower_bound(valued.begin(), valued.end(), part, [](const Valued& v, PartId id) { return v.part < id; });
    if (one == valued.end() || one->part != part) return false;
    for (int e : one->elements) elements[e]->take_value(value);
    one->now = value;
    return true;
}

void Network::set_specimen(std::size_t device, double share, double vbe) {
    for (int e : devices[device]) elements[e]->take_specimen(share, vbe);
}

std::string Network::says(const Circuit& circuit, int unknown) const {
    const Unknown& it = unknowns[unknown];
    if (it.net >= 0) return net_name(circuit, NetId{static_cast<std::uint32_t>(it.net)});
    return it.says;
}

namespace {

// Ohms given to a conductor that closes a ring of conductors without resistance: the current round it is then determined, and
// the voltages stay within a millionth of a volt per ampere.
constexpr double ring_ohms = 1e-6;

class Layout {
public:
    Layout(const Circuit& circuit, const Plan& plan, const LayoutRequest& request)
        : circuit_(circuit), plan_(plan), request_(request) {
        network_.node_of_net.assign(circuit.nets.size(), Network::absent);
        if (plan.reference >= 0) network_.node_of_net[plan.reference] = -1;
        network_.devices.resize(plan.device_spreads.size());
    }

    Network build() {
        if (request_.powered && circuit_.setup) put_setup(*circuit_.setup);
        for (const PlannedPart& part : plan_.parts)
            if (!is_out(part)) put_part(part);
        for (const Departure& departure : request_.departures) put_departure(departure);
        if (request_.across) put_meter(*request_.across);
        resist_rings();
        for (const auto& element : network_.elements) network_.linear = network_.linear && element->is_linear();
        return std::move(network_);
    }

private:
    int node(int net) {
        int& place = network_.node_of_net[net];
        if (place == Network::absent) {
            place = network_.size();
            network_.unknowns.push_back({net, true, {}});
        }
        return place;
    }
    int own_node(const std::string& ref) {
        network_.unknowns.push_back({-1, true, ref});
        return network_.size() - 1;
    }
    int index(NetId net) const { return static_cast<int>(net.index); }

    // Places the element; `nodes` as unknowns or -1. Its first own unknown, or -1.
    int place(std::unique_ptr<Element> element, std::vector<int> nodes, const std::string& ref, int net = -1) {
        element->at = std::move(nodes);
        int first = -1;
        for (int k = 0; k < element->branches(); ++k) {
            if (first < 0) first = network_.size();
            element->at.push_back(network_.size());
            network_.unknowns.push_back({net, false, ref});
        }
        network_.elements.push_back(std::move(element));
        return first;
    }

    void put_setup(const Setup& setup) {
        for (const Supply& supply : setup.supplies) {
            const bool metered = request_.through_supply == supply.name && !supply.name.empty();
            const double ohms = supply.ohms + (metered ? request_.burden_ohms : 0);
            const int own = place(std::make_unique<Branch>(Branch::Values{supply.volts, ohms, 0}),
                                  {node(index(supply.plus)), node(index(supply.minus))}, supply.name, index(supply.plus));
            network_.supplies.push_back({supply.name, own});
            network_.volts_about += std::fabs(supply.volts);
            if (metered) meter(own, -1);
        }
        if (setup.source)
            network_.source = place(std::make_unique<Branch>(Branch::Values{0, setup.source->ohms, 0}),
                                    {node(index(setup.source->net)), node(index(setup.source->back))}, "the source",
                                    index(setup.source->net));
        if (setup.load) {
            network_.load_a = node(index(setup.load->net));
            network_.load_b = node(index(setup.load->back));
            if (setup.load->ohms && *setup.load->ohms > 0)
                place(std::make_unique<Resistor>(*setup.load->ohms), {network_.load_a, network_.load_b}, "the load");
            else if (setup.load->ohms)
                place(std::make_unique<Branch>(Branch::Values{}), {network_.load_a, network_.load_b}, "the load",
                      index(setup.load->net));
        }
    }

    void meter(int own, double sign) {
        network_.meter_current = own;
        network_.meter_sign = sign;
    }

    bool is_out(const PlannedPart& part) const {
        if (!request_.powered && (part.is_battery || part.is_chip || part.is_valve)) return true;
        if (std::find(request_.without.begin(), request_.without.end(), part.part) != request_.without.end()) return true;
        return std::any_of(request_.departures.begin(), request_.departures.end(), [&](const Departure& departure) {
            return departure.taken == Taken::open && departure.part == part.part;
        });
    }

    // The terminal's node: its net's, or behind the meter where the current into that pin is read, or one of its own where the
    // pin is open.
    int terminal_node(const PlannedPart& part, const Terminal& terminal) {
        if (terminal.net < 0) return own_node(part.ref);
        if (!request_.through_pin || *request_.through_pin != terminal.pin) return node(terminal.net);
        if (behind_meter_ < 0) {
            behind_meter_ = own_node(part.ref);
            meter(place(std::make_unique<Branch>(Branch::Values{0, request_.burden_ohms, 0}),
                        {node(terminal.net), behind_meter_}, part.ref, terminal.net), 1);
        }
        return behind_meter_;
    }

    void put_part(const PlannedPart& part) {
        constexpr int unplaced = -3;
        std::vector<int> node_of_terminal(part.terminals.size(), unplaced);
        const auto terminal_at = [&](int t) {
            if (t < 0) return own_node(part.ref);
            if (node_of_terminal[t] == unplaced) node_of_terminal[t] = terminal_node(part, part.terminals[t]);
            return node_of_terminal[t];
        };
        for (const Prototype& prototype : part.prototypes) {
            std::vector<int> nodes;
            int net = -1;
            for (int t : prototype.terminals) {
                nodes.push_back(terminal_at(t));
                if (t >= 0 && net < 0 && nodes.back() >= 0) net = part.terminals[t].net;
            }
            const int placed = static_cast<int>(network_.elements.size());
            for (std::size_t k = 0; k < prototype.terminals.size(); ++k)
                if (const int t = prototype.terminals[k]; t >= 0)
                    network_.touches.push_back({placed, static_cast<int>(k), part.terminals[t].pin});
            const int own = place(prototype.element->copy(), std::move(nodes), part.ref, net);
            if (prototype.takes_value && part.value) valued(part).elements.push_back(placed);
            if (part.device >= 0) network_.devices[part.device].push_back(placed);
            if (part.is_battery && own >= 0) put_battery(part, own);
        }
        for (const Terminal& terminal : part.terminals) {
            if (terminal.net < 0) continue;
            if (part.hides_rest) network_.hidden_rest.push_back(node(terminal.net));
            if (part.hides_response) network_.hidden_response.push_back(node(terminal.net));
        }
        if (part.hides_rest || (part.hides_response && part.is_chip)) network_.hidden_actively = true;
        take_departed_value(part);
    }

    void put_battery(const PlannedPart& part, int own) {
        network_.supplies.push_back({part.ref, own});
        if (part.value) network_.volts_about += std::fabs(*part.value);
        if (request_.through_supply != part.ref) return;
        // The meter's burden stands in series with the battery's own resistance.
        static_cast<Branch&>(*network_.elements.back()).add_ohms(request_.burden_ohms);
        meter(own, -1);
    }

    Network::Valued& valued(const PlannedPart& part) {
        // A part's sections stand next to each other.
        if (!network_.valued.empty() && network_.valued.back().part == part.part) return network_.valued.back();
        return network_.valued.emplace_back(Network::Valued{part.part, *part.value, part.tolerance, {}, *part.value});
    }

    void take_departed_value(const PlannedPart& part) {
        for (const Departure& departure : request_.departures)
            if (departure.taken == Taken::value && departure.part == part.part && std::isfinite(departure.amount))
                network_.set_value(part.part, departure.amount);
    }

    // Shorts and leaks, between the pins given or all the part's.
    void put_departure(const Departure& departure) {
        if (departure.taken != Taken::shorted && departure.taken != Taken::leak) return;
        const bool is_leak = departure.taken == Taken::leak && departure.amount > 0;
        if (is_leak) network_.leaks.push_back({-1, departure.amount});
        const Part& part = circuit_[departure.part];
        std::vector<int> nets;
        for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
            if (departure.pins && i != departure.pins->first && i != departure.pins->second) continue;
            if (part.pins[i].state == PinState::traced) nets.push_back(index(part.pins[i].net));
        }
        if (departure.taken == Taken::leak && nets.size() > 2) nets.resize(2);
        for (std::size_t i = 1; i < nets.size(); ++i) {
            std::vector<int> nodes{node(nets[i - 1]), node(nets[i])};
            if (nodes[0] == nodes[1]) continue;
            if (is_leak) {
                network_.leaks.back().element = static_cast<int>(network_.elements.size());
                place(std::make_unique<Resistor>(departure.amount), std::move(nodes), part.ref);
            } else {
                place(std::make_unique<Branch>(Branch::Values{}), std::move(nodes), part.ref, nets[i]);
            }
        }
    }

    void put_meter(const LayoutRequest::Across& across) {
        if (across.a < 0 || across.b < 0) return;
        network_.meter_a = node(across.a);
        network_.meter_b = node(across.b);
        const std::vector<int> nodes{network_.meter_a, network_.meter_b};
        if (nodes[0] == nodes[1]) return;
        if (across.siemens > 0)
            place(std::make_unique<Resistor>(Resistor::of_siemens(across.siemens)), nodes, "the meter");
        if (across.test_volts) {
            meter(place(std::make_unique<Branch>(Branch::Values{*across.test_volts, 0, 0}), nodes, "the meter", across.a), -1);
            network_.volts_about += std::fabs(*across.test_volts);
        }
        if (across.test_amperes) {
            place(std::make_unique<CurrentSource>(*across.test_amperes), nodes, "the meter");
            network_.volts_about += 10;
        }
    }

    // Conductors without resistance form a forest, or the current round a ring would be undetermined: those that close one
    // get a trace of resistance.
    void resist_rings() {
        Classes joined(network_.unknowns.size() + 1);
        for (auto& element : network_.elements) {
            for (int branch = 0; branch < element->branches(); ++branch) {
                int a = 0, b = 0;
                if (!element->is_bare(branch, &a, &b)) continue;
                if (!joined.join(element->at[a] + 1, element->at[b] + 1)) element->give_resistance(branch, ring_ohms);
            }
        }
    }

    const Circuit& circuit_;
    const Plan& plan_;
    const LayoutRequest& request_;
    Network network_;
    int behind_meter_ = -1;
};

}  // namespace

Network lay_out(const Circuit& circuit, const Plan& plan, const LayoutRequest& request) {
    return Layout(circuit, plan, request).build();
}

}  // namespace tallyboard::detail
