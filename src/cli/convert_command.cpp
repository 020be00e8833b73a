#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/files.h"
#include "cli/terminal.h"
#include "xml/csv.h"
#include "xml/write_circuit.h"

namespace tallyboard {
namespace {

bool is_xml(const SourceText& text) {
    std::string_view bytes = text.bytes();
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
    return trimmed(bytes).starts_with('<');
}

}  // namespace

int convert_command(const Arguments& arguments) {
    std::string path, role, rows, delimiter;
    std::optional<std::string> out;
    CsvStyle style;
    Knowledge knowledge;
    Options options("convert FILE [options]",
                    "Turns a spreadsheet's CSV into a circuit file, and a circuit file into CSV. The first row names the columns: ref and\n"
                    "kind, then value, model …, and either pin and net (one row a pin) or pins (one row a part).");
    options.place(path, "FILE", "a CSV table or a circuit file; which, its first sign says");
    options.text(out, "-o", "FILE", "write it there instead of printing it");
    options.choice(role, "--as", {"as-found", "circulated"}, "what the table stands for");
    options.choice(rows, "--rows", {"pins", "parts"}, "to CSV: one row a pin or one row a part");
    options.choice(delimiter, "--delimiter", {"comma", "semicolon", "tab"}, "to CSV");
    options.flag(style.decimal_comma, "--decimal-comma", "to CSV: values with a decimal comma");
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;

    if (out) require_output(*out, {path});
    KindTable kinds = knowledge.kinds();
    SourceText text = read_file(path);
    std::string converted;
    if (is_xml(text)) {
        style.rows = rows == "parts" ? CsvRows::parts : CsvRows::pins;
        style.delimiter = delimiter == "semicolon" ? ';' : delimiter == "tab" ? '\t' : ',';
        converted = write_csv(read_circuit(std::move(text), kinds), style);
    } else {
        converted = write_circuit(read_csv(std::move(text), role == "circulated" ? CircuitRole::drawing : CircuitRole::board, kinds));
    }
    if (out) write_file(*out, converted);
    else print(converted);
    return exit_agree;
}

}  // namespace tallyboard
