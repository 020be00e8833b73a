#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/diagnostic.h"

namespace tallyboard {

// More errors than this say one thing: it is the wrong file. The rest is counted, and nothing is looked up for them.
constexpr std::size_t max_errors_told = 100;

// Everything found wrong, doubtful or assumed while one text is read; places are byte offsets until it is told. The text must
// outlive it.
class Diagnoses {
public:
    explicit Diagnoses(const SourceText& text) : text_(&text) {}

    void error(std::size_t offset, std::string message) { add(Severity::error, offset, std::move(message)); }
    void warning(std::size_t offset, std::string message) { add(Severity::warning, offset, std::move(message)); }
    void note(std::size_t offset, std::string message) { add(Severity::note, offset, std::move(message)); }

    bool has_errors() const { return found_ > 0; }
    // InputError with all errors in the order of the text (the first max_errors_told of them), if there are any.
    void throw_errors() const;
    // Warnings and notes in the order of the text.
    std::vector<Diagnostic> remarks() const;
    // "line 12": for naming a second place in a message.
    std::string line_words(std::size_t offset) const;
    // For an error at `offset`: the likely word among those that `known()` gives, a vector of strings; empty where none is, or
    // where the error will not be told.
    template <class Known>
    std::string nearest(std::size_t offset, std::string_view word, Known&& known) const {
        return will_be_told(offset) ? nearest_word(word, known()) : std::string();
    }
    // `unknown kind "resistr"; did you mean "resistor"?`, or without a likely word the known ones, where they are few.
    template <class Known>
    std::string unknown(std::size_t offset, std::string_view what, std::string_view word, Known&& known) const {
        return unknown_words(what, word, will_be_told(offset) ? known() : std::vector<std::string>{});
    }

private:
    struct Entry {
        Severity severity;
        std::size_t offset;
        std::size_t order;  // in which they were found
        std::string message;
        friend bool operator<(const Entry& a, const Entry& b) {
            return std::pair(a.offset, a.order) < std::pair(b.offset, b.order);
        }
    };
    static std::string unknown_words(std::string_view what, std::string_view word, const std::vector<std::string>& known);
    void add(Severity severity, std::size_t offset, std::string message);
    std::vector<Diagnostic> told(std::vector<Entry> entries) const;
    // So far: the errors kept are the first of the text.
    bool will_be_told(std::size_t offset) const {
        return errors_.size() < max_errors_told || offset < errors_.front().offset;
    }

    const SourceText* text_;
    std::vector<Entry> errors_;   // a heap, the last of the text at its front; at most max_errors_told
    std::vector<Entry> remarks_;
    std::size_t found_ = 0;       // errors, kept or not
};

}  // namespace tallyboard
