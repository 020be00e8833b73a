#pragma once

#include "circuit/setup.h"
#include "values/quantity.h"

namespace tallyboard {

// What a reading is in: volts, amperes or ohms.
constexpr Quantity quantity_of(ReadingWhat what) {
    switch (what) {
        case ReadingWhat::voltage: return Quantity::voltage;
        case ReadingWhat::current: return Quantity::current;
        case ReadingWhat::resistance: break;
    }
    return Quantity::resistance;
}

}  // namespace tallyboard
