#include <cmath>
#include <fmt/format.h>

#include "base/number_text.h"
#include "bench/explain.h"
#include "cli/fault_words.h"
#include "cli/files.h"
#include "cli/json.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

// "; but R106 measures 27.6 kΩ with a leg lifted": a part that was measured by itself, within its tolerance, is an unlikely suspect.
std::string measured_by_itself(const Circuit& circuit, const Fault& fault) {
    const Part& part = circuit[fault.part];
    if (!part.nominal()) return "";
    const double nominal = part.nominal()->si(), tolerance = part.nominal()->tolerance.value_or(Tolerance{0.2, 0.2}).plus;
    for (const Found& found : part.found)
        if (found.measured && (found.where == FoundWhere::out || found.where == FoundWhere::lifted) && std::abs(*found.measured - nominal) <= (tolerance + 0.05) * nominal)
            return fmt::format("; but {} measures {} {}", part.ref, engineering_text(*found.measured, circuit.kind_of(part).quantity),
                               measured_how(found.where));
    return "";
}

std::string explanation_line(const Circuit& circuit, const Explanation& e) {
    std::string fits = e.misfit < 0.01 ? "every reading is met"
                                       : fmt::format("the worst reading is off by {} % of its meter's error", rounded_text(100 * e.misfit, 2));
    for (const Fault& fault : e.faults) fits += measured_by_itself(circuit, fault);
    return fmt::format("  {} ({})\n", explanation_text(circuit, e), fits);
}

std::string diagnosis_text(const Circuit& circuit, const Diagnosis& d) {
    std::string out;
    if (!d.readings) out += "Nothing to explain: the file has no reading that can be worked out.\n";
    else if (d.healthy && d.healthy_misfit <= 1) out += "Nothing to explain: every reading is what a healthy unit within its tolerances shows on that meter.\n";
    else if (d.healthy) {
        out += wrapped("Nothing to explain: each reading is within its span. All of them together strain the tolerances, though: they ask for values "
                       "further out than the parts may have. Read again, or look here first:", 0) + "\n";
        for (const Explanation& e : d.hints) out += explanation_line(circuit, e);
        if (d.hints.empty()) out += "  no single part would explain them all\n";
    }
    else if (!d.explanations.empty() && d.explanations.front().fits) {
        out += "Each of these alone explains all readings:\n";
        for (const Explanation& e : d.explanations) out += explanation_line(circuit, e);
        if (d.explanations.size() == 1) out += "No other single part does. Prove it on the part itself before it is replaced.\n";
    } else {
        out += "No single part explains these readings.\n";
        if (!d.explanations.empty()) out += "\nThe nearest that single parts come:\n";
        for (const Explanation& e : d.explanations) out += explanation_line(circuit, e);
        if (!d.pairs.empty()) out += "\nTwo parts at fault together would explain them:\n";
        for (const Explanation& e : d.pairs) out += explanation_line(circuit, e);
    }
    if (d.further) {
        out += fmt::format("\nThe reading that would separate them best: {} to {}\n", net_name(circuit, d.further->at), net_name(circuit, d.further->to));
        for (const auto& [index, volts] : d.further->shows)
            out += fmt::format("  {:>12}  if {}\n", engineering_text(volts, Quantity::voltage),
                               fault_text(circuit, d.explanations[index].faults.front()));
    }
    if (!d.loading.empty() || !d.remarks.empty()) out += "\n";
    for (const std::string& sentence : d.loading) out += wrapped(sentence, 2) + "\n";
    for (const std::string& remark : d.remarks) out += "  " + wrapped(remark, 2) + "\n";
    return out;
}

}  // namespace

int explain_command(const Arguments& arguments) {
    std::string path, when;
    bool json = false;
    ExplainOptions explain_options;
    Knowledge knowledge;
    Options options("explain FILE [options]",
                    "Takes the readings of a file's <bench> and finds every single part whose being open, short, leaky or of\n"
                    "another value explains all of them, the meter's error, its loading and the tolerances allowed for.");
    options.place(path, "FILE", "a drawing or a board with <setup> and <bench>");
    options.flag(json, "--json", "print the result as JSON");
    options.choice(when, "--when", {"found", "left"}, "the readings of the unit as found or as left");
    options.whole(explain_options.threads, "--threads", "N", "at most so many threads (the result is the same)", 1, 256);
    knowledge.add_kinds_option(options);
    knowledge.add_devices_option(options);
    if (!options.parse(arguments)) return exit_agree;

    explain_options.solve.when = when == "left" ? When::left : When::found;
    explain_options.solve.devices = knowledge.devices();
    Circuit circuit = load_circuit(path, knowledge.kinds());
    warn_without_supply(path, circuit);
    Progress progress;
    explain_options.progress = [&progress](double share) { progress.show("trying suspects", share); };
    Diagnosis diagnosis = explain(circuit, explain_options);
    print(json ? diagnosis_json(circuit, diagnosis) : diagnosis_text(circuit, diagnosis));
    return exit_agree;
}

}  // namespace tallyboard
