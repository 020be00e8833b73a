#pragma once

#include <exception>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/source_text.h"

namespace tallyboard {

enum class Severity { error, warning, note };

// One thing to tell about one place of one file: what is wrong and how to mend it.
struct Diagnostic {
    Severity severity = Severity::error;
    std::string file;     // as the user named it
    TextPosition at;      // {0, 0}: no place in it
    std::string message;  // no full stop, no line break
    std::string line;     // the source line, for the caret; empty: none is shown
    std::size_t cut = 0;  // characters of a very long line left out before `line`
};

Diagnostic diagnostic_at(Severity severity, const SourceText& text, std::size_t offset, std::string message);

// "FILE:LINE:COLUMN: error: MESSAGE\n", then the source line (cut to a window round the column where it is long) and a
// caret under the column. Without a place "FILE: error: MESSAGE\n".
std::string format(const Diagnostic& diagnostic);

// A file that cannot be used: everything found wrong with it in one go, in the order of the text.
class InputError : public std::exception {
public:
    explicit InputError(std::vector<Diagnostic> diagnostics);
    const std::vector<Diagnostic>& diagnostics() const { return diagnostics_; }
    const char* what() const noexcept override { return what_.c_str(); }

private:
    std::vector<Diagnostic> diagnostics_;
    std::string what_;
};

// A command that cannot go on for a reason that has no place in a text: a path, an option. Printed as "SUBJECT: error:
// MESSAGE", or "tallyboard: error: MESSAGE" where there is no subject.
class CommandError : public std::exception {
public:
    CommandError(std::string subject, std::string message);
    const char* what() const noexcept override { return what_.c_str(); }

private:
    std::string what_;
};

// The known word nearest to `word` by edit distance (transpositions count once; case counts half), if it is near enough
// to be a likely slip; else empty. The first of several equally near.
std::string nearest_word(std::string_view word, std::span<const std::string> known);

}  // namespace tallyboard
