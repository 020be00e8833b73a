#pragma once

#include <string>

#include "xml/read.h"

namespace tallyboard::test {

// A circuit from the children of its root, for tests that hold their own text.
inline Circuit drawing(const std::string& children, const std::string& name = "drawing.xml") {
    return read_circuit(SourceText(name, "<circulated xmlns=\"urn:tallyboard:circuit:1\">" + children + "</circulated>"),
                        built_in_kinds(), CircuitRole::drawing);
}
inline Circuit board(const std::string& children, const std::string& attributes = "", const std::string& name = "board.xml") {
    return read_circuit(SourceText(name, "<as-found xmlns=\"urn:tallyboard:circuit:1\" " + attributes + ">" + children +
                                             "</as-found>"),
                        built_in_kinds(), CircuitRole::board);
}

}  // namespace tallyboard::test
