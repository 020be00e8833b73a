#include "compare/answering.h"

#include <algorithm>

namespace tallyboard {

bool answers(const Comparison& comparison, NetId drawn, NetId found) {
    return std::any_of(comparison.nets.begin(), comparison.nets.end(), [&](const NetPair& pair) {
        return std::find(pair.drawing.begin(), pair.drawing.end(), drawn) != pair.drawing.end() &&
               std::find(pair.board.begin(), pair.board.end(), found) != pair.board.end();
    });
}

std::optional<NetId> drawn_answer(const Comparison& comparison, NetId found) {
    for (const NetPair& pair : comparison.nets)
        if (!pair.drawing.empty() && std::find(pair.board.begin(), pair.board.end(), found) != pair.board.end()) return pair.drawing.front();
    return std::nullopt;
}

}  // namespace tallyboard
