#include "circuit/bench_builder.h"

#include <algorithm>

#include "base/text.h"
#include "circuit/continuity.h"
#include "circuit/written.h"

namespace tallyboard {

BenchBuilder::BenchBuilder(CircuitBuilder& whole, const BenchRows& rows)
    : whole_(whole), circuit_(whole.circuit_), diagnoses_(whole.diagnoses_), rows_(rows) {}

void BenchBuilder::build() {
    continuity();
    for (const MeterRow& row : rows_.meters) meter(row);
    if (rows_.has_setup) setup();
    for (const ReadingRow& row : rows_.readings) reading(row);
    for (const Written& named : whole_.found_meters_) meter_called(named);
}

void BenchBuilder::continuity() {
    for (const TestRow& row : rows_.tests) {
        auto beeps = read_word<Beeps>(diagnoses_, row.beeps, "answer",
                                      {{"yes", Beeps::yes}, {"part", Beeps::part}, {"no", Beeps::no}});
        auto from = place(row.from), to = place(row.to);
        if (beeps && from && to)
            circuit_.continuity.push_back({*from, *to, *beeps, collapsed(row.note.text), row.span});
    }
    carry_out_continuity(circuit_, diagnoses_);
    // Tests may have brought their own pins to a net.
    for (ContinuityTest& test : circuit_.continuity)
        for (Place* at : {&test.from, &test.to})
            if (at->pin && circuit_[*at->pin].state == PinState::traced) at->net = circuit_[*at->pin].net;
}

std::vector<std::string> BenchBuilder::refs() const {
    std::vector<std::string> out;
    for (const Part& part : circuit_.parts) out.push_back(part.ref);
    return out;
}

std::optional<PartId> BenchBuilder::part_called(const Written& written, std::string_view ref, std::size_t offset) {
    auto at = whole_.parts_.find(ref);
    if (at != whole_.parts_.end()) return at->second;
    std::string nearest = diagnoses_.nearest(offset, ref, [&] { return refs(); });
    diagnoses_.error(offset, "there is no part " + std::string(ref) +
                                 (written.text.starts_with(std::string(ref) + ".") ? " for " + std::string(written.text) : "") +
                                 (nearest.empty() ? "" : "; did you mean \"" + nearest + "\"?"));
    return std::nullopt;
}

std::optional<PinId> BenchBuilder::pin_of(PartId id, std::string_view name, std::size_t offset) {
    if (whole_.broken_.count(id.index)) return std::nullopt;
    Part& part = circuit_.parts[id.index];
    const Kind& kind = circuit_.kinds[part.kind];
    if (part.fit == Fit::no) {
        diagnoses_.error(offset, part.ref + " is not fitted and has no terminals; name the net");
        return std::nullopt;
    }
    // Open kinds have pins by more than one name too: "c" for a selector's common, "P1" for p1.
    auto own = kind.pin(name);
    std::string wanted = own ? kind.pins[*own].name : std::string(name);
    if (!own && kind.pattern == PinPattern::windings) wanted = ascii_lower(name);
    std::vector<std::string> known;
    for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
        if (part.pins[i].name == wanted) return PinId{id, i};
        known.push_back(part.pins[i].name);
    }
    std::string nearest = diagnoses_.nearest(offset, name, [&] { return known; });
    diagnoses_.error(offset, part.ref + " has no pin \"" + std::string(name) + "\"" +
                                 (nearest.empty() ? known.empty() ? std::string() : "; it has " + join_words(known)
                                                  : "; did you mean \"" + nearest + "\"?"));
    return std::nullopt;
}

std::optional<Place> BenchBuilder::place(const Written& written) {
    if (!written) return std::nullopt;
    Place out{std::string(written.text), std::nullopt, std::nullopt, {written.at(), written.at(written.text.size())}};
    if (auto net = whole_.nets_.find(written.text); net != whole_.nets_.end()) {
        out.net = net->second;
        return out;
    }
    std::size_t dot = written.text.find('.');
    if (dot == std::string_view::npos) {
        std::string nearest = diagnoses_.nearest(written.at(), written.text, [&] {
            std::vector<std::string> names;
            for (const Net& net : circuit_.nets) names.push_back(net.name);
            return names;
        });
        bool is_part = whole_.parts_.count(written.text) > 0;
        diagnoses_.error(written.at(), is_part ? out.text + " is a part; name one of its pins: " + out.text + ".PIN"
                                       : nearest.empty() ? "there is no net " + out.text + ", and it is not REF.PIN"
                                                         : "there is no net " + out.text + "; did you mean \"" + nearest + "\"?");
        return std::nullopt;
    }
    auto part = part_called(written, written.text.substr(0, dot), written.at());
    if (!part) return std::nullopt;
    out.pin = pin_of(*part, written.text.substr(dot + 1), written.at(dot + 1));
    if (!out.pin) return std::nullopt;
    if (circuit_[*out.pin].state == PinState::traced) out.net = circuit_[*out.pin].net;
    return out;
}

std::optional<NetId> BenchBuilder::net_at(const Written& written) {
    auto at = place(written);
    if (!at) return std::nullopt;
    if (!at->net)
        diagnoses_.error(written.at(), at->text + (circuit_[*at->pin].state == PinState::nowhere ? " is not connected to anything"
                                                                                                 : " is not traced to a net yet"));
    return at->net;
}

void BenchBuilder::setup() {
    circuit_.setup.emplace();
    for (const SupplyRow& row : rows_.supplies) supply(row);
    if (rows_.source) {
        auto net = net_at(rows_.source->net), back = net_at(rows_.source->back);
        auto ohms = read_si(diagnoses_, rows_.source->resistance, Quantity::resistance);
        if (net && back) circuit_.setup->source = Source{*net, *back, ohms.value_or(0), rows_.source->span};
    }
    if (rows_.load) {
        auto net = net_at(rows_.load->net), back = net_at(rows_.load->back);
        auto ohms = read_si(diagnoses_, rows_.load->resistance, Quantity::resistance);
        if (net && back) circuit_.setup->load = Load{*net, *back, ohms, rows_.load->span};
    }
    std::vector<std::optional<std::size_t>> set(circuit_.parts.size());
    for (const ControlRow& row : rows_.controls) control(row, set);
}

void BenchBuilder::supply(const SupplyRow& row) {
    auto plus = net_at(row.plus), minus = net_at(row.minus);
    auto volts = read_si(diagnoses_, row.voltage, Quantity::voltage, true);
    auto ohms = read_si(diagnoses_, row.resistance, Quantity::resistance);
    if (!plus || !minus || !volts) return;
    if (*plus == *minus) {
        diagnoses_.error(row.span.begin, "plus and minus of this supply are one net, " + circuit_[*plus].name);
        return;
    }
    Supply supply{std::string(row.name.text), *plus, *minus, *volts, ohms.value_or(0), row.span};
    bool plus_is_ground = circuit_[*plus].role == NetRole::ground;
    if (!row.name) supply.name = circuit_[plus_is_ground ? *minus : *plus].name;
    auto [first, added] = supplies_.emplace(supply.name, row.span.begin);
    if (!added)
        diagnoses_.error(row.name ? row.name.at() : row.span.begin,
                         "there is already a supply " + supply.name + ", on " + diagnoses_.line_words(first->second) +
                             (row.name ? "" : "; give them names"));
    circuit_.setup->supplies.push_back(std::move(supply));
}

void BenchBuilder::control(const ControlRow& row, std::vector<std::optional<std::size_t>>& set) {
    if (!row.ref) return;
    auto id = part_called(row.ref, row.ref.text, row.ref.at());
    if (!id || whole_.broken_.count(id->index) || !row.at) return;
    if (set[id->index]) {
        diagnoses_.error(row.ref.at(), std::string(row.ref.text) + " is set twice, first on " +
                                           diagnoses_.line_words(*set[id->index]));
        return;
    }
    set[id->index] = row.span.begin;
    const Part& part = circuit_[*id];
    const Kind& kind = circuit_.kind_of(part);
    Control control{*id, std::nullopt, std::string(row.at.text), row.span};
    if (kind.pin("wiper")) {
        Result<double> share = read_share(row.at.text);
        if (!share || *share < 0 || *share > 1) {
            diagnoses_.error(row.at.at(), "a control is set from 0, fully anticlockwise, to 1, fully clockwise, not to \"" +
                                              std::string(row.at.text) + "\"");
            return;
        }
        control.share = *share;
    } else {
        std::vector<std::string> positions;
        if (kind.name == "switch") positions = {"open", "closed"};
        else if (kind.name == "changeover") positions = {"a", "b"};
        else if (kind.pattern == PinPattern::contacts)
            for (const Pin& pin : part.pins)
                if (is_digit(pin.name.front())) positions.push_back(pin.name);
        if (positions.empty()) {
            diagnoses_.error(row.ref.at(), part.ref + " is " + kind.says + ", which has no setting");
            return;
        }
        if (std::find(positions.begin(), positions.end(), control.position) == positions.end()) {
            diagnoses_.error(row.at.at(), part.ref + " is set to " + join_words(positions, "or") + ", not to \"" +
                                              control.position + "\"");
            return;
        }
    }
    circuit_.setup->controls.push_back(std::move(control));
}

void BenchBuilder::meter(const MeterRow& row) {
    Meter meter;
    meter.id = row.id.text;
    meter.span = row.span;
    auto [first, added] = meters_.emplace(row.id.text, circuit_.bench.meters.size());
    if (row.id && !added)
        diagnoses_.error(row.id.at(), "there is already a meter " + meter.id + ", on " +
                                          diagnoses_.line_words(circuit_.bench.meters[first->second].span.begin));
    std::string_view input = row.input.text;
    Written ohms = row.input;
    bool per_volt = input.size() > 2 && (input.ends_with("/V") || input.ends_with("/v"));
    if (per_volt) ohms.text.remove_suffix(2);
    if (auto resistance = read_si(diagnoses_, ohms, Quantity::resistance)) {
        if (*resistance <= 0) diagnoses_.error(row.input.at(), "a meter's input resistance is more than zero");
        else (per_volt ? meter.ohms_per_volt : meter.input_ohms) = *resistance;
    }
    if (row.error) {
        Result<Tolerance> error = read_tolerance(row.error.text);
        if (!error) diagnoses_.error(row.error.at(), error.error());
        else meter.error = std::max(error->minus, error->plus);
    }
    meter.burden_volts = read_si(diagnoses_, row.burden, Quantity::voltage);
    if (row.test) {
        // Volts across the probes or a current through them: the unit says which.
        std::string_view unit = row.test.text;
        bool amperes = unit.ends_with("A") || unit.ends_with("a");
        bool volts = unit.ends_with("V") || unit.ends_with("v");
        if (!amperes && !volts)
            diagnoses_.error(row.test.at(), "a test is a voltage or a current; write its unit: 200mV, 1mA");
        else (amperes ? meter.test_amperes : meter.test_volts) =
            read_si(diagnoses_, row.test, amperes ? Quantity::current : Quantity::voltage);
    }
    circuit_.bench.meters.push_back(std::move(meter));
}

const Meter* BenchBuilder::meter_called(const Written& written) {
    if (auto known = meters_.find(written.text); known != meters_.end()) return &circuit_.bench.meters[known->second];
    std::string nearest = diagnoses_.nearest(written.at(), written.text, [&] {
        std::vector<std::string> ids;
        for (const Meter& meter : circuit_.bench.meters) ids.push_back(meter.id);
        return ids;
    });
    diagnoses_.error(written.at(), "there is no meter " + std::string(written.text) +
                                       (nearest.empty() ? "; write a <meter id=\"" + std::string(written.text) + "\"> in a <bench>"
                                                        : "; did you mean \"" + nearest + "\"?"));
    return nullptr;
}

void BenchBuilder::reading(const ReadingRow& row) {
    auto what = read_word<ReadingWhat>(diagnoses_, row.what, "reading",
                                       {{"voltage", ReadingWhat::voltage}, {"resistance", ReadingWhat::resistance},
                                        {"current", ReadingWhat::current}});
    if (!what) return;
    Reading reading;
    reading.what = *what;
    reading.is_text = collapsed(row.is.text);
    reading.note = collapsed(row.note.text);
    reading.span = row.span;
    reading.at = place(row.at);
    reading.to = place(row.to);
    bool current = *what == ReadingWhat::current;
    std::string needed = std::string("a reading of a ") + std::string(row.what.text);
    if (current) {
        if (!row.through) diagnoses_.error(row.span.begin, needed + " needs through: a supply, a battery, or REF.PIN");
        for (const Written* odd : {&row.at, &row.to})
            if (*odd) diagnoses_.error(odd->at(), needed + " goes through something: write through, not at and to");
        current_through(row, reading);
    } else {
        if (!row.at) diagnoses_.error(row.span.begin, needed + " needs at, the place of the probe");
        if (row.through) diagnoses_.error(row.through.at(), needed + " has at and to; through belongs to a current");
        // A voltage is against ground where nothing else is said, as the black lead is.
        if (*what == ReadingWhat::voltage && !row.to) {
            if (auto ground = circuit_.ground()) reading.to = Place{circuit_[*ground].name, std::nullopt, *ground, {}};
            else diagnoses_.error(row.span.begin, needed + " needs to, the other probe; no net here has role=\"ground\"");
        }
        if (*what == ReadingWhat::resistance && !row.to) diagnoses_.error(row.span.begin, needed + " needs to, the other probe");
    }
    Quantity quantity = *what == ReadingWhat::voltage ? Quantity::voltage
                        : current                     ? Quantity::current
                                                      : Quantity::resistance;
    reading.is = read_si(diagnoses_, row.is, quantity, *what != ReadingWhat::resistance).value_or(0);
    reading.within = read_si(diagnoses_, row.within, quantity);
    if (row.range && *what == ReadingWhat::resistance)
        diagnoses_.error(row.range.at(), "a range belongs to a reading of volts or amperes");
    else reading.range = read_si(diagnoses_, row.range, quantity);
    without(row, reading);
    reading.when = read_word<When>(diagnoses_, row.when, "state", {{"found", When::found}, {"left", When::left}})
                       .value_or(When::found);
    if (row.meter) {
        const Meter* meter = meter_called(row.meter);
        if (meter) reading.meter = meter->id;
        if (meter && meter->ohms_per_volt && *what == ReadingWhat::voltage && !row.range)
            diagnoses_.error(row.span.begin, "the meter " + meter->id + " has ohms per volt; write the reading's range");
        if (meter && meter->burden_volts && current && !row.range)
            diagnoses_.error(row.span.begin, "the meter " + meter->id + " has a burden at full range; write the reading's range");
    }
    circuit_.bench.readings.push_back(std::move(reading));
}

void BenchBuilder::current_through(const ReadingRow& row, Reading& reading) {
    if (!row.through) return;
    std::string_view name = row.through.text;
    reading.through = name;
    if (supplies_.count(name)) return;
    if (auto part = whole_.parts_.find(name); part != whole_.parts_.end()) {
        if (whole_.broken_.count(part->second.index) || circuit_.kind_of(circuit_[part->second]).name == "battery") return;
        diagnoses_.error(row.through.at(), std::string(name) + " is no supply and no battery; name the pin the current flows into: " +
                                               std::string(name) + ".PIN");
        return;
    }
    std::size_t dot = name.find('.');
    if (dot == std::string_view::npos) {
        std::string nearest = diagnoses_.nearest(row.through.at(), name, [&] {
            std::vector<std::string> known;
            for (const auto& entry : supplies_) known.push_back(entry.first);
            return known;
        });
        diagnoses_.error(row.through.at(), "there is no supply or battery " + std::string(name) +
                                               (nearest.empty() ? "" : "; did you mean \"" + nearest + "\"?"));
        return;
    }
    auto part = part_called(row.through, name.substr(0, dot), row.through.at());
    if (part) reading.through_pin = pin_of(*part, name.substr(dot + 1), row.through.at(dot + 1));
    if (reading.through_pin) reading.through.clear();
}

// References, or the name of a package for all its sections.
void BenchBuilder::without(const ReadingRow& row, Reading& reading) {
    std::string_view text = row.without.text;
    for (std::size_t i = 0; i < text.size();) {
        while (i < text.size() && is_blank(text[i])) ++i;
        std::size_t begin = i;
        while (i < text.size() && !is_blank(text[i])) ++i;
        std::string_view ref = text.substr(begin, i - begin);
        if (ref.empty()) break;
        if (whole_.packages_.count(ref)) {
            for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p)
                if (circuit_.parts[p].package == ref) reading.without.push_back(PartId{p});
        } else if (auto part = part_called(row.without, ref, row.without.at(begin))) {
            reading.without.push_back(*part);
        }
    }
}

}  // namespace tallyboard
