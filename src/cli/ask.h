#pragma once

#include <optional>
#include <string>

namespace tallyboard {

// A line typed at the prompt, without its end; nothing at the end of the input (Ctrl-D) or after Ctrl-C. On a terminal with
// arrow keys and history; over a pipe plain lines, the prompt on standard output all the same.
std::optional<std::string> ask_line(const std::string& prompt);

// Asks until one of the letters of `keys` is typed (either case, the first letter counts); nothing as for ask_line.
// `help` is shown for anything else.
std::optional<char> ask_key(const std::string& prompt, const std::string& keys, const std::string& help);

}  // namespace tallyboard
