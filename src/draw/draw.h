// draw: from a circuit without coordinates to sheets. Start here; sheet.h is what comes out. The way through: prepare (sections,
// rails, blocks, levels), placing (annealing with the wires roughly routed in the cost), routing (a grid maze router), labels,
// pages, composing; readback.h is the judge at the end. docs/drawing.md tells the method.
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "circuit/circuit.h"
#include "draw/annotations.h"
#include "draw/fields.h"
#include "draw/sheet.h"

namespace tallyboard {

// How far placing is: starts done of all, and the least cost so far (a number without a unit: less is better).
struct DrawProgress { int starts_done = 0, starts = 0; double best = 0; };

struct DrawOptions {
    bool draft = false;                // one short start: legible at once, not the best
    int threads = 0;                   // 0: as many as the machine has; the picture never depends on it
    std::string resistor_habit;        // a Symbol::habit; empty: the usual form
    std::string paper;                 // "A4", "A3"; empty: the smaller one that does
    SheetFields fields;
    std::function<void(const DrawProgress&)> progress;  // called now and then, one call at a time, from any thread
    const std::atomic<bool>* stop = nullptr;            // once true: finish with the best so far
};

// Where a part's symbol stands: what <stands> says, for every part that is one symbol. A package drawn as several symbols has
// no one place and is left out.
struct Standing { std::string ref; Stands stands; };
using Placing = std::vector<Standing>; // in file order

struct Picture {
    std::vector<Sheet> sheets;
    std::vector<double> modules;       // millimetres a grid unit, by sheet
    Placing placing;
    // Pins at which the signal leaves a device and enters the next: {"Q1", "Q2"}, by reference. For the measure of flow.
    std::vector<std::pair<std::string, std::string>> steps;
    std::vector<std::string> remarks;  // sentences: places given on top of one another, a name too wide for the page
};

// The circuit as sheets whose nets, read back from the geometry, are the file's (std::logic_error if they are not: a mistake of
// ours). Places given in <stands> are kept exactly; with all given nothing is searched. Deterministic: the same circuit and
// options give the same sheets whatever the threads. An empty circuit gives one sheet with its furniture.
Picture draw_picture(const Circuit& circuit, const DrawOptions& options);
std::vector<Sheet> draw_circuit(const Circuit& circuit, const DrawOptions& options);

// The drawing with the extra parts, every mark of `annotations` on it, and the revision block's zones filled in: row i of
// options.fields.revisions is the mark with its number. Places that do not exist in the drawing: std::logic_error.
Picture draw_annotated(const Circuit& drawing, const Annotations& annotations, const DrawOptions& options);

}  // namespace tallyboard
