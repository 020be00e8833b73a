#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/command.h"

namespace tallyboard {

// The words a command takes, what they mean, and the help made from that. Targets must outlive `parse`.
class Options {
public:
    // `usage` follows "tallyboard "; `about` is a sentence or two.
    Options(std::string usage, std::string about);
    ~Options();
    Options(const Options&) = delete;
    Options& operator=(const Options&) = delete;

    // Positional words, in order. `many` takes all that are left, at least one.
    void place(std::string& target, std::string name, std::string help);
    void places(std::vector<std::string>& target, std::string name, std::string help);

    void flag(bool& target, std::string name, std::string help);
    void text(std::string& target, std::string name, std::string argument, std::string help);
    void text(std::optional<std::string>& target, std::string name, std::string argument, std::string help);
    void texts(std::vector<std::string>& target, std::string name, std::string argument, std::string help);
    void number(double& target, std::string name, std::string argument, std::string help, double least, double most);
    void whole(int& target, std::string name, std::string argument, std::string help, int least, int most);
    // One of `words`; the first is what holds without the option.
    void choice(std::string& target, std::string name, std::vector<std::string> words, std::string help);
    // A paragraph behind the options: an example, what the exit status says.
    void note(std::string text);

    // False: --help was asked for and has been printed. CommandError for words that do not fit, with the nearest option.
    bool parse(const Arguments& arguments);

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace tallyboard
