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
    if (severity == Severity::error) ++errors_;
    entries_.push_back({severity, offset, as_one_line(std::move(message))});
}

std::vector<Diagnostic> Diagnoses::told(bool errors) const {
    std::vector<const Entry*> wanted;
    for (const Entry& entry : entries_)
        if ((entry.severity == Severity::error) == errors) wanted.push_back(&entry);
    std::stable_sort(wanted.begin(), wanted.end(), [](const Entry* a, const Entry* b) { return a->offset < b->offset; });
    std::size_t count = errors ? std::min(wanted.size(), max_errors_told) : wanted.size();
    std::vector<Diagnostic> out;
    for (std::size_t i = 0; i < count; ++i)
        out.push_back(diagnostic_at(wanted[i]->severity, *text_, wanted[i]->offset, wanted[i]->message));
    if (count < wanted.size())
        out.push_back({Severity::error, text_->name(), {}, "and " + counted(wanted.size() - count, "more error"), {}});
    return out;
}

void Diagnoses::throw_errors() const {
    if (has_errors()) throw InputError(told(true));
}

std::vector<Diagnostic> Diagnoses::remarks() const { return told(false); }

std::string Diagnoses::line_words(std::size_t offset) const {
    return "line " + std::to_string(text_->position(offset).line);
}

std::string unknown_word(std::string_view what, std::string_view word, const std::vector<std::string>& known) {
    constexpr std::size_t few = 12;
    std::string out = "unknown " + std::string(what) + " \"" + std::string(word) + "\"";
    std::string nearest = nearest_word(word, known);
    if (!nearest.empty()) return out + "; did you mean \"" + nearest + "\"?";
    if (known.empty() || known.size() > few) return out;
    return out + "; write " + join_words(known, "or");
}

}  // namespace tallyboard
