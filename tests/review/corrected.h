// corrected: a drawing corrected by its board and looked over.
#pragma once

#include <string>

#include <catch2/catch.hpp>

#include "compare/compare.h"
#include "review/correct.h"
#include "support/text_circuit.h"

namespace tallyboard::test {

// The corrected text, read again; fails the test where it cannot be read.
inline Circuit read_corrected(const std::string& text) {
    try {
        return read_circuit(SourceText("corrected.xml", text), built_in_kinds(), CircuitRole::drawing);
    } catch (const InputError& error) {
        FAIL(error.what() << "\n" << text);
    }
    return {};
}

// Corrects with everything accepted and requires that the corrected drawing agrees with the board.
inline std::string fully_corrected(const Circuit& drawn, const Circuit& found) {
    const std::string text = corrected_drawing(drawn, found, compare(drawn, found));
    const Circuit again = read_corrected(text);
    const Comparison after = compare(again, found);
    std::string left;
    for (const Finding& finding : after.findings)
        if (finding.cost > 0) left += finding.id + ": " + finding.says + "\n";
    INFO(left << text);
    CHECK(after.cost == 0);
    return text;
}
inline std::string fully_corrected(const std::string& drawn, const std::string& found, const std::string& attributes = "") {
    return fully_corrected(drawing(drawn), board(found, attributes));
}

// With only these findings accepted.
inline std::string corrected(const std::string& drawn, const std::string& found, const std::set<std::string>& accepted,
                             const std::optional<RevisionNote>& revision = {}) {
    const Circuit one = drawing(drawn), other = board(found);
    const std::string text = corrected_drawing(one, other, compare(one, other), &accepted, revision);
    read_corrected(text);
    return text;
}

}  // namespace tallyboard::test
