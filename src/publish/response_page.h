#pragma once

#include <optional>
#include <string>
#include <vector>

#include "publish/document.h"
#include "publish/text_pages.h"

namespace tallyboard {

// One line of a plot over frequency; `db[i]` belongs to `hz[i]` of the section, nothing where it could not be computed.
struct ResponseCurve { std::string name; std::vector<std::optional<double>> db; };
struct SpreadBand { std::vector<std::optional<double>> low, high; };   // of the production tolerances, decibels

struct VoltageComparison {
    std::string net;
    std::optional<double> drawn, found;         // volts: computed for the drawing and for the board
    std::optional<double> low, high;            // production spread round `drawn`
    std::string remark;
};

// A reading beside what it should be with that meter, its loading included: as drawn and as found, with the span of the tolerances.
struct ReadingComparison { std::string place, meter, drawn, found, read, remark; };

// A finding by what it does, the gravest first.
struct EffectRow { int mark = 0; std::string id, place, effect, severity; };

// What the differences do to the circuit.
struct ResponseSection {
    std::string conditions;                     // "volume at half turn, 600 Ω source, 47 kΩ load"
    std::vector<double> hz;                     // rising
    std::optional<ResponseCurve> drawing, board;
    std::optional<SpreadBand> spread;           // round the drawing's
    std::vector<EffectRow> effects;
    std::string first;                          // what comes first for safety, and what by what it does
    std::vector<ReadingComparison> readings;
    std::string fault;                          // where neither side explains a reading: the parts of which one alone would; may be empty
    std::vector<VoltageComparison> voltages;    // those that change
    std::vector<std::string> remarks;           // what could not be computed, and why
};

// Heading, response with the spread as a band, difference below it, ranking of the findings, readings, voltages that change.
void add_response(TextPages& pages, const ResponseSection& section);

// The plot by itself: response over a logarithmic frequency axis, and the difference below where both curves stand. In `box` of the page.
void plot_response(Page& page, const Box& box, const ResponseSection& section);

// One page with the plot alone, for `solve -o plot.svg|pdf`.
Document response_document(const std::string& title, const ResponseSection& section);

}  // namespace tallyboard
