#include "circuit/circuit_builder.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "circuit/bench_builder.h"
#include "circuit/packages.h"
#include "circuit/part_builder.h"
#include "circuit/written.h"

namespace tallyboard {

CircuitBuilder::CircuitBuilder(const SourceText& text, CircuitRole role, KindTable kinds, Diagnoses& diagnoses)
    : text_(text), diagnoses_(diagnoses) {
    circuit_.role = role;
    circuit_.kinds = std::move(kinds);
}

void CircuitBuilder::expect(std::size_t parts) {
    circuit_.parts.reserve(parts);
    parts_.reserve(parts);
    nets_.reserve(parts);
}

void CircuitBuilder::date(const Written& written) {
    if (!written) return;
    if (Result<Date> date = read_date(written.text); !date) diagnoses_.error(written.at(), date.error());
}

void CircuitBuilder::about(const AboutRow& row) {
    About& about = circuit_.about;
    about.title = row.title.text;
    about.maker = row.maker.text;
    about.model = row.model.text;
    about.serial = row.serial.text;
    about.source = row.source.text;
    about.by = row.by.text;
    about.date = row.date.text;
    about.note = row.note.text;
    date(row.date);
    if (!row.made) return;
    if (Result<Date> made = read_date(row.made.text)) about.made = *made;
    else diagnoses_.error(row.made.at(), made.error());
}

void CircuitBuilder::defaults(const DefaultsRow& row) {
    auto habit = read_word<CapacitorHabit>(diagnoses_, row.capacitor, "habit of writing capacitors",
                                           {{"uF", CapacitorHabit::microfarad},
                                            {"pF", CapacitorHabit::picofarad},
                                            {"mixed", CapacitorHabit::mixed}});
    if (habit) circuit_.defaults.capacitor = *habit;
    circuit_.defaults.resistor_tol = read_written_tolerance(diagnoses_, row.resistor_tol);
    circuit_.defaults.capacitor_tol = read_written_tolerance(diagnoses_, row.capacitor_tol);
}

void CircuitBuilder::scan(const Written& file, Span span) { circuit_.scans.push_back({std::string(file.text), span}); }

void CircuitBuilder::revision(Revision revision, const Written& when) {
    date(when);
    circuit_.revisions.push_back(std::move(revision));
}

void CircuitBuilder::board_is(const Written& complete, const Written& on) {
    circuit_.complete = read_yes_no(diagnoses_, complete, "answer").value_or(true);
    circuit_.on = on.text;
}

void CircuitBuilder::look_at_commas(std::string_view value) {
    for (std::size_t i = 0; i + 1 < value.size(); ++i) {
        if (!is_digit(value[i + 1])) continue;
        if (value[i] == '.') ++decimal_points_;
        if (value[i] != ',') continue;
        std::size_t digits = i + 1;
        while (digits < value.size() && is_digit(value[digits])) ++digits;
        if (digits - i - 1 != 3) ++decimal_commas_;
    }
}

bool CircuitBuilder::is_reference(const Written& name, std::string_view what) {
    std::string_view text = name.text;
    std::string said = "\"" + std::string(text) + "\" cannot be " + std::string(what) + ": ";
    if (text.empty()) diagnoses_.error(name.at(), std::string(what) + " is empty");
    else if (text == "?" || text == "-") diagnoses_.error(name.at(), said + "this sign stands for a pin's net");
    else if (auto bad = text.find_first_of(" \t\r\n.@#="); bad != std::string_view::npos)
        diagnoses_.error(name.at(bad), said + (is_blank(text[bad]) ? std::string("a blank")
                                                                   : "the sign " + std::string(1, text[bad])) +
                                           " may not stand in it");
    else return true;
    return false;
}

bool CircuitBuilder::is_net_name(std::string_view name, std::size_t offset) {
    std::string said = "\"" + std::string(name) + "\" cannot be a net's name: ";
    if (name.empty()) diagnoses_.error(offset, "a net's name is empty");
    else if (name == "?" || name == "-") diagnoses_.error(offset, said + "this sign stands for a pin not traced or not connected");
    else if (name.find_first_of(" \t\r\n") != std::string_view::npos) diagnoses_.error(offset, said + "a blank may not stand in it");
    else if (name.find('=') != std::string_view::npos) diagnoses_.error(offset, said + "the sign = may not stand in it");
    else return true;
    return false;
}

NetId CircuitBuilder::net_named(std::string_view name, Span span) {
    auto [at, added] = nets_.emplace(name, NetId{static_cast<std::uint32_t>(circuit_.nets.size())});
    if (added) circuit_.nets.push_back({std::string(name), NetRole::unsaid, {}, span, false});
    return at->second;
}

void CircuitBuilder::net(const NetRow& row) {
    if (!row.name || !is_net_name(row.name.text, row.name.at())) return;
    auto role = read_word<NetRole>(diagnoses_, row.role, "role",
                                   {{"ground", NetRole::ground}, {"earth", NetRole::earth}, {"supply", NetRole::supply},
                                    {"mains", NetRole::mains}, {"heater", NetRole::heater}, {"signal", NetRole::signal},
                                    {"other", NetRole::other}});
    Net& net = circuit_.nets[net_named(row.name.text, row.span).index];
    if (net.declared) {
        diagnoses_.error(row.name.at(), "there is already a <net> of the name " + net.name + ", on " +
                                            diagnoses_.line_words(net.span.begin));
        return;
    }
    net.declared = true;
    net.span = row.span;
    net.role = role.value_or(NetRole::unsaid);
}

void CircuitBuilder::part(const PartRow& row) {
    PartId id{static_cast<std::uint32_t>(circuit_.parts.size())};
    bool named = row.ref && is_reference(row.ref, "a reference");
    if (named) {
        auto [first, added] = parts_.emplace(row.ref.text, id);
        if (!added)
            diagnoses_.error(row.ref.at(), "there is already a part " + std::string(row.ref.text) + ", on " +
                                               diagnoses_.line_words(circuit_.parts[first->second.index].span.begin));
    }
    if (row.package && is_reference(row.package, "a package's name")) packages_.emplace(row.package.text, Span{row.package.at(), 0});
    PartBuilder builder(*this, row);
    if (!builder.build()) broken_.insert(id.index);
}

// Net::pins in file order: by part, then by pin.
void CircuitBuilder::gather_pins() {
    for (std::uint32_t p = 0; p < circuit_.parts.size(); ++p) {
        if (circuit_.parts[p].fit == Fit::no) continue;
        for (std::uint32_t i = 0; i < circuit_.parts[p].pins.size(); ++i) {
            const Pin& pin = circuit_.parts[p].pins[i];
            if (pin.state == PinState::traced) circuit_.nets[pin.net.index].pins.push_back({PartId{p}, i});
        }
    }
}

void CircuitBuilder::check_packages() {
    for (const auto& [name, span] : packages_)
        if (auto part = parts_.find(name); part != parts_.end())
            diagnoses_.error(span.begin, "the package " + std::string(name) + " has the name of a part, on " +
                                             diagnoses_.line_words(circuit_.parts[part->second.index].span.begin));
    if (diagnoses_.has_errors()) return;  // pins and models may be missing
    for (const Package& package : packages_of(circuit_)) {
        const Part& first = circuit_[package.members.front()];
        for (PartId id : package.members) {
            const Part& part = circuit_[id];
            const KindTable& kinds = circuit_.kinds;
            const Part* other = nullptr;
            for (PartId before : package.members) {
                if (before == id) break;
                const std::string& model = circuit_[before].model;
                // Types that only a marking gives are not the writer's word.
                bool both_written = part.model_span != Span{} && circuit_[before].model_span != Span{};
                if (both_written && !model.empty() && !part.model.empty() && !kinds.same_type(model, part.model) &&
                    !kinds.same_type(part.model, model))
                    other = &circuit_[before];
            }
            if (!other) continue;
            diagnoses_.error(part.model_span.begin,
                             "the package " + package.name + " is of two types: " + part.model + " by " + part.ref + ", " +
                                 other->model + " by " + other->ref + " on " + diagnoses_.line_words(other->span.begin));
        }
        auto whole = assemble(circuit_, package.members, package.holders.front());
        if (!whole) {
            const Part& last = circuit_[package.members.back()];
            diagnoses_.error(last.span.begin, "the package " + package.name + " is given two ways (first on " +
                                                  diagnoses_.line_words(first.span.begin) + "): " + whole.error());
        }
    }
}

Circuit CircuitBuilder::finish(const BenchRows& rows) {
    std::set<std::string_view> scans;
    for (const Scan& scan : circuit_.scans) scans.insert(scan.file);
    for (const Written& named : scans_named_) {
        if (!scans.count(named.text)) diagnoses_.error(named.at(), "no <scan> of this file is called \"" + std::string(named.text) + "\"");
    }
    BenchBuilder(*this, rows).build();
    gather_pins();
    check_packages();
    circuit_.remarks = diagnoses_.remarks();
    return std::move(circuit_);
}

}  // namespace tallyboard
