#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "compare/compare.h"
#include "xml/read.h"

namespace tallyboard {

// The files beside the command's own that say what kinds and devices there are: --kinds FILE, --devices FILE.
struct Knowledge {
    std::vector<std::string> kinds_files, devices_files;
    void add_kinds_option(Options& options);
    void add_devices_option(Options& options);
    KindTable kinds() const;
    std::vector<Device> devices() const;
};

// As require_writable; and CommandError where the output would replace one of the command's own inputs.
void require_output(const std::string& out, const std::vector<std::string>& inputs);

// Says on standard error that a circuit of valves, transistors or amplifiers has no supply to work from, where it has none.
void warn_without_supply(const std::string& path, const Circuit& circuit);

// Reads a circuit file; its warnings go to standard error. InputError, CommandError.
Circuit load_circuit(const std::string& path, const KindTable& kinds, std::optional<CircuitRole> role = {});

// The title block's fields and habits of the shop: --owner, --by, --date, --settings FILE.
// A settings file holds lines `name = text`; `#` begins a comment.
struct Settings {
    std::optional<std::string> owner, by, date, file, resistor, number;
    void add_options(Options& options);
    // Fills in from the settings file (or the one that TALLYBOARD_SETTINGS names) what the command line left out.
    // InputError for a line that is none, or an unknown name.
    // CommandError for a date that is none.
    void read();

private:
    void read_file_of_settings();
};

// A review as its file tells it, and the comparison options that follow from it.
struct LoadedReview {
    std::string path;
    Review review;
};
std::optional<LoadedReview> load_review(const std::optional<std::string>& path);
std::vector<HandPair> pairs_of(const std::optional<LoadedReview>& review);

// The two sides of a comparison with the decisions on it, where there are any. InputError, CommandError.
struct LoadedPair {
    Circuit drawing, board;
    std::optional<LoadedReview> review;
};
LoadedPair load_pair(const std::string& drawing, const std::string& board, const std::optional<std::string>& review, const KindTable& kinds);

// The latest date that the files name (EDTF days, months, years as written), for sheets that are not given one; empty if none.
std::string latest_date(const std::vector<const Circuit*>& circuits, const std::optional<LoadedReview>& review = {});

}  // namespace tallyboard
