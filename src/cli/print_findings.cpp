#include "cli/print_findings.h"

#include <algorithm>
#include <fmt/format.h>

#include "base/text.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

std::string side_line(std::string_view side, const Circuit& circuit, std::size_t parts, std::size_t nets) {
    std::string title = circuit.about.title;
    if (!circuit.about.serial.empty()) title += (title.empty() ? "no. " : ", no. ") + circuit.about.serial;
    if (circuit.about.made) title += (title.empty() ? "" : ", ") + circuit.about.made->text;
    return fmt::format("{:<8} {}: {}, {}{}\n", side, circuit.source.name(), counted(parts, "part"), counted(nets, "net"),
                       title.empty() ? "" : " (" + title + ")");
}

}  // namespace

std::string wrapped(const std::string& text, std::size_t indent, std::size_t width) {
    std::string out;
    std::size_t used = indent;
    bool first = true;
    for (const std::string& word : split_words(text)) {
        std::size_t length = count_characters(word);
        if (!first && used + 1 + length > width) {
            out += "\n" + std::string(indent, ' ');
            used = indent;
        } else if (!first) {
            out += " ";
            ++used;
        }
        out += word;
        used += length;
        first = false;
    }
    return out;
}

std::string padded(const std::string& text, std::size_t width) {
    std::size_t used = count_characters(text);
    return used < width ? text + std::string(width - used, ' ') : text;
}

std::string why_text(const Why& why) {
    std::string out = wrapped(why.says, 0) + "\n";
    for (const std::string& line : why.speaks_for) out += "  for      " + wrapped(line, 11) + "\n";
    for (const std::string& line : why.speaks_against) out += "  against  " + wrapped(line, 11) + "\n";
    for (const Alternative& other : why.alternatives)
        out += fmt::format("  with {} the least found costs {} instead of {}{}\n", other.board, other.cost, why.cost, other.proved ? ", proved" : "");
    return out;
}

std::string comparison_text(const Circuit& drawing, const Circuit& board, const Comparison& c) {
    std::string out = side_line("Drawing", drawing, c.drawing_parts, c.drawing_nets) +
                      side_line("Board", board, c.board_parts, c.board_nets);
    std::size_t column = 8;
    for (const Finding& finding : c.findings) column = std::max(column, count_characters(finding.id));
    column = std::min<std::size_t>(column, 24);
    bool costly = true;
    if (!c.findings.empty()) out += "\n";
    for (const Finding& finding : c.findings) {
        if (costly && finding.cost == 0) {
            costly = false;
            if (&finding != &c.findings.front()) out += "\n";
            out += "Told, at no cost:\n";
        }
        std::string id = finding.id;
        std::size_t width = count_characters(id);
        if (width < column) id += std::string(column - width, ' ');
        std::string cost = finding.cost == 0 ? " " : std::to_string(finding.cost);
        out += fmt::format("  {} {}  {}\n", tinted(id, finding.cost == 0 ? Tint::plain : Tint::strong), cost,
                           wrapped(finding.says, column + 6));
    }
    return out + "\n" + wrapped(c.says, 0) + "\n";
}

}  // namespace tallyboard
