#include "base/source_text.h"

#include <algorithm>

namespace tallyboard {

SourceText::SourceText(std::string name, std::string bytes) : name_(std::move(name)), bytes_(std::move(bytes)) {
    // A byte order mark is no character of the first line.
    std::size_t start = bytes_.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    line_starts_.push_back(start);
    for (std::size_t i = start; i < bytes_.size(); ++i) {
        if (bytes_[i] == '\n') line_starts_.push_back(i + 1);
        else if (bytes_[i] == '\r' && (i + 1 == bytes_.size() || bytes_[i + 1] != '\n')) line_starts_.push_back(i + 1);
    }
}

std::string_view SourceText::slice(Span span) const {
    return std::string_view(bytes_).substr(span.begin, span.end - span.begin);
}

std::size_t SourceText::line_number(std::size_t offset) const {
    auto next = std::upper_bound(line_starts_.begin(), line_starts_.end(), std::min(offset, bytes_.size()));
    return next == line_starts_.begin() ? 1 : static_cast<std::size_t>(next - line_starts_.begin());
}

TextPosition SourceText::position(std::size_t offset) const {
    if (line_starts_.empty()) return {1, 1};
    offset = std::min(offset, bytes_.size());
    std::size_t line = line_number(offset);
    std::size_t column = 1;
    for (std::size_t i = line_starts_[line - 1]; i < offset; ++i)
        if ((static_cast<unsigned char>(bytes_[i]) & 0xC0) != 0x80) ++column;
    return {line, column};
}

std::string_view SourceText::line(std::size_t number) const {
    if (number == 0 || number > line_starts_.size()) return {};
    std::size_t begin = line_starts_[number - 1];
    std::size_t end = bytes_.find_first_of("\r\n", begin);
    if (end == std::string::npos) end = bytes_.size();
    return std::string_view(bytes_).substr(begin, end - begin);
}

}  // namespace tallyboard
