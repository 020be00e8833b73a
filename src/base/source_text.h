#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tallyboard {

// Line and column, both from 1; the column counts characters, not bytes. {0, 0}: the file as a whole.
struct TextPosition {
    std::size_t line = 0;
    std::size_t column = 0;
    friend bool operator==(const TextPosition&, const TextPosition&) = default;
};

// Bytes [begin, end) of a file's text.
struct Span {
    std::size_t begin = 0;
    std::size_t end = 0;
    friend bool operator==(const Span&, const Span&) = default;
};

// A file's bytes as they were read, under the name it is called by in messages. Never changed after construction:
// corrections are made by splicing a copy.
class SourceText {
public:
    SourceText() = default;
    SourceText(std::string name, std::string bytes);

    const std::string& name() const { return name_; }
    const std::string& bytes() const { return bytes_; }
    std::string_view slice(Span span) const;

    // Where the byte at `offset` stands (offsets past the end: just behind the last character). O(log lines + column).
    TextPosition position(std::size_t offset) const;
    // The line alone, in O(log lines).
    std::size_t line_number(std::size_t offset) const;
    // Text of a line without its line end; empty beyond the last one.
    std::string_view line(std::size_t number) const;

private:
    std::string name_;
    std::string bytes_;
    std::vector<std::size_t> line_starts_;
};

}  // namespace tallyboard
