#pragma once

#include <optional>
#include <string>
#include <vector>

#include "publish/document.h"

namespace tallyboard {

// A plot over a logarithmic frequency axis. Values belong to `hz` one by one; where one is missing the line has a gap.
struct PlotLine { std::string name; std::vector<std::optional<double>> values; Pen pen; };
struct PlotBand { std::string name; std::vector<std::optional<double>> low, high; };
struct FrequencyPlot {
    std::string caption, unit;          // "Response", "dB"
    std::vector<double> hz;
    std::vector<PlotBand> bands;        // below the lines
    std::vector<PlotLine> lines;
    double least_range = 2;             // of the vertical axis, in its unit
};

// Draws the plot in `box`: caption and key at the top, labels at the axes within the box.
void draw_plot(Page& page, const Box& box, const FrequencyPlot& plot);

}  // namespace tallyboard
