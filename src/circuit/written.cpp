#include "circuit/written.h"

#include "base/number_text.h"

namespace tallyboard {

std::optional<double> read_number(Diagnoses& diagnoses, const Written& written, std::string_view what) {
    if (!written) return std::nullopt;
    if (auto number = read_double(written.text)) return number;
    diagnoses.error(written.at(), "\"" + std::string(written.text) + "\" is no number for " + std::string(what));
    return std::nullopt;
}

std::optional<long long> read_whole(Diagnoses& diagnoses, const Written& written, std::string_view what, long long least,
                                    long long most) {
    if (!written) return std::nullopt;
    auto number = read_integer(written.text);
    if (number && *number >= least && *number <= most) return number;
    diagnoses.error(written.at(), std::string(what) + " is a whole number from " + std::to_string(least) + " to " +
                                      std::to_string(most) + ", not \"" + std::string(written.text) + "\"");
    return std::nullopt;
}

std::optional<Value> read_amount(Diagnoses& diagnoses, const Written& written, Quantity quantity, const ValueHabits& habits) {
    if (!written) return std::nullopt;
    Result<Value> value = read_value(written.text, quantity, habits);
    if (value) return *value;
    diagnoses.error(written.at(), value.error());
    return std::nullopt;
}

std::optional<double> read_si(Diagnoses& diagnoses, const Written& written, Quantity quantity, bool negative_allowed) {
    bool negative = written.text.starts_with('-') || written.text.starts_with("\u2212");
    if (negative && !negative_allowed) {
        diagnoses.error(written.at(), "\"" + std::string(written.text) + "\" is below zero, which a " +
                                          std::string(quantity_name(quantity)) + " here cannot be");
        return std::nullopt;
    }
    auto value = read_amount(diagnoses, written, quantity);
    return value ? std::optional(value->si()) : std::nullopt;
}

std::optional<Tolerance> read_written_tolerance(Diagnoses& diagnoses, const Written& written) {
    if (!written) return std::nullopt;
    Result<Tolerance> tolerance = read_tolerance(written.text);
    if (tolerance) return *tolerance;
    diagnoses.error(written.at(), tolerance.error());
    return std::nullopt;
}

}  // namespace tallyboard
