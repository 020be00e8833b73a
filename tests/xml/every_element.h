#pragma once

#include <string>

namespace tallyboard::test {

// A drawing and a board that between them use every element and attribute a circuit file may have, and files of the other roots.
// They read without errors and are valid by the XSD.
extern const std::string full_drawing, full_board, full_review, full_family, full_kinds, full_devices;

}  // namespace tallyboard::test
