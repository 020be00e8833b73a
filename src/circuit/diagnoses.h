#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"

namespace tallyboard {

// Everything found wrong, doubtful or assumed while one text is read; places are byte offsets until it is told. The text must
// outlive it.
class Diagnoses {
public:
    explicit Diagnoses(const SourceText& text) : text_(&text) {}

    void error(std::size_t offset, std::string message) { add(Severity::error, offset, std::move(message)); }
    void warning(std::size_t offset, std::string message) { add(Severity::warning, offset, std::move(message)); }
    void note(std::size_t offset, std::string message) { add(Severity::note, offset, std::move(message)); }

    bool has_errors() const { return errors_ > 0; }
    // InputError with all errors in the order of the text (the first max_errors_told of them), if there are any.
    void throw_errors() const;
    // Warnings and notes in the order of the text.
    std::vector<Diagnostic> remarks() const;
    // "line 12": for naming a second place in a message.
    std::string line_words(std::size_t offset) const;

private:
    struct Entry { Severity severity; std::size_t offset; std::string message; };
    void add(Severity severity, std::size_t offset, std::string message);
    std::vector<Diagnostic> told(bool errors) const;

    const SourceText* text_;
    std::vector<Entry> entries_;
    std::size_t errors_ = 0;
};

// More errors than this say one thing: it is the wrong file. The rest is counted.
constexpr std::size_t max_errors_told = 100;

// `unknown kind "resistr"; did you mean "resistor"?`, or without a likely word the known ones, where they are few.
std::string unknown_word(std::string_view what, std::string_view word, const std::vector<std::string>& known);

}  // namespace tallyboard
