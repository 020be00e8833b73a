#include <algorithm>
#include <fmt/format.h>

#include "base/file.h"
#include "base/number_text.h"
#include "base/text.h"
#include "bench/probe_sheet.h"
#include "cli/bench_head.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "publish/pdf.h"
#include "values/span_text.h"

namespace tallyboard {
namespace {

// A cell of a column: at least one blank behind it, also where it is wider than the column.
std::string cell(const std::string& text, std::size_t width) { return padded(text + " ", width); }

std::string amount(const std::optional<double>& value, Quantity quantity) {
    return value ? engineering_text(*value, quantity) : std::string("not told");
}

std::string group_title(ProbeGroup group) {
    switch (group) {
        case ProbeGroup::supplies: return "Supplies first";
        case ProbeGroup::bias: return "Then bias: device pins in the order of the signal";
        case ProbeGroup::signal: return "Then test points of the signal path";
    }
    return "";
}

std::string voltages_text(const ProbeSheet& sheet) {
    std::string out;
    std::optional<ProbeGroup> group;
    for (const VoltageRow& row : sheet.voltages) {
        if (group != row.group) {
            group = row.group;
            out += "\n" + group_title(row.group) + "\n";
        }
        std::string span = row.low && row.high ? span_text(*row.low, *row.high, Quantity::voltage) : "";
        std::string rail = row.rail_share ? fmt::format("{} % of {}", rounded_text(100 * *row.rail_share, 2), row.rail) : "";
        out += "  " + cell(row.place + (row.hazardous ? " !" : ""), 34) + cell(amount(row.shows, Quantity::voltage), 10) + cell(span, 22) +
               cell(rail, 16) + row.note + "\n";
    }
    return out;
}

std::string resistances_text(const ProbeSheet& sheet) {
    std::string out = "\nPower off, capacitors discharged: resistances in circuit\n";
    for (const ResistanceRow& row : sheet.resistances) {
        std::string proves = row.proves == Proves::the_part ? "proves the part"
                           : row.lift.empty() ? row.note : "lift " + row.lift + "; " + row.note;
        std::string shows = amount(row.shows, Quantity::resistance);
        if (row.shows && row.reversed && std::abs(*row.reversed - *row.shows) > 0.02 * *row.shows)
            shows += " / " + amount(row.reversed, Quantity::resistance);
        out += "  " + cell(row.from + " to " + row.to, 22) + cell(shows, 20) +
               cell("of " + engineering_text(row.nominal, Quantity::resistance), 12) + wrapped(proves, 58, 118) + "\n";
    }
    return out;
}

std::string cautions_text(const Circuit& circuit, const SolveOptions& options) {
    std::string out;
    for (const std::string& line : bench_head(circuit, options).cautions) out += tinted("! ", Tint::strong) + wrapped(line, 2) + "\n";
    return out + (out.empty() ? "" : "\n");
}

}  // namespace

int expect_command(const Arguments& arguments) {
    std::string path, when;
    std::optional<std::string> out;
    ProbeOptions probe_options;
    Knowledge knowledge;
    Options options("expect FILE [options]",
                    "Lists what a healthy unit should show on your meter, its loading and the tolerances worked in: voltages in the\n"
                    "order one works, then resistances with the power off and what each of them proves.");
    options.place(path, "FILE", "a drawing or a board with <setup>");
    options.text(probe_options.meter, "--meter", "ID", "the meter of the file to work it out for; without it the first");
    options.choice(when, "--when", {"found", "left"}, "the unit as found or as left");
    options.text(out, "-o", "SHEET.pdf", "write it as a sheet to fill in");
    knowledge.add_kinds_option(options);
    knowledge.add_devices_option(options);
    if (!options.parse(arguments)) return exit_agree;

    if (out) require_output(*out, {path});
    probe_options.solve.when = when == "left" ? When::left : When::found;
    probe_options.solve.devices = knowledge.devices();
    Circuit circuit = load_circuit(path, knowledge.kinds());
    ProbeSheet sheet = probe_sheet(circuit, probe_options);
    if (out) {
        write_file(*out, write_pdf(probe_document(circuit, sheet, bench_head(circuit, probe_options.solve))));
        print(fmt::format("{}: {} and {} to take\n", *out, counted(sheet.voltages.size(), "voltage"), counted(sheet.resistances.size(), "resistance")));
        return exit_agree;
    }
    std::string text = cautions_text(circuit, probe_options.solve) + "For " + sheet.meter + "\n";
    if (!sheet.controls.empty()) text += "With " + join_words(sheet.controls) + "\n";
    text += voltages_text(sheet);
    if (!sheet.resistances.empty()) text += resistances_text(sheet);
    if (!sheet.remarks.empty()) text += "\n";
    for (const std::string& remark : sheet.remarks) text += "  " + wrapped(remark, 2) + "\n";
    print(text);
    return exit_agree;
}

}  // namespace tallyboard
