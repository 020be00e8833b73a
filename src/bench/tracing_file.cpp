#include "bench/tracing_file.h"

#include <algorithm>
#include <fmt/format.h>

#include "base/file.h"
#include "xml/edit.h"
#include "xml/read.h"

namespace tallyboard {
namespace {

std::string test_element(const Circuit& board, const TracingTest& test) {
    return fmt::format("<test from=\"{}\" to=\"{}\" beeps=\"{}\"/>", escaped_attribute(pin_name(board, test.from)),
                       escaped_attribute(pin_name(board, test.to)), beeps_word(test.beeps));
}

// Behind the last test; in the <continuity> that has none; in a new one at the end of the file's children.
std::string with_test(const Circuit& board, const TracingTest& test) {
    std::string element = test_element(board, test);
    if (!board.continuity.empty()) return spliced(board.source, {insert_behind(board.source, board.continuity.back().span, element)});
    if (board.continuity_span.end > board.continuity_span.begin)
        return spliced(board.source, {append_child(board.source, board.continuity_span, element)});
    return spliced(board.source, {append_child(board.source, board.root_span, "<continuity>" + element + "</continuity>")});
}

}  // namespace

std::string_view beeps_word(Beeps beeps) {
    switch (beeps) {
        case Beeps::yes: return "yes";
        case Beeps::part: return "part";
        case Beeps::no: return "no";
    }
    return "";
}

std::optional<PinId> read_pin(const Circuit& board, const std::string& text) {
    std::size_t dot = text.find('.');
    if (dot == std::string::npos) return std::nullopt;
    std::optional<PartId> part = board.part(text.substr(0, dot));
    if (!part) return std::nullopt;
    std::string name = text.substr(dot + 1);
    const std::vector<Pin>& pins = board[*part].pins;
    for (std::uint32_t i = 0; i < pins.size(); ++i)
        if (pins[i].name == name) return PinId{*part, i};
    if (std::optional<std::uint32_t> kind_pin = board.kind_of(board[*part]).pin(name))
        for (std::uint32_t i = 0; i < pins.size(); ++i)
            if (pins[i].kind_pin == *kind_pin) return PinId{*part, i};
    return std::nullopt;
}

TracedFile::TracedFile(std::string path, const KindTable& kinds, const Circuit* drawing, const TracingOptions& options)
    : path_(std::move(path)), kinds_(kinds) {
    SourceText text = read_file(path_);
    board_ = std::make_unique<Circuit>(read_circuit(text, kinds_, CircuitRole::board));
    written_ = std::make_unique<Circuit>(*board_);
    tracing_ = std::make_unique<Tracing>(*board_, drawing, options);
}

void TracedFile::save(std::string text) {
    // Read before it is written: a file that could not be read back is never left behind.
    auto read = std::make_unique<Circuit>(read_circuit(SourceText(path_, text), kinds_, CircuitRole::board));
    write_file(path_, text);
    written_ = std::move(read);
}

std::optional<Contradiction> TracedFile::answer(const TracingTest& test) {
    if (auto contradiction = tracing_->answer(test)) return contradiction;
    save(with_test(*written_, test));
    return std::nullopt;
}

std::optional<Contradiction> TracedFile::answer_all(const std::vector<TracingTest>& tests) {
    std::size_t before = tracing_->tests().size();
    std::string text = written_->source.bytes();
    auto known = [&](const TracingTest& test) {
        return std::any_of(tracing_->tests().begin(), tracing_->tests().end(), [&](const TracingTest& old) {
            return old.beeps == test.beeps && std::minmax(old.from, old.to) == std::minmax(test.from, test.to);
        });
    };
    for (const TracingTest& test : tests) {
        if (known(test)) continue;
        auto contradiction = tracing_->answer(test);
        if (contradiction) {
            while (tracing_->tests().size() > before) tracing_->retract(tracing_->tests().size() - 1);
            return contradiction;
        }
        Circuit now = read_circuit(SourceText(path_, text), kinds_, CircuitRole::board);
        text = with_test(now, test);
    }
    save(text);
    return std::nullopt;
}

void TracedFile::retract(std::size_t index) {
    save(spliced(written_->source, {remove_element(written_->source, written_->continuity.at(index).span)}));
    tracing_->retract(index);
}

}  // namespace tallyboard
