// Written fields as numbers, quantities and words; each tells what is wrong at the field's place and then gives nothing.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "circuit/diagnoses.h"
#include "circuit/rows.h"
#include "values/value.h"

namespace tallyboard {

template <class E>
std::optional<E> read_word(Diagnoses& diagnoses, const Written& written, std::string_view what,
                           std::initializer_list<std::pair<std::string_view, E>> words) {
    if (!written) return std::nullopt;
    for (const auto& [word, meaning] : words)
        if (word == written.text) return meaning;
    diagnoses.error(written.at(), diagnoses.unknown(written.at(), what, written.text, [&] {
        std::vector<std::string> known;
        for (const auto& entry : words) known.emplace_back(entry.first);
        return known;
    }));
    return std::nullopt;
}

inline std::optional<bool> read_yes_no(Diagnoses& diagnoses, const Written& written, std::string_view what) {
    return read_word<bool>(diagnoses, written, what, {{"yes", true}, {"no", false}});
}

// A plain number with a decimal point.
std::optional<double> read_number(Diagnoses& diagnoses, const Written& written, std::string_view what);
std::optional<long long> read_whole(Diagnoses& diagnoses, const Written& written, std::string_view what, long long least,
                                    long long most);
// A value of a quantity as the trade writes it.
std::optional<Value> read_amount(Diagnoses& diagnoses, const Written& written, Quantity quantity,
                                 const ValueHabits& habits = {});
// The same in SI units; `negative_allowed`: readings and supplies may be below zero.
std::optional<double> read_si(Diagnoses& diagnoses, const Written& written, Quantity quantity, bool negative_allowed = false);
std::optional<Tolerance> read_written_tolerance(Diagnoses& diagnoses, const Written& written);

}  // namespace tallyboard
