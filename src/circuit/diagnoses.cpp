#include "circuit/diagnoses.h"

#include <algorithm>

#include "base/text.h"

namespace tallyboard {
namespace {

constexpr std::size_t longest_message = 600;  // bytes; what is quoted from a file may be of any length

// One line of bearable length, whatever was quoted.
std::string as_one_line(std::string message) {
    for (char& c : message)
        if (static_cast<unsigned char>(c) < 0x20) c = ' ';
    if (message.size() <= longest_message) return message;
    std::size_t end = longest_message;
    while (end > 0 && (static_cast<unsigned char>(message[end]) & 0xC0) == 0x80) --end;
    return message.substr(0, end) + "…";
}

}  // namespace

void Diagnoses::add(Severity severity, std::size_t offset, std::string message) {
    if (severity != Severity::error) {
        remarks_.push_back({severity, offset, remarks_.size(), as_one_line(std::move(message))});
        return;
    }
    ++found_;
    if (!will_be_told(offset)) return;
    errors_.push_back({severity, offset, found_, as_one_line(std::move(message))});
    std::push_heap(errors_.begin(), errors_.end());
    if (errors_.size() <= max_errors_told) return;
    std::pop_heap(errors_.begin(), errors_.end());
    errors_.pop_back();
}

std::vector<Diagnostic> Diagnoses::told(std::vector<Entry> entries) const {
    std::sort(entries.begin(), entries.end());
    std::vector<Diagnostic> out;
    for (Entry& entry : entries) out.push_back(diagnostic_at(entry.severity, *text_, entry.offset, std::move(entry.message)));
    return out;
}

void Diagnoses::throw_errors() const {
    if (!has_errors()) return;
    std::vector<Diagnostic> all = told(errors_);
    if (all.size() < found_)
        all.push_back({Severity::error, text_->name(), {}, "and " + counted(found_ - all.size(), "more error"), {}});
    throw InputError(std::move(all));
}

std::vector<Diagnostic> Diagnoses::remarks() const { return told(remarks_); }

std::string Diagnoses::line_words(std::size_t offset) const { return "line " + std::to_string(text_->line_number(offset)); }

std::string Diagnoses::unknown_words(std::string_view what, std::string_view word, const std::vector<std::string>& known) {
    constexpr std::size_t few = 12;
    std::string out = "unknown " + std::string(what) + " \"" + std::string(word) + "\"";
    std::string nearest = nearest_word(word, known);
    if (!nearest.empty()) return out + "; did you mean \"" + nearest + "\"?";
    if (known.empty() || known.size() > few) return out;
    return out + "; write " + join_words(known, "or");
}

}  // namespace tallyboard
