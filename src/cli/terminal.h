#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <string_view>

namespace tallyboard {

// Writes to standard output; CommandError when it is closed or full.
void print(std::string_view text);
// Writes to standard error; what cannot be written there is lost.
void print_aside(std::string_view text);

// Whether people see the stream. Colour is used only there and not where NO_COLOR is set.
bool output_is_terminal();
bool aside_is_terminal();
bool input_is_terminal();

enum class Tint { plain, strong, removed, added, note, faint };
// `text` in a tint on a terminal that shows colours, else as it is. The tint only repeats what the words say.
std::string tinted(std::string_view text, Tint tint);

// A line on standard error that is rewritten while long work goes on, and taken away at the end; nothing unless it is a
// terminal. Shown only from one second on.
class Progress {
public:
    Progress();
    ~Progress();
    void show(const std::string& doing, double share);
    std::function<void(const std::string&, double)> callback();

private:
    double started_;
    double shown_ = 0;
    bool visible_ = false;
};

// Set by Ctrl-C after `watch_interrupts`: long work looks at it and keeps the best it has. A second Ctrl-C ends the program.
void watch_interrupts();
const std::atomic<bool>* interrupt_flag();

}  // namespace tallyboard
