#include "cli/ask.h"

#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <editline/readline.h>
#include <unistd.h>

#include "base/text.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

// Unbuffered, so that a program that talks to us over a pipe may take turns.
std::optional<std::string> plain_line() {
    std::string line;
    char c;
    while (true) {
        ssize_t got = ::read(STDIN_FILENO, &c, 1);
        if (got < 0 && errno == EINTR) return std::nullopt;
        if (got <= 0) return line.empty() ? std::nullopt : std::optional(line);
        if (c == '\n') return line;
        if (c != '\r') line += c;
    }
}

}  // namespace

std::optional<std::string> ask_line(const std::string& prompt) {
    if (!::isatty(STDIN_FILENO) || !output_is_terminal()) {
        print(prompt);
        std::optional<std::string> line = plain_line();
        if (!::isatty(STDIN_FILENO)) print("\n");
        return line;
    }
    static const bool ready = [] {
        ::using_history();
        ::stifle_history(200);
        return true;
    }();
    (void)ready;
    char* typed = ::readline(prompt.c_str());
    if (!typed) {
        print("\n");
        return std::nullopt;
    }
    std::string line = typed;
    if (!line.empty()) ::add_history(typed);
    ::free(typed);
    return line;
}

std::optional<char> ask_key(const std::string& prompt, const std::string& keys, const std::string& help) {
    while (true) {
        std::optional<std::string> line = ask_line(prompt);
        if (!line) return std::nullopt;
        std::string_view word = trimmed(*line);
        if (!word.empty() && keys.find(ascii_lower(word[0])) != std::string::npos) return ascii_lower(word[0]);
        print(help + "\n");
    }
}

}  // namespace tallyboard
