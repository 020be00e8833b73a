#include "cli/files.h"

#include <algorithm>
#include <cstdlib>
#include <fmt/format.h>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "circuit/latest_date.h"
#include "cli/terminal.h"
#include "review/decisions.h"
#include "values/date.h"

namespace tallyboard {

void Knowledge::add_kinds_option(Options& options) {
    options.texts(kinds_files, "--kinds", "FILE", "further part kinds (may repeat)");
}
void Knowledge::add_devices_option(Options& options) {
    options.texts(devices_files, "--devices", "FILE", "further device parameters (may repeat)");
}
KindTable Knowledge::kinds() const {
    KindTable table = built_in_kinds();
    for (const std::string& file : kinds_files) add_kinds(read_file(file), table);
    return table;
}
std::vector<Device> Knowledge::devices() const {
    std::vector<Device> all = built_in_devices();
    for (const std::string& file : devices_files) add_devices(read_file(file), all);
    return all;
}

void require_output(const std::string& out, const std::vector<std::string>& inputs) {
    require_writable(out);
    for (const std::string& input : inputs) {
        std::error_code ignored;
        if (std::filesystem::equivalent(out, input, ignored))
            throw CommandError(out, "is an input of this command and would be lost; name another file to write");
    }
}

Circuit load_circuit(const std::string& path, const KindTable& kinds, std::optional<CircuitRole> role) {
    Circuit circuit = read_circuit(read_file(path), kinds, role);
    for (const Diagnostic& remark : circuit.remarks)
        if (remark.severity == Severity::warning) print_aside(format(remark));
    return circuit;
}

void warn_without_supply(const std::string& path, const Circuit& circuit) {
    static const std::set<std::string> active = {"npn", "pnp", "njfet", "pjfet", "nmos", "pmos", "triode", "pentode", "twin-triode", "opamp", "dual-opamp", "quad-opamp"};
    const bool needs_one = std::any_of(circuit.parts.begin(), circuit.parts.end(), [&](const Part& part) { return active.count(circuit.kind_of(part).name) > 0; });
    if (needs_one && !is_powered(circuit))
        print_aside(path + ": warning: no supply is set up, so every voltage comes out as 0; write <setup><supply plus=\"…\" minus=\"…\" voltage=\"…\"/></setup>\n");
}

void Settings::add_options(Options& options) {
    options.text(owner, "--owner", "NAME", "legal owner of the sheet, for the title block");
    options.text(by, "--by", "NAME", "who made it");
    options.text(date, "--date", "DATE", "date of issue; without it the latest date in the files");
    options.text(file, "--settings", "FILE", "lines `owner = …`, `by = …`, `date = …`, `resistor = box|zigzag`");
}

void Settings::read() {
    if (!file)
        if (const char* named = std::getenv("TALLYBOARD_SETTINGS"); named && *named) file = named;
    if (file) read_file_of_settings();
    if (date && !date->empty() && !read_date(*date))
        throw CommandError("", fmt::format("--date takes a day, month or year, as 2026-03-04, 2026-03 or 2026; not \"{}\"", *date));
}

void Settings::read_file_of_settings() {
    SourceText text = read_file(*file, 1 << 20);
    std::vector<Diagnostic> wrong;
    static const std::vector<std::string> names = {"owner", "by", "date", "resistor", "number"};
    std::optional<std::string>* targets[] = {&owner, &by, &date, &resistor, &number};
    std::size_t offset = 0;
    for (const std::string& line : split(text.bytes(), '\n')) {
        std::string_view content = trimmed(line);
        std::size_t equals = content.find('=');
        auto fault = [&](std::string message) {
            wrong.push_back(diagnostic_at(Severity::error, text, offset, std::move(message)));
        };
        if (!is_valid_utf8(line)) fault("is not UTF-8 text");
        else if (content.empty() || content[0] == '#') {}
        else if (equals == std::string_view::npos) fault("a line of settings is `name = text`");
        else {
            std::string name(trimmed(content.substr(0, equals)));
            bool known = false;
            for (std::size_t i = 0; i < names.size(); ++i) {
                if (names[i] != name) continue;
                known = true;
                if (!*targets[i]) *targets[i] = std::string(trimmed(content.substr(equals + 1)));
            }
            if (!known) fault(fmt::format("there is no setting \"{}\"; there are {}", name, join_words(names)));
        }
        offset += line.size() + 1;
    }
    if (!wrong.empty()) throw InputError(std::move(wrong));
    if (resistor && *resistor != "box" && *resistor != "zigzag")
        throw CommandError(*file, fmt::format("resistor is box or zigzag, not \"{}\"", *resistor));
}

std::optional<LoadedReview> load_review(const std::optional<std::string>& path) {
    if (!path) return std::nullopt;
    return LoadedReview{*path, read_review(read_file(*path))};
}

std::vector<HandPair> pairs_of(const std::optional<LoadedReview>& review) {
    return review ? hand_pairs(review->review) : std::vector<HandPair>();
}

LoadedPair load_pair(const std::string& drawing, const std::string& board, const std::optional<std::string>& review, const KindTable& kinds) {
    if (drawing == "-" && board == "-") throw CommandError("", "standard input holds one file; name the drawing or the board by its path");
    Circuit drawn = load_circuit(drawing, kinds, CircuitRole::drawing), found = load_circuit(board, kinds, CircuitRole::board);
    return {std::move(drawn), std::move(found), load_review(review)};
}

std::string latest_date(const std::vector<const Circuit*>& circuits, const std::optional<LoadedReview>& review) {
    LatestDate latest;
    for (const Circuit* circuit : circuits) latest.consider(*circuit);
    if (review)
        for (const Decision& decision : review->review.decisions) latest.consider(decision.on);
    return latest.text();
}

}  // namespace tallyboard
