#include <stdexcept>
#include <vector>

#include "values/value.h"

namespace tallyboard {

namespace {

std::vector<int> merged(std::vector<int> one, const std::vector<int>& other);

// IEC 60063. Lists, not a formula: E24 does not follow 10^(i/24) rounded.
const std::vector<int> e6{100, 150, 220, 330, 470, 680};
const std::vector<int> e12{100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820};
const std::vector<int> e24{100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
                           330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910};
const std::vector<int> e48{100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169, 178, 187, 196, 205,
                           215, 226, 237, 249, 261, 274, 287, 301, 316, 332, 348, 365, 383, 402, 422, 442,
                           464, 487, 511, 536, 562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953};
const std::vector<int> e96_only{102, 107, 113, 118, 124, 130, 137, 143, 150, 158, 165, 174, 182, 191, 200, 210,
                                221, 232, 243, 255, 267, 280, 294, 309, 324, 340, 357, 374, 392, 412, 432, 453,
                                475, 499, 523, 549, 576, 604, 634, 665, 698, 732, 768, 806, 845, 887, 931, 976};
const std::vector<int> e96 = merged(e48, e96_only);

// One member of each in turn: E96 has one new member between each two of E48.
std::vector<int> merged(std::vector<int> one, const std::vector<int>& other) {
    std::vector<int> both;
    for (std::size_t i = 0; i < one.size(); ++i) {
        both.push_back(one[i]);
        both.push_back(other[i]);
    }
    return both;
}

}  // namespace

const std::vector<int>& e_series(int n) {
    switch (n) {
        case 6: return e6;
        case 12: return e12;
        case 24: return e24;
        case 48: return e48;
        case 96: return e96;
        default: throw std::logic_error("no E series of that number");
    }
}

Decimal nearest_in_series(const Decimal& number, int n) {
    if (number.is_zero() || number < Decimal{}) return number;
    // Exponent e with 100 ≤ number / 10^e < 1000; the next decade's 100 is a candidate too.
    int exponent = number.exponent();
    for (std::int64_t rest = number.digits(); rest >= 1000; rest /= 10) ++exponent;
    for (std::int64_t rest = number.digits(); rest < 100; rest *= 10) --exponent;
    const double wanted = number.to_double();
    Decimal best;
    double best_ratio = 0;
    const auto consider = [&](const Decimal& candidate) {
        const double ratio = candidate.to_double() / wanted;
        const double off = ratio < 1 ? 1 / ratio : ratio;
        if (best.is_zero() || off < best_ratio) {
            best = candidate;
            best_ratio = off;
        }
    };
    for (int member : e_series(n)) consider(Decimal(member, exponent));
    consider(Decimal(e_series(n).front(), exponent + 1));
    return best;
}

}  // namespace tallyboard
