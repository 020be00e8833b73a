#include "xml/csv.h"

#include <algorithm>
#include <deque>
#include <map>

#include "base/number_text.h"
#include "base/text.h"
#include "circuit/circuit_builder.h"
#include "xml/csv_table.h"
#include "xml/write_circuit.h"

namespace tallyboard {
namespace {

struct Column { std::string_view name; Written PartRow::* field; };
constexpr Column part_columns[] = {
    {"ref", &PartRow::ref}, {"kind", &PartRow::kind}, {"value", &PartRow::value}, {"model", &PartRow::model}, {"tol", &PartRow::tol},
    {"package", &PartRow::package}, {"fit", &PartRow::fit}, {"on", &PartRow::on}, {"taper", &PartRow::taper}, {"half", &PartRow::half},
    {"resistance", &PartRow::resistance}, {"inductance", &PartRow::inductance}, {"capacitance", &PartRow::capacitance},
    {"note", &PartRow::note}, {"pins", &PartRow::pins}};

std::vector<std::string> column_names() {
    std::vector<std::string> names;
    for (const Column& column : part_columns) names.emplace_back(column.name);
    names.emplace_back("pin");
    names.emplace_back("net");
    return names;
}

// "PIN=NET …" put together from cells, each byte knowing where it came from.
struct Pins {
    Decoded text;
    void add(const Written& pin, const Written& net) {
        if (!text.text.empty()) append(" ", pin.at());
        append(pin);
        append("=", pin.at(pin.text.size()));
        if (net) append(net);
        else append("?", net.span.begin);
    }
    void append(const Written& cell) {
        for (std::size_t i = 0; i < cell.text.size(); ++i) {
            text.text += cell.text[i];
            text.offsets.push_back(cell.at(i));
        }
    }
    void append(std::string_view sign, std::size_t at) {
        text.text += sign;
        text.offsets.push_back(at);
    }
};

class CsvReader {
public:
    CsvReader(const SourceText& text, Diagnoses& diagnoses) : diagnoses_(diagnoses), table_(read_csv_table(text, diagnoses)) {}

    std::deque<PartRow> read() {
        if (table_.rows.empty()) {
            diagnoses_.error(0, "the table is empty; its first row names the columns: ref, kind, value, pin, net");
            return {};
        }
        header(table_.rows.front());
        diagnoses_.throw_errors();
        for (std::size_t r = 1; r < table_.rows.size(); ++r) row(table_.rows[r]);
        for (std::size_t p = 0; p < parts_.size(); ++p) finish(p);
        return std::move(parts_);
    }

private:
    void header(const std::vector<Written>& cells) {
        std::vector<std::string> known = column_names();
        for (const Written& cell : cells) {
            std::string name = ascii_lower(cell.text);
            if (std::find(known.begin(), known.end(), name) == known.end()) {
                diagnoses_.error(cell.at(), name.empty() ? "a column has no name" : diagnoses_.unknown(cell.at(), "column", cell.text, [&] { return known; }));
            } else if (!columns_.emplace(name, static_cast<std::size_t>(&cell - cells.data())).second) {
                diagnoses_.error(cell.at(), "there are two columns of the name " + name);
            }
        }
        std::size_t at = cells.front().at();
        for (std::string_view needed : {"ref", "kind"})
            if (!columns_.count(needed)) diagnoses_.error(at, "the column " + std::string(needed) + " is missing");
        bool pin = columns_.count("pin"), net = columns_.count("net"), pins = columns_.count("pins");
        if (pin != net) diagnoses_.error(at, std::string("the column ") + (pin ? "net" : "pin") + " is missing");
        if (pins && (pin || net)) diagnoses_.error(at, "either pin and net, or pins: not both");
        by_pin_ = pin;
    }

    const Written& cell(const std::vector<Written>& cells, std::string_view column) const {
        static const Written none;
        auto at = columns_.find(column);
        return at == columns_.end() || at->second >= cells.size() ? none : cells[at->second];
    }

    void row(const std::vector<Written>& cells) {
        const Written& ref = cell(cells, "ref");
        if (!ref && !by_pin_) return diagnoses_.error(cells.front().span.begin, "this row has no ref");
        if (!ref && parts_.empty()) return diagnoses_.error(cells.front().span.begin, "the first row has no ref");
        std::size_t part = parts_.size() - 1;
        bool added = false;
        if (ref) {
            auto [at, is_new] = by_ref_.emplace(ref.text, parts_.size());
            added = is_new || !by_pin_;  // one row a part: the builder tells a reference that stands twice
            part = added ? parts_.size() : at->second;
        }
        if (added) {
            parts_.push_back({});
            pins_.push_back({});
            parts_.back().span = {ref.span.begin, cells.back().span.end};
        }
        for (const Column& column : part_columns) {
            const Written& field = cell(cells, column.name);
            Written& to = parts_[part].*column.field;
            if (!field || (column.name == "pins" && by_pin_)) continue;
            if (!to) to = field;
            else if (to.text != field.text && column.name != "ref")
                diagnoses_.error(field.at(), std::string(parts_[part].ref.text) + " has " + std::string(column.name) + " \"" +
                                                 std::string(field.text) + "\" here and \"" + std::string(to.text) + "\" on " +
                                                 diagnoses_.line_words(to.at()));
        }
        if (!by_pin_) return;
        const Written &pin = cell(cells, "pin"), &net = cell(cells, "net");
        if (pin && pin.text.find_first_of("= \t\r\n") != std::string_view::npos)
            diagnoses_.error(pin.at(), "\"" + std::string(pin.text) + "\" is no pin's name");
        else if (pin && net.text.find_first_of("= \t\r\n") != std::string_view::npos)
            diagnoses_.error(net.at(), "\"" + std::string(net.text) + "\" is no net's name");
        else if (pin) pins_[part].add(pin, net);
        else if (net) diagnoses_.error(net.at(), "a net without a pin");
    }

    void finish(std::size_t index) {
        PartRow& part = parts_[index];
        if (!part.kind)
            diagnoses_.error(part.ref.at(), std::string(part.ref.text) + " has no kind");
        if (!by_pin_ || pins_[index].text.text.empty()) return;
        Decoded& text = pins_[index].text;
        part.pins.span = {text.offsets.front(), text.offsets.back() + 1};
        text.offsets.push_back(part.pins.span.end);
        part.pins.text = text.text;
        part.pins.offsets = &text.offsets;
        part.pins.given = true;
    }

    Diagnoses& diagnoses_;
    CsvTable table_;
    std::map<std::string, std::size_t, std::less<>> columns_;
    std::map<std::string_view, std::size_t> by_ref_;
    std::deque<PartRow> parts_;
    std::deque<Pins> pins_;  // the texts behind PartRow::pins, so the reader outlives the rows' use
    bool by_pin_ = false;
};

std::string with_comma(std::string text) {
    for (std::size_t i = 0; i + 1 < text.size(); ++i)
        if (text[i] == '.' && is_digit(text[i + 1])) text[i] = ',';
    return text;
}

}  // namespace

Circuit read_csv(SourceText text, CircuitRole role, const KindTable& kinds) {
    Diagnoses diagnoses(text);
    if (!is_valid_utf8(text.bytes())) {
        diagnoses.error(0, "the table is not UTF-8; save it as CSV in UTF-8");
        diagnoses.throw_errors();
    }
    CsvReader reader(text, diagnoses);
    std::deque<PartRow> parts = reader.read();
    CircuitBuilder builder(text, role, kinds, diagnoses);
    for (const PartRow& part : parts) builder.look_at_commas(part.value.text);
    for (const PartRow& part : parts) builder.part(part);
    Circuit circuit = builder.finish({});
    diagnoses.throw_errors();
    circuit.source = std::move(text);
    return circuit;
}

std::string write_csv(const Circuit& circuit, const CsvStyle& style) {
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;
    for (const Column& column : part_columns)
        if (column.name != "pins") header.emplace_back(column.name);
    for (const Part& part : circuit.parts) {
        auto number = [&](const std::optional<Value>& value) {
            return !value ? std::string() : style.decimal_comma ? with_comma(value->text) : value->text;
        };
        std::string half = part.half ? rounded_text(*part.half * 100, 12) + "%" : "";
        std::string tolerance = part.tol ? tolerance_text(*part.tol) : "";
        rows.push_back({part.ref, circuit.kind_of(part).name, number(part.value), part.model, tolerance, part.package,
                        part.fit == Fit::no ? "no" : part.fit == Fit::optional ? "optional" : "", part.on, part.taper, half,
                        number(part.resistance), number(part.inductance), number(part.capacitance), part.note});
    }
    // Columns that say nothing are left out, but for those that everyone looks for.
    std::vector<std::size_t> shown;
    for (std::size_t c = 0; c < header.size(); ++c)
        if (c < 3 || std::any_of(rows.begin(), rows.end(), [&](const auto& row) { return !row[c].empty(); })) shown.push_back(c);
    std::string out;
    auto write_row = [&](const std::vector<std::string>& row, const std::vector<std::string>& more) {
        std::vector<std::string> fields;
        for (std::size_t c : shown) fields.push_back(csv_field(row[c], style.delimiter));
        for (const std::string& field : more) fields.push_back(csv_field(field, style.delimiter));
        out += join(fields, std::string(1, style.delimiter)) + "\r\n";
    };
    bool by_pin = style.rows == CsvRows::pins;
    write_row(header, by_pin ? std::vector<std::string>{"pin", "net"} : std::vector<std::string>{"pins"});
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) {
        const Part& part = circuit.parts[p];
        if (!by_pin) {
            write_row(rows[p], {pins_text(circuit, part)});
            continue;
        }
        bool any = false;
        for (const Pin& pin : part.pins) {
            if (pin.state == PinState::undrawn) continue;
            std::string net = pin.state == PinState::traced ? circuit[pin.net].name : pin.state == PinState::nowhere ? "-" : "?";
            write_row(rows[p], {pin.name, net.empty() ? "?" : net});
            any = true;
        }
        if (!any) write_row(rows[p], {"", ""});
    }
    return out;
}

}  // namespace tallyboard
