// What a file says of a circuit, row by row, as texts with their places: what a reader of any file format hands the builder.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "base/source_text.h"
#include "circuit/circuit.h"

namespace tallyboard {

// One field as written. The text's owner outlives the building.
struct Written {
    std::string_view text;  // without white space at its ends
    Span span;              // in the file, white space included
    std::size_t lead = 0;   // bytes of white space before the text
    const std::vector<std::size_t>* offsets = nullptr;  // where each byte of the field stands, where escapes make it differ
    bool given = false;

    explicit operator bool() const { return given; }
    // Where byte `index` of the text stands in the file; index may be the text's size.
    std::size_t at(std::size_t index = 0) const {
        return offsets ? (*offsets)[lead + index] : span.begin + lead + index;
    }
};

struct AboutRow {
    Written title, maker, model, serial, made, source, by, date, note;
};
struct DefaultsRow { Written capacitor, resistor_tol, capacitor_tol; };
struct NetRow { Written name, role; Span span; };

struct FoundRow { Written marking, measured, where, status, condition, date_code, meter, note; Span span; };
struct DoneRow { Written what, with, on, why, by; Span span; };
struct WindingRow { Written name, turns, resistance, inductance; Span span; };
struct StandsRow { Written x, y, quarter, flipped, sheet; Span span; };
struct OnScanRow { Written x, y, scan; Span span; };
struct PartRow {
    Written ref, kind, value, model, tol, package, fit, on, taper, half, resistance, inductance, capacitance, pins, note;
    std::vector<FoundRow> found;
    std::vector<DoneRow> done;
    std::vector<WindingRow> windings;
    std::optional<StandsRow> stands;
    std::vector<OnScanRow> on_scan;
    Span span;
};

struct SupplyRow { Written name, plus, minus, voltage, resistance; Span span; };
struct EndRow { Written net, back, resistance; Span span; };  // the signal's source or its load
struct ControlRow { Written ref, at; Span span; };
struct MeterRow { Written id, input, error, burden, test; Span span; };
struct ReadingRow { Written what, at, to, through, is, meter, range, within, without, when, note; Span span; };
struct TestRow { Written from, to, beeps, note; Span span; };

// All that refers to nets and parts, which may stand anywhere in the file.
struct BenchRows {
    bool has_setup = false;
    std::vector<SupplyRow> supplies;
    std::optional<EndRow> source, load;
    std::vector<ControlRow> controls;
    std::vector<MeterRow> meters;
    std::vector<ReadingRow> readings;
    std::vector<TestRow> tests;
};

}  // namespace tallyboard
