#pragma once

#include "cli/files.h"
#include "cli/options.h"
#include "cli/terminal.h"
#include "draw/draw.h"

namespace tallyboard {

// What the commands that draw let their user choose.
struct DrawChoices {
    bool draft = false;
    int threads = 0;
    std::string resistor, paper;
    void add_options(Options& options);
    // Ready to draw, but for the fields: progress is shown on `progress`, Ctrl-C stops the search.
    DrawOptions options(const Settings& settings, Progress& progress) const;
};

}  // namespace tallyboard
