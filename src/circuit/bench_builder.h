#pragma once

#include <map>

#include "circuit/circuit_builder.h"

namespace tallyboard {

// What refers to nets and pins by name: continuity tests first, as they settle which pins share a net; then the setup, meters
// and readings.
class BenchBuilder {
public:
    BenchBuilder(CircuitBuilder& whole, const BenchRows& rows);
    void build();

private:
    // A net that has the whole name, else REF.PIN. Nothing, and told, where there is neither; nothing, untold, where the part
    // has been found wrong already.
    std::optional<Place> place(const Written& written);
    // The net at a place that must be on one.
    std::optional<NetId> net_at(const Written& written);
    std::optional<PartId> part_called(const Written& written, std::string_view ref, std::size_t offset);
    std::optional<PinId> pin_of(PartId part, std::string_view name, std::size_t offset);
    std::vector<std::string> refs() const;

    void continuity();

    void setup();
    void supply(const SupplyRow& row);
    void control(const ControlRow& row, std::vector<std::optional<std::size_t>>& set);
    void meter(const MeterRow& row);
    void reading(const ReadingRow& row);
    void current_through(const ReadingRow& row, Reading& reading);
    void without(const ReadingRow& row, Reading& reading);
    const Meter* meter_called(const Written& written);

    CircuitBuilder& whole_;
    Circuit& circuit_;
    Diagnoses& diagnoses_;
    const BenchRows& rows_;
    std::map<std::string_view, std::size_t> meters_;                 // index in Bench::meters
    std::map<std::string, std::size_t, std::less<>> supplies_;       // where each stands
};

}  // namespace tallyboard
