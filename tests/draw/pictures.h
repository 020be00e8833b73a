// Circuits and pictures that several tests of drawing use.
#pragma once

#include <string>

#include "base/file.h"
#include "draw/draw.h"
#include "draw/readback.h"
#include "xml/read.h"

namespace tallyboard::test {

// One of the six circuits that drawing is measured on: "a" … "f".
inline Circuit measured_circuit(const std::string& name) {
    return read_circuit(read_file(std::string(TALLYBOARD_SOURCE_DIR) + "/tests/draw/circuits/" + name + ".xml"), built_in_kinds());
}
inline Picture draft_picture(const Circuit& circuit) {
    DrawOptions options;
    options.draft = true;
    options.threads = 1;
    return draw_picture(circuit, options);
}

// What is wrong with a picture of the circuit; empty: nothing is.
std::string faults_of(const Circuit& circuit, const Picture& picture);
// Everything that is drawn, as text: two pictures alike to the last coordinate have the same.
std::string print_of(const Picture& picture);
// The circuit with <stands> for every part, as the picture placed it.
Circuit with_places(const Circuit& circuit, const Picture& picture);

}  // namespace tallyboard::test
