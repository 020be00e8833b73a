#include "cli/terminal.h"

#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <unistd.h>

#include "base/diagnostic.h"

namespace tallyboard {
namespace {

bool write_all(int fd, std::string_view text) {
    while (!text.empty()) {
        ssize_t wrote = ::write(fd, text.data(), text.size());
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote < 0) return false;
        text.remove_prefix(static_cast<std::size_t>(wrote));
    }
    return true;
}

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::atomic<bool> interrupt_seen{false};
void on_interrupt(int) {
    interrupt_seen = true;
    std::signal(SIGINT, SIG_DFL);
}

}  // namespace

void print(std::string_view text) {
    if (write_all(STDOUT_FILENO, text)) return;
    throw CommandError("standard output", std::string("cannot be written: ") + std::strerror(errno));
}

void print_aside(std::string_view text) { write_all(STDERR_FILENO, text); }

bool output_is_terminal() { return ::isatty(STDOUT_FILENO) == 1; }
bool aside_is_terminal() { return ::isatty(STDERR_FILENO) == 1; }
bool input_is_terminal() { return ::isatty(STDIN_FILENO) == 1; }

std::string tinted(std::string_view text, Tint tint) {
    static const bool colours = [] {
        const char* no = std::getenv("NO_COLOR");
        const char* term = std::getenv("TERM");
        return output_is_terminal() && !(no && *no) && term && std::string_view(term) != "dumb";
    }();
    if (!colours || tint == Tint::plain) return std::string(text);
    const char* code = tint == Tint::strong ? "1" : tint == Tint::removed ? "31" : tint == Tint::added ? "1;34"
                     : tint == Tint::note ? "32" : "2";
    return fmt::format("\033[{}m{}\033[0m", code, text);
}

Progress::Progress() : started_(seconds_now()) {}
Progress::~Progress() {
    if (visible_) write_all(STDERR_FILENO, "\r\033[K");
}
void Progress::show(const std::string& doing, double share) {
    if (!aside_is_terminal()) return;
    double now = seconds_now();
    if (now - started_ < 1 || now - shown_ < 0.1) return;
    shown_ = now;
    visible_ = true;
    write_all(STDERR_FILENO, fmt::format("\r\033[K{} {:3.0f} %", doing, 100 * share));
}
std::function<void(const std::string&, double)> Progress::callback() {
    return [this](const std::string& doing, double share) { show(doing, share); };
}

void watch_interrupts() { std::signal(SIGINT, on_interrupt); }
const std::atomic<bool>* interrupt_flag() { return &interrupt_seen; }

}  // namespace tallyboard
