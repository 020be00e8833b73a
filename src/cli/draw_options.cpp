#include "cli/draw_options.h"

#include <fmt/format.h>

namespace tallyboard {

void DrawChoices::add_options(Options& options) {
    options.flag(draft, "--draft", "legible at once instead of the best that is found");
    options.choice(paper, "--paper", {"auto", "A4", "A3"}, "the paper, landscape");
    options.choice(resistor, "--resistor", {"auto", "box", "zigzag"}, "how resistors are drawn");
    options.whole(threads, "--threads", "N", "at most so many threads (the picture is the same)", 1, 256);
}

DrawOptions DrawChoices::options(const Settings& settings, Progress& progress) const {
    DrawOptions out;
    out.draft = draft;
    out.threads = threads;
    if (paper != "auto") out.paper = paper;
    std::string habit = resistor != "auto" ? resistor : settings.resistor.value_or("box");
    if (habit == "zigzag") out.resistor_habit = "zigzag";
    watch_interrupts();
    out.stop = interrupt_flag();
    out.progress = [&progress](const DrawProgress& p) {
        double share = p.starts > 0 ? static_cast<double>(p.starts_done) / p.starts : 0;
        progress.show(fmt::format("placing: {} of {} starts done, best cost {:.0f},", p.starts_done, p.starts, p.best), share);
    };
    return out;
}

}  // namespace tallyboard
