#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "base/file.h"
#include "base/number_text.h"
#include "base/text.h"
#include "cli/files.h"
#include "cli/json.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "publish/pdf.h"
#include "publish/response_page.h"
#include "publish/svg.h"
#include "solve/reading_quantity.h"
#include "solve/solve.h"
#include "values/span_text.h"

namespace tallyboard {
namespace {

std::string amount(const std::optional<double>& value, Quantity quantity) {
    return value ? engineering_text(*value, quantity, 4) : std::string("not told");
}

std::string voltages(const Circuit& circuit, const OperatingPoint& dc) {
    std::string out = "Voltages";
    if (auto ground = circuit.ground()) out += " against " + net_name(circuit, *ground);
    out += "\n";
    std::size_t column = 0;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i)
        column = std::max(column, count_characters(net_name(circuit, NetId{static_cast<std::uint32_t>(i)})));
    for (std::size_t i = 0; i < circuit.nets.size(); ++i)
        out += "  " + padded(net_name(circuit, NetId{static_cast<std::uint32_t>(i)}), column + 2) +
               amount(dc.net_volts.at(i), Quantity::voltage) + "\n";
    for (const SupplyCurrent& supply : dc.supplies)
        out += "  " + padded(supply.name, column + 2) + "delivers " + amount(supply.amperes, Quantity::current) + "\n";
    return out;
}

std::string readings(const Circuit& circuit, const std::vector<ToldReading>& told) {
    std::string out = "\nReadings              is          expected    unloaded    span\n";
    for (const ToldReading& row : told) {
        const Reading& reading = *row.reading;
        Quantity quantity = quantity_of(reading.what);
        std::string place = reading.what == ReadingWhat::current
                                ? (reading.through_pin ? pin_name(circuit, *reading.through_pin) : reading.through)
                                : (reading.at ? reading.at->text : "") + " to " + (reading.to ? reading.to->text : "");
        const Expectation& e = row.expectation;
        out += "  " + padded(place, 20) + padded(engineering_text(reading.is, quantity, 4), 12);
        if (!e.expected) {
            out += "not told: " + e.why_not + "\n";
            continue;
        }
        out += padded(amount(e.expected, quantity), 12) + padded(amount(e.unloaded, quantity), 12) +
               (e.low && e.high ? span_text(*e.low, *e.high, quantity) : "") + "\n";
    }
    return out;
}

// The response as a plot of characters: frequency downwards, a bar to the level, so that it reads over any pipe.
std::string response_plot(const std::vector<ResponsePoint>& points) {
    double low = 1e300, high = -1e300;
    for (const ResponsePoint& p : points)
        if (p.db) low = std::min(low, *p.db), high = std::max(high, *p.db);
    if (low > high) return "";
    low = std::max(low, high - 60);
    double span = std::max(high - low, 6.0);
    constexpr int width = 50;
    std::string out = fmt::format("\nResponse, load over source: {} to {} dB\n", fixed_text(high - span, 1), fixed_text(high, 1));
    for (const ResponsePoint& p : points) {
        std::string hz = p.hz >= 1000 ? rounded_text(p.hz / 1000, 4) + " kHz" : rounded_text(p.hz, 4) + " Hz";
        out += fmt::format("  {:>10}  ", hz);
        if (!p.db) {
            out += "not told\n";
            continue;
        }
        int bar = std::clamp(static_cast<int>(std::lround((*p.db - (high - span)) / span * width)), 0, width);
        out += fmt::format("{:<{}} {:>7} dB {:>7}°\n", std::string(static_cast<std::size_t>(bar), '=') + "|", width + 1,
                           fixed_text(*p.db, 1), fixed_text(p.deg.value_or(0), 0));
    }
    return out;
}

std::vector<double> read_frequencies(const std::string& list) {
    std::vector<double> hz;
    for (const std::string& piece : split(list, ',')) {
        std::optional<double> f = read_double(trimmed(piece));
        if (!f) {
            Result<Value> value = read_value(piece, Quantity::frequency);
            if (value) f = value->si();
        }
        if (!f || !(*f > 0) || *f > 1e12)
            throw CommandError("", fmt::format("--hz takes frequencies above 0 between commas, as 20,1000,20k; not \"{}\"", piece));
        hz.push_back(*f);
    }
    std::sort(hz.begin(), hz.end());
    return hz;
}

std::string solution_text(const Circuit& circuit, const Solution& solution) {
    std::string out;
    if (!solution.dc.converged)
        out += wrapped("No operating point was found" +
                           (solution.dc.resists.empty() ? "" : "; the net that resists is " + solution.dc.resists) +
                           (solution.dc.says.empty() ? "" : ". " + solution.dc.says), 0) + "\n\n";
    else if (!solution.dc.says.empty()) out += wrapped(solution.dc.says, 0) + "\n\n";
    out += voltages(circuit, solution.dc);
    if (!solution.readings.empty()) out += readings(circuit, solution.readings);
    out += response_plot(solution.response);
    if (!solution.why_no_response.empty()) out += "\n" + wrapped("No response: " + solution.why_no_response, 0) + "\n";
    if (!solution.unmodelled.empty() || !solution.remarks.empty()) out += "\n";
    for (const Unmodelled& part : solution.unmodelled) out += wrapped(part.ref + " is left out: " + part.why, 2) + "\n";
    for (const std::string& remark : solution.remarks) out += "  " + wrapped(remark, 2) + "\n";
    return out;
}

ResponseSection plotted(const Solution& solution) {
    ResponseSection section;
    section.drawing.emplace();
    section.drawing->name = "load over source";
    for (const ResponsePoint& point : solution.response) section.hz.push_back(point.hz), section.drawing->db.push_back(point.db);
    return section;
}

}  // namespace

int solve_command(const Arguments& arguments) {
    std::string path, when;
    bool json = false;
    std::optional<std::string> hz, plot;
    Knowledge knowledge;
    Options options("solve FILE [options]",
                    "Works out the operating point, the response from source to load and what each reading of the file should\n"
                    "be on its meter. The file's <setup> says what the circuit is worked with.");
    options.place(path, "FILE", "a drawing or a board");
    options.flag(json, "--json", "print the result as JSON");
    options.text(hz, "--hz", "F1,F2,…", "frequencies of the response; without it third-octaves from 20 Hz to 20 kHz");
    options.text(plot, "-o", "PLOT.svg|PLOT.pdf", "plot the response there");
    options.choice(when, "--when", {"found", "left"}, "the unit as found or as left, after what <done> says");
    knowledge.add_kinds_option(options);
    knowledge.add_devices_option(options);
    if (!options.parse(arguments)) return exit_agree;

    bool svg = plot && plot->ends_with(".svg");
    if (plot && !svg && !plot->ends_with(".pdf")) throw CommandError(*plot, "the ending says no format; use .svg or .pdf");
    if (plot) require_output(*plot, {path});
    SolveOptions solve_options;
    solve_options.when = when == "left" ? When::left : When::found;
    solve_options.devices = knowledge.devices();
    if (hz) solve_options.hz = read_frequencies(*hz);
    Circuit circuit = load_circuit(path, knowledge.kinds());
    warn_without_supply(path, circuit);
    Solution solution = solve(circuit, solve_options);
    if (plot) {
        if (solution.response.empty()) throw CommandError(path, "there is no response to plot: " + solution.why_no_response);
        Document document = response_document(circuit.about.title, plotted(solution));
        write_file(*plot, svg ? write_svg(document) : write_pdf(document));
    }
    print(json ? solution_json(circuit, solution) : solution_text(circuit, solution));
    return exit_agree;
}

}  // namespace tallyboard
