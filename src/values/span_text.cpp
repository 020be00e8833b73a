#include "values/span_text.h"

namespace tallyboard {

std::string span_text(double low, double high, Quantity quantity) {
    for (int digits = 3; digits <= 6; ++digits) {
        std::string from = engineering_text(low, quantity, digits), to = engineering_text(high, quantity, digits);
        if (from != to) return from + " to " + to;
    }
    return engineering_text(low, quantity);
}

}  // namespace tallyboard
