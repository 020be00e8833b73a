#pragma once

#include "circuit/circuit_builder.h"

namespace tallyboard {

constexpr double max_coordinate = 100000;  // grid units; beyond it a figure is a slip, and pictures would take no end of memory
constexpr long long max_sheets = 999;

// One part of a circuit from its row.
class PartBuilder {
public:
    PartBuilder(CircuitBuilder& whole, const PartRow& row);
    // Adds the part to the circuit. False: its kind or pins are wrong, so that places on it cannot be judged.
    bool build();

private:
    ValueHabits habits(bool marking) const;
    void value();
    void model();
    void sizes();
    void track();
    void remarks_of(const Value& value, std::size_t offset);
    void found(const FoundRow& row);
    void marking(const FoundRow& row, Found& found);
    void measured(const FoundRow& row, Found& found);
    void done(const DoneRow& row);
    void winding(const WindingRow& row);
    void stands(const StandsRow& row);
    void on_scan(const OnScanRow& row);

    bool pins();
    bool pin(std::string_view name, std::string_view net, Span item, std::size_t net_at);
    std::optional<std::uint32_t> pin_called(std::string_view name, std::size_t offset);
    std::optional<std::uint32_t> open_pin(std::string_view name, std::size_t offset);
    std::string pins_wanted() const;

    CircuitBuilder& whole_;
    Diagnoses& diagnoses_;
    const PartRow& row_;
    const Kind* kind_ = nullptr;
    Part part_;
};

}  // namespace tallyboard
