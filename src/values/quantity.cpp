#include "values/quantity.h"

namespace tallyboard {

std::string_view unit_symbol(Quantity quantity) {
    switch (quantity) {
        case Quantity::resistance: return "Ω";
        case Quantity::capacitance: return "F";
        case Quantity::inductance: return "H";
        case Quantity::voltage: return "V";
        case Quantity::current: return "A";
        case Quantity::frequency: return "Hz";
        case Quantity::power: return "W";
        case Quantity::none:
        case Quantity::ratio: break;
    }
    return "";
}

std::string_view quantity_name(Quantity quantity) {
    switch (quantity) {
        case Quantity::none: break;
        case Quantity::resistance: return "resistance";
        case Quantity::capacitance: return "capacitance";
        case Quantity::inductance: return "inductance";
        case Quantity::voltage: return "voltage";
        case Quantity::current: return "current";
        case Quantity::frequency: return "frequency";
        case Quantity::power: return "power";
        case Quantity::ratio: return "ratio";
    }
    return "none";
}

}  // namespace tallyboard
