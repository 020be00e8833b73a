#include "evidence/slip.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/text.h"
#include "compare/answering.h"
#include "evidence/sides.h"

namespace tallyboard {

namespace {

using detail::drawn_number;
using detail::found_number;

// Powers of ten between two numbers of the same digits.
std::optional<int> powers_between(const Decimal& one, const Decimal& other) {
    if (one.is_zero() || other.is_zero() || one.digits() != other.digits() || one.exponent() == other.exponent()) return {};
    return other.exponent() - one.exponent();
}

bool has_letter(const std::string& text, std::string_view letters) { return text.find_first_of(letters) != std::string::npos; }

// A decimal point within the figures: a point, a comma, or the letter that stands for one in 4k7 and 2R2.
bool has_point(const std::string& text) {
    for (std::size_t i = 1; i + 1 < text.size(); ++i)
        if (is_digit(text[i - 1]) && !is_digit(text[i]) && text[i] != ' ' && text[i] != '/' && is_digit(text[i + 1])) return true;
    return !text.empty() && text.front() == '.';
}

// 27 and 72, 39 and 93: the first two figures the other way round and everything else alike.
bool are_swapped(const Decimal& one, const Decimal& other) {
    std::string a = std::to_string(one.digits()), b = std::to_string(other.digits());
    const std::size_t length = std::max(a.size(), b.size());
    if (length < 2 || one.exponent() + static_cast<int>(a.size()) != other.exponent() + static_cast<int>(b.size())) return false;
    a.resize(length, '0');
    b.resize(length, '0');
    return a[0] != a[1] && a[0] == b[1] && a[1] == b[0] && a.substr(2) == b.substr(2) && b[0] != '0';
}

// A prefix misread is three powers; pF for µF, on capacitors, is six.
int most_powers(Quantity quantity) { return quantity == Quantity::capacitance ? 6 : 3; }

std::string look_again(const std::string& at, const std::string& why) { return "probably the tracing: look again at " + at + "; " + why; }

// The part written just before this one in the board's file has the same value, and the value is far from the drawn one: two lines
// typed in a row.
bool repeats_line_before(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Part& found, std::size_t index,
                         const Decimal& drawn, const Decimal& number) {
    if (index == 0 || !found.value) return false;
    const Part& before = board.parts[index - 1];
    if (!before.value || before.value->text != found.value->text || before.kind != found.kind) return false;
    const double ratio = number.to_double() / drawn.to_double();
    if (ratio > 0.45 && ratio < 2.2) return false;
    // The line before must itself be right.
    for (const PartPair& pair : comparison.parts)
        if (pair.board.index == index - 1) {
            const Value* value = drawing[pair.drawing].nominal();
            return value && value->number == before.value->number;
        }
    return false;
}

std::optional<Slip> value_slip(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding) {
    const auto drawn = drawn_number(drawing, finding), found = found_number(board, finding);
    if (!drawn || !found || finding.board_parts.empty()) return {};
    const Part& part = board[finding.board_parts.front()];
    const Value* drawn_value = drawing[finding.drawing_parts.front()].nominal();
    if (drawn_value->quantity != part.nominal()->quantity) return {};
    const std::string drawn_text = drawn_value->text, found_text = part.nominal()->text;
    const std::string both = trade_text(*drawn, drawn_value->quantity) + " drawn and " + trade_text(*found, drawn_value->quantity) + " found";
    if (const auto powers = powers_between(*drawn, *found); powers && std::abs(*powers) <= most_powers(drawn_value->quantity)) {
        if (std::abs(*powers) == 3 && drawn_value->quantity == Quantity::resistance && has_letter(drawn_text, "kKmM") && has_letter(found_text, "kKmM"))
            return Slip{SlipKind::k_for_m, look_again(part.ref, both + " differ by a K for an M")};
        if (std::abs(*powers) <= 2 && drawn->digits() >= 10 && has_point(drawn_text) != has_point(found_text))
            return Slip{SlipKind::lost_point, look_again(part.ref, both + ": a lost decimal point?")};
        const std::string by = std::abs(*powers) == 1 ? "a factor of ten" : "a factor of 10^" + std::to_string(std::abs(*powers));
        return Slip{SlipKind::tenfold, look_again(part.ref, both + " differ by exactly " + by)};
    }
    if (are_swapped(*drawn, *found)) return Slip{SlipKind::swapped_digits, look_again(part.ref, both + ": two figures the other way round")};
    if (repeats_line_before(drawing, board, comparison, part, finding.board_parts.front().index, *drawn, *found))
        return Slip{SlipKind::value_twice, look_again(part.ref, found_text + " stands at the part before it too: a value given twice?")};
    return {};
}

// Parts whose pins cannot be told apart by looking at the body alone.
bool has_orientation(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    return circuit.kind_of(part).pattern == PinPattern::fixed && (part.pins.size() >= 3 || !part.package.empty());
}

// Three devices and more, and nearly all there are, found turned about: the photograph was mirrored.
bool is_mirrored_board(const Circuit& drawing, const Comparison& comparison) {
    std::set<std::string> turned, all;
    const auto name = [&](PartId id) { return drawing[id].package.empty() ? drawing[id].ref : drawing[id].package; };
    const auto counts = [&](PartId id) {
        const Kind& kind = drawing.kind_of(drawing[id]);
        return kind.quantity == Quantity::none && has_orientation(drawing, id) && kind.pattern == PinPattern::fixed && !kind.conductor;
    };
    for (const PartPair& pair : comparison.parts)
        if (counts(pair.drawing)) all.insert(name(pair.drawing));
    for (const Finding& finding : comparison.findings)
        if (finding.what == What::reversed && !finding.drawing_parts.empty() && counts(finding.drawing_parts.front()))
            turned.insert(name(finding.drawing_parts.front()));
    return turned.size() >= 3 && turned.size() * 3 >= all.size() * 2;
}

std::optional<Slip> reversed_slip(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding) {
    if (finding.drawing_parts.empty() || finding.board_parts.empty() || !has_orientation(drawing, finding.drawing_parts.front())) return {};
    const Part& part = board[finding.board_parts.front()];
    // Two pins at least must be known to have changed places; one that answers to a pin not traced is no mirror image.
    if (drawing.kind_of(drawing[finding.drawing_parts.front()]).name == board.kind_of(part).name) {
        int changed = 0;
        for (std::size_t i = 0; i < finding.drawing_pins.size() && i < finding.board_pins.size(); ++i)
            if (drawing[finding.drawing_pins[i]].name != board[finding.board_pins[i]].name) ++changed;
        if (changed < 2) return {};
    }
    const std::string ref = part.package.empty() ? part.ref : part.package;
    if (is_mirrored_board(drawing, comparison))
        return Slip{SlipKind::mirrored_board, look_again("the whole trace", "nearly every transistor and package stands the other way about, as in a mirror-image photo")};
    return Slip{SlipKind::mirrored_pins, look_again(ref, "its pins differ as if counted from the other side, or from another base diagram")};
}

// Two pins of one part, or of two, that go to each other's nets.
std::optional<Slip> moved_slip(const Circuit& board, const Comparison& comparison, const Finding& finding) {
    if (finding.drawing_pins.size() != 1 || finding.board_pins.size() != 1 || !finding.drawing_net || !finding.board_net) return {};
    for (const Finding& other : comparison.findings) {
        if (&other == &finding || other.what != What::moved || !other.drawing_net || !other.board_net || other.board_pins.size() != 1) continue;
        if (other.drawing_net == finding.drawing_net || other.board_net == finding.board_net) continue;
        const bool crossed = answers(comparison, *other.drawing_net, *finding.board_net) &&
                             answers(comparison, *finding.drawing_net, *other.board_net);
        const bool near = other.board_pins.front().part == finding.board_pins.front().part ||
                          detail::are_neighbours(finding.board_pins.front().part, other.board_pins.front().part);
        if (crossed && near)
            return Slip{SlipKind::neighbouring_pins,
                        look_again(pin_name(board, finding.board_pins.front()) + " and " + pin_name(board, other.board_pins.front()),
                                   "each goes where the other is drawn: two neighbouring pins exchanged?")};
    }
    return {};
}

}  // namespace

std::string_view slip_word(SlipKind kind) {
    switch (kind) {
        case SlipKind::tenfold: return "a factor of ten";
        case SlipKind::k_for_m: return "K for M";
        case SlipKind::swapped_digits: return "figures exchanged";
        case SlipKind::lost_point: return "a lost decimal point";
        case SlipKind::mirrored_pins: return "pins mirrored";
        case SlipKind::mirrored_board: return "a mirror-image trace";
        case SlipKind::neighbouring_pins: return "neighbouring pins exchanged";
        case SlipKind::value_twice: return "a value given twice";
    }
    return "";
}

std::optional<Slip> slip_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding) {
    switch (finding.what) {
        case What::value: return value_slip(drawing, board, comparison, finding);
        case What::reversed: return reversed_slip(drawing, board, comparison, finding);
        case What::moved: return moved_slip(board, comparison, finding);
        case What::kind:
        case What::missing:
        case What::extra:
        case What::split:
        case What::joined:
        case What::inserted:
        case What::bypassed:
        case What::equivalent:
        case What::drift:
        case What::unverified: break;
    }
    return {};
}

}  // namespace tallyboard
