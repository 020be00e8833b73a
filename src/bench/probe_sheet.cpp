#include "bench/probe_sheet.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <fmt/format.h>

#include "base/number_text.h"
#include "base/text.h"

namespace tallyboard {
namespace {

constexpr double hazardous_volts = 60;     // DC, steady state: IEC 62368-1, ES1
constexpr double loading_told = 0.03;      // share of the reading that the meter may take before the sheet says so
constexpr double proof_margin = 0.02;      // in-circuit resistance nearer to the part's own than this proves the part

Meter meter_of(const Circuit& circuit, const std::string& id) {
    for (const Meter& meter : circuit.bench.meters)
        if (id.empty() ? meter.input_ohms || meter.ohms_per_volt : meter.id == id) return meter;
    if (!id.empty()) {
        std::vector<std::string> known;
        for (const Meter& meter : circuit.bench.meters) known.push_back(meter.id);
        throw CommandError(circuit.source.name(), fmt::format("has no meter \"{}\"{}", id, known.empty() ? "" : "; it has " + join_words(known)));
    }
    Meter usual;
    usual.input_ohms = 10e6;
    usual.error = 0.01;
    return usual;
}

std::string meter_words(const Meter& meter) {
    std::string out = meter.id.empty() ? "a meter" : meter.id;
    if (meter.input_ohms) out += " of " + engineering_text(*meter.input_ohms, Quantity::resistance);
    else if (meter.ohms_per_volt) out += " of " + engineering_text(*meter.ohms_per_volt, Quantity::resistance) + " a volt";
    return out + fmt::format(", ±{} %", rounded_text(100 * meter.error, 2));
}

bool is_device(const Kind& kind) {
    return std::any_of(kind.pins.begin(), kind.pins.end(), [](const KindPin& p) { return p.role == PinRole::control; });
}

bool is_rail(const Circuit& circuit, NetId net) {
    NetRole role = circuit[net].role;
    if (role == NetRole::supply || role == NetRole::ground || role == NetRole::earth) return true;
    if (circuit.setup)
        for (const Supply& supply : circuit.setup->supplies)
            if (supply.plus == net || supply.minus == net) return true;
    return false;
}

// The least range of a moving-coil meter that takes the voltage without striking the stop.
double range_for(double volts) {
    double range = 1000;
    for (double step : {1000.0, 300.0, 100.0, 30.0, 10.0, 3.0, 1.0, 0.3})
        if (step >= 1.05 * std::fabs(volts)) range = step;
    return range;
}

Reading voltage_reading(const Circuit& circuit, NetId at, NetId to, const Meter& meter) {
    Reading reading;
    reading.at = Place{net_name(circuit, at), {}, at, {}};
    reading.to = Place{net_name(circuit, to), {}, to, {}};
    if (!meter.id.empty()) reading.meter = meter.id;
    return reading;
}

// The supply whose plus (or minus, below ground) stands nearest above the reading: what the ratio is taken to.
std::optional<NetId> rail_of(const Circuit& circuit, NetId ground, double volts, const OperatingPoint& dc) {
    std::optional<NetId> best;
    double nearest = 0;
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n) {
        NetId net{n};
        if (net == ground || circuit[net].role != NetRole::supply || !dc.net_volts[n]) continue;
        double rail = *dc.net_volts[n];
        if (rail * volts <= 0 || std::fabs(rail) < std::fabs(volts) * 0.999) continue;
        if (!best || std::fabs(rail) < std::fabs(nearest)) best = net, nearest = rail;
    }
    return best;
}

std::vector<VoltageRow> voltage_rows(const Circuit& circuit, const Solver& solver, const Meter& meter, NetId ground) {
    OperatingPoint dc = solver.operating_point();
    std::vector<VoltageRow> rows;
    for (NetId net : signal_order(circuit)) {
        if (net == ground || circuit[net].role == NetRole::mains || circuit[net].role == NetRole::heater) continue;
        VoltageRow row;
        row.net = net;
        row.to = ground;
        bool device = false, test = false;
        for (PinId pin : circuit[net].pins) {
            const Kind& kind = circuit.kind_of(circuit[pin.part]);
            if (is_device(kind)) row.pins.push_back(pin), device = true;
            else if (kind.name == "testpoint") row.pins.push_back(pin), test = true;
        }
        bool rail = is_rail(circuit, net);
        if (!device && !test && !rail) continue;
        row.group = rail ? ProbeGroup::supplies : device ? ProbeGroup::bias : ProbeGroup::signal;
        std::vector<std::string> names;
        for (PinId pin : row.pins) names.push_back(circuit[pin.part].ref + " " + circuit[pin].name);
        if (names.size() > 3) names.resize(3), names.push_back("others");
        row.place = rail || names.empty() ? net_name(circuit, net) : join_words(names);
        row.back = net_name(circuit, ground);
        Reading reading = voltage_reading(circuit, net, ground, meter);
        Expectation e = solver.expectation(reading);
        if (e.unloaded && meter.ohms_per_volt) {
            reading.range = range_for(*e.unloaded);
            e = solver.expectation(reading);
            row.note = fmt::format("{} V range", rounded_text(*reading.range, 3));
        }
        row.shows = e.expected, row.low = e.low, row.high = e.high, row.unloaded = e.unloaded;
        if (!e.expected) row.note = "not told: " + e.why_not;
        row.hazardous = !e.unloaded || std::fabs(*e.unloaded) > hazardous_volts;
        if (e.expected && e.unloaded && std::fabs(*e.unloaded) > 1e-6) {
            double taken = 1 - *e.expected / *e.unloaded;
            if (taken > loading_told) row.note += fmt::format("{}the meter takes {} % here", row.note.empty() ? "" : "; ", rounded_text(100 * taken, 2));
        }
        if (e.expected && !rail)
            if (std::optional<NetId> above = rail_of(circuit, ground, *e.expected, dc)) {
                row.rail = net_name(circuit, *above);
                row.rail_share = *e.expected / *dc.net_volts[above->index];
            }
        rows.push_back(std::move(row));
    }
    std::stable_sort(rows.begin(), rows.end(), [](const VoltageRow& a, const VoltageRow& b) { return a.group < b.group; });
    return rows;
}

// The pin easier to lift: on the net with fewer pins, the first where they are equal.
std::string leg_to_lift(const Circuit& circuit, PartId part, std::uint32_t a, std::uint32_t b) {
    std::size_t at_a = circuit[circuit[part].pins[a].net].pins.size(), at_b = circuit[circuit[part].pins[b].net].pins.size();
    return pin_name(circuit, PinId{part, at_b < at_a ? b : a});
}

std::vector<ResistanceRow> resistance_rows(const Circuit& circuit, const Solver& solver) {
    std::vector<ResistanceRow> rows;
    for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
        PartId id{i};
        const Part& part = circuit[id];
        const Kind& kind = circuit.kind_of(part);
        bool pot = kind.name == "potentiometer" || kind.name == "trimmer";
        if (part.fit == Fit::no || (kind.name != "resistor" && !pot) || !part.nominal()) continue;
        std::uint32_t a = 0, b = pot ? 2 : 1;
        if (part.pins[a].state != PinState::traced || part.pins[b].state != PinState::traced || part.pins[a].net == part.pins[b].net) continue;
        ResistanceRow row;
        row.part = id;
        row.from = pin_name(circuit, {id, a});
        row.to = pin_name(circuit, {id, b});
        row.nominal = part.nominal()->si();
        Reading reading;
        reading.what = ReadingWhat::resistance;
        reading.at = Place{row.from, PinId{id, a}, part.pins[a].net, {}};
        reading.to = Place{row.to, PinId{id, b}, part.pins[b].net, {}};
        Expectation e = solver.expectation(reading);
        std::swap(reading.at, reading.to);
        row.reversed = solver.reading_model(reading).expected();
        row.shows = e.expected, row.low = e.low, row.high = e.high;
        if (!e.expected) {
            row.note = "not told: " + e.why_not;
            row.lift = leg_to_lift(circuit, id, a, b);
        } else {
            double lowest = std::min(*e.expected, row.reversed.value_or(*e.expected));
            double upper = row.nominal * (1 + working_tolerance(circuit, part).plus);
            if (lowest > row.nominal * (1 - proof_margin)) row.proves = Proves::the_part;
            else if (lowest > row.nominal * 0.5) row.proves = Proves::not_open;
            if (row.proves != Proves::the_part) {
                row.lift = leg_to_lift(circuit, id, a, b);
                row.note = fmt::format("other paths lie across; above {} it is high",
                                       engineering_text(upper, Quantity::resistance));
            }
            if (row.reversed && std::fabs(*row.reversed - *e.expected) > proof_margin * *e.expected)
                row.note += std::string(row.note.empty() ? "" : "; ") + "a junction conducts: the leads' order matters";
        }
        rows.push_back(std::move(row));
    }
    return rows;
}

}  // namespace

std::vector<NetId> signal_order(const Circuit& circuit) {
    std::vector<char> met(circuit.nets.size());
    std::vector<NetId> order;
    std::deque<NetId> queue;
    auto meet = [&](NetId net) {
        if (met[net.index]) return;
        met[net.index] = 1;
        order.push_back(net);
        if (!is_rail(circuit, net)) queue.push_back(net);
    };
    auto spread = [&] {
        while (!queue.empty()) {
            NetId net = queue.front();
            queue.pop_front();
            for (PinId pin : circuit[net].pins)
                for (const Pin& other : circuit[pin.part].pins)
                    if (other.state == PinState::traced) meet(other.net);
        }
    };
    if (circuit.setup && circuit.setup->source) meet(circuit.setup->source->net);
    spread();
    for (std::uint32_t n = 0; n < circuit.nets.size(); ++n) meet(NetId{n}), spread();
    return order;
}

ProbeSheet probe_sheet(const Circuit& circuit, const ProbeOptions& options) {
    ProbeSheet sheet;
    Meter meter = meter_of(circuit, options.meter);
    sheet.meter = meter_words(meter);
    Solver solver(circuit, options.solve);
    sheet.remarks = solver.remarks();
    if (!is_powered(circuit)) sheet.remarks.push_back("no supply is set up: no voltage can be told; add <setup><supply .../></setup>");
    else if (std::optional<NetId> ground = circuit.ground()) sheet.voltages = voltage_rows(circuit, solver, meter, *ground);
    else sheet.remarks.push_back("no net is marked as ground and no supply is set up: no voltage can be told");
    sheet.resistances = resistance_rows(circuit, solver);
    if (circuit.setup)
        for (const Control& control : circuit.setup->controls)
            sheet.controls.push_back(control.share ? fmt::format("{} at {} % of its turn", circuit[control.part].ref, rounded_text(100 * *control.share, 3))
                                                   : fmt::format("{} {}", circuit[control.part].ref, control.position));
    return sheet;
}

}  // namespace tallyboard
