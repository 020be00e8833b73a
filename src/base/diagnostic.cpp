#include "base/diagnostic.h"

#include <algorithm>
#include <utility>

#include "base/text.h"

namespace tallyboard {
namespace {

// Wider source lines are cut to this many characters round the place, so that the caret stays on an 80 column screen.
constexpr std::size_t shown_line_width = 76;
// Bytes of a long line kept on either side of the place: more than are shown, whatever the characters. A program's file may be one
// line of megabytes.
constexpr std::size_t kept_beside = 4 * shown_line_width;

std::string_view severity_word(Severity severity) {
    switch (severity) {
        case Severity::error: return "error";
        case Severity::warning: return "warning";
        case Severity::note: return "note";
    }
    return "error";
}

}  // namespace

Diagnostic diagnostic_at(Severity severity, const SourceText& text, std::size_t offset, std::string message) {
    TextPosition at = text.position(offset);
    std::string_view line = text.line(at.line);
    Diagnostic out{severity, text.name(), at, std::move(message), {}, 0};
    if (line.size() > 2 * kept_beside) {
        auto is_inside = [&](std::size_t i) { return i < line.size() && (static_cast<unsigned char>(line[i]) & 0xC0) == 0x80; };
        std::size_t here = std::min(offset - static_cast<std::size_t>(line.data() - text.bytes().data()), line.size());
        std::size_t from = here > kept_beside ? here - kept_beside : 0, to = std::min(line.size(), here + kept_beside);
        while (is_inside(from)) ++from;
        while (is_inside(to)) ++to;
        std::size_t before = 0;
        for (std::size_t i = from; i < here; ++i) before += is_inside(i) ? 0 : 1;
        if (from > 0) out.cut = at.column - 1 - before;
        line = line.substr(from, to - from);
    }
    out.line = line;
    return out;
}

std::string format(const Diagnostic& d) {
    std::string out = d.file;
    if (d.at.line != 0) out += ":" + std::to_string(d.at.line) + ":" + std::to_string(d.at.column);
    out += ": ";
    out += severity_word(d.severity);
    out += ": " + d.message + "\n";
    if (d.at.line == 0 || d.line.empty()) return out;

    std::vector<std::string> characters = split_characters(d.line);
    std::size_t column = std::min(d.at.column <= d.cut ? 1 : d.at.column - d.cut, characters.size() + 1);
    std::size_t from = 0;
    if (characters.size() > shown_line_width && column > shown_line_width / 2) from = column - shown_line_width / 2;
    std::size_t to = std::min(characters.size(), from + shown_line_width);
    std::string shown, indent;
    for (std::size_t i = from; i < to; ++i) {
        bool control = characters[i].size() == 1 && static_cast<unsigned char>(characters[i][0]) < 0x20;
        shown += control ? " " : characters[i];
    }
    indent.assign(column - 1 - from, ' ');
    return out + "  " + (from + d.cut > 0 ? "…" : "") + shown + (to < characters.size() ? "…" : "") + "\n  " +
           (from + d.cut > 0 ? " " : "") + indent + "^\n";
}

InputError::InputError(std::vector<Diagnostic> diagnostics) : diagnostics_(std::move(diagnostics)) {
    for (const Diagnostic& d : diagnostics_) what_ += format(d);
}

CommandError::CommandError(std::string subject, std::string message)
    : what_((subject.empty() ? std::string("tallyboard") : std::move(subject)) + ": error: " + std::move(message)) {}

std::string nearest_word(std::string_view word, std::span<const std::string> known) {
    // Optimal string alignment distance in half units, so that a slip of case alone costs least.
    auto distance = [](std::string_view a, std::string_view b) {
        std::vector<std::vector<int>> d(a.size() + 1, std::vector<int>(b.size() + 1));
        for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = static_cast<int>(2 * i);
        for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = static_cast<int>(2 * j);
        for (std::size_t i = 1; i <= a.size(); ++i)
            for (std::size_t j = 1; j <= b.size(); ++j) {
                int unlike = a[i - 1] == b[j - 1] ? 0 : ascii_lower(a[i - 1]) == ascii_lower(b[j - 1]) ? 1 : 2;
                d[i][j] = std::min({d[i - 1][j] + 2, d[i][j - 1] + 2, d[i - 1][j - 1] + unlike});
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                    d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 2);
            }
        return d[a.size()][b.size()];
    };
    if (word.size() > 64) return {};
    int best = 1 + static_cast<int>(2 * std::max<std::size_t>(1, word.size() / 3));
    std::string found;
    for (const std::string& candidate : known) {
        int d = distance(word, candidate);
        if (d < best) best = d, found = candidate;
    }
    return found;
}

}  // namespace tallyboard
