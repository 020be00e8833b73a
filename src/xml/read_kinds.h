#pragma once

#include <vector>

#include "circuit/diagnoses.h"
#include "circuit/kind.h"
#include "circuit/setup.h"
#include "xml/document.h"

namespace tallyboard {

// Adds the <kind> children of `parent` to `kinds`; symbols copied with `like` are looked up when all of them are known.
void read_kinds(const Element& parent, KindTable& kinds, Diagnoses& diagnoses);
// The <device> children of `parent`.
std::vector<Device> read_devices(const Element& parent, const KindTable& kinds, Diagnoses& diagnoses);

}  // namespace tallyboard
