#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "bench/tracing.h"

namespace tallyboard {

std::string_view beeps_word(Beeps beeps);

// A pin named as REF.PIN, split at the first dot; the pin by its own or another name.
std::optional<PinId> read_pin(const Circuit& board, const std::string& text);

// A board's file while it is traced: every answer stands in its <continuity> before the next question is asked. All other bytes
// of the file stay as they are.
class TracedFile {
public:
    // InputError, CommandError as for reading a board. `drawing` may be null and must outlive this.
    TracedFile(std::string path, const KindTable& kinds, const Circuit* drawing, const TracingOptions& options);

    // Writes the answer, unless it contradicts earlier ones.
    std::optional<Contradiction> answer(const TracingTest& test);
    // All, or at the first contradiction none. Those that stand in the file already are not written again.
    std::optional<Contradiction> answer_all(const std::vector<TracingTest>& tests);
    void retract(std::size_t index);

    const Circuit& board() const { return *board_; }
    Tracing& tracing() { return *tracing_; }
    const Tracing& tracing() const { return *tracing_; }

private:
    void save(std::string text);

    std::string path_;
    const KindTable& kinds_;
    std::unique_ptr<Circuit> board_;      // as first read: the tracing refers to it
    std::unique_ptr<Circuit> written_;    // as now in the file, for places to edit
    std::unique_ptr<Tracing> tracing_;
};

}  // namespace tallyboard
