#include "evidence/sides.h"

#include <algorithm>

namespace tallyboard::detail {

namespace {

std::optional<Decimal> number_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    if (parts.empty()) return {};
    const Value* value = circuit[parts.front()].nominal();
    return value && !value->number.is_zero() ? std::optional(value->number) : std::nullopt;
}

}  // namespace

std::optional<Decimal> drawn_number(const Circuit& drawing, const Finding& finding) { return number_of(drawing, finding.drawing_parts); }
std::optional<Decimal> found_number(const Circuit& board, const Finding& finding) { return number_of(board, finding.board_parts); }

}  // namespace tallyboard::detail
