#include "cli/options.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "base/diagnostic.h"
#include "base/number_text.h"
#include "base/text.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

constexpr std::size_t help_width = 100;

struct Row { std::string words, help; };

// Rows in two columns, the second wrapped to the width of the screen.
std::string table(const std::vector<Row>& rows) {
    std::size_t column = 0;
    for (const Row& row : rows) column = std::max(column, count_characters(row.words));
    std::string out;
    for (const Row& row : rows) {
        std::string line = "  " + row.words + std::string(column - count_characters(row.words) + 2, ' ');
        std::size_t used = column + 4;
        std::string indent(column + 4, ' ');
        for (const std::string& word : split_words(row.help)) {
            std::size_t width = count_characters(word);
            if (used + width > help_width) {
                out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
                line = indent;
                used = indent.size();
            }
            line += word + " ";
            used += width + 1;
        }
        out += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
    }
    return out;
}

}  // namespace

struct Options::State {
    std::string usage, about;
    CLI::App app;
    std::vector<Row> places, options;
    std::vector<std::string> names, notes;
    std::map<std::string, std::string> wants;  // of an option that takes a value, what it is called in the help

    CLI::Option* option(const std::string& name, const std::string& argument, const std::string& help, CLI::callback_t take) {
        names.push_back(name);
        wants[name] = argument;
        options.push_back({argument.empty() ? name : name + " " + argument, help});
        CLI::Option* added = app.add_option(name, std::move(take));
        added->multi_option_policy(CLI::MultiOptionPolicy::Throw);
        return added;
    }
};

Options::Options(std::string usage, std::string about) : state_(std::make_unique<State>()) {
    state_->usage = std::move(usage);
    state_->about = std::move(about);
    state_->app.set_help_flag();
}
Options::~Options() = default;

void Options::place(std::string& target, std::string name, std::string help) {
    state_->app.add_option(name, target)->required();
    state_->places.push_back({name, std::move(help)});
}
void Options::places(std::vector<std::string>& target, std::string name, std::string help) {
    state_->app.add_option(name, target)->required()->expected(1, 1 << 20);
    state_->places.push_back({name + "…", std::move(help)});
}
void Options::flag(bool& target, std::string name, std::string help) {
    state_->names.push_back(name);
    state_->options.push_back({name, std::move(help)});
    state_->app.add_flag(name, target)->disable_flag_override();
}
void Options::text(std::string& target, std::string name, std::string argument, std::string help) {
    state_->option(name, argument, help, [&target](const CLI::results_t& r) { target = r.at(0); return true; });
}
void Options::text(std::optional<std::string>& target, std::string name, std::string argument, std::string help) {
    state_->option(name, argument, help, [&target](const CLI::results_t& r) { target = r.at(0); return true; });
}
void Options::texts(std::vector<std::string>& target, std::string name, std::string argument, std::string help) {
    state_->option(name, argument, help, [&target](const CLI::results_t& r) { target = r; return true; })
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
        ->expected(1)
        ->allow_extra_args(false);
}
void Options::number(double& target, std::string name, std::string argument, std::string help, double least, double most) {
    state_->option(name, argument, help, [&target, name, least, most](const CLI::results_t& r) {
        std::optional<double> read = read_double(r.at(0));
        if (!read || *read < least || *read > most)
            throw CommandError("", fmt::format("{} takes a number from {} to {}, not \"{}\"", name, shortest_text(least),
                                               shortest_text(most), r.at(0)));
        target = *read;
        return true;
    });
}
void Options::whole(int& target, std::string name, std::string argument, std::string help, int least, int most) {
    state_->option(name, argument, help, [&target, name, least, most](const CLI::results_t& r) {
        std::optional<long long> read = read_integer(r.at(0));
        if (!read || *read < least || *read > most)
            throw CommandError("", fmt::format("{} takes a whole number from {} to {}, not \"{}\"", name, least, most, r.at(0)));
        target = static_cast<int>(*read);
        return true;
    });
}
void Options::choice(std::string& target, std::string name, std::vector<std::string> words, std::string help) {
    target = words.front();
    std::string shown = join(words, "|");
    state_->option(name, shown, help, [&target, name, words](const CLI::results_t& r) {
        if (std::find(words.begin(), words.end(), r.at(0)) == words.end())
            throw CommandError("", fmt::format("{} is one of {}, not \"{}\"", name, join_words(words, "or"), r.at(0)));
        target = r.at(0);
        return true;
    });
}
void Options::note(std::string text) { state_->notes.push_back(std::move(text)); }

bool Options::parse(const Arguments& arguments) {
    State& s = *state_;
    if (std::find(arguments.begin(), arguments.end(), "--help") != arguments.end() ||
        std::find(arguments.begin(), arguments.end(), "-h") != arguments.end()) {
        std::string out = "tallyboard " + s.usage + "\n\n" + wrapped(s.about, 0, help_width) + "\n";
        if (!s.places.empty()) out += "\n" + table(s.places);
        if (!s.options.empty()) out += "\n" + table(s.options);
        for (const std::string& note : s.notes) out += "\n" + wrapped(note, 0, help_width) + "\n";
        print(out);
        return false;
    }
    std::string command = split_words(s.usage).front();
    for (std::size_t i = 0; i < arguments.size(); ++i) {
        const std::string& word = arguments[i];
        std::string name = word.substr(0, word.find('='));
        if (name.size() < 2 || name[0] != '-') continue;
        if (name == "--") break;
        if (auto wants = s.wants.find(word); wants != s.wants.end() && i + 1 == arguments.size())
            throw CommandError("", fmt::format("{} {} needs a value behind it: {} {}", command, word, word, wants->second));
        if (read_double(name) || std::find(s.names.begin(), s.names.end(), name) != s.names.end()) continue;
        std::string near = nearest_word(name, s.names);
        throw CommandError("", fmt::format("{} has no option {}{}", command, name,
                                           near.empty() ? "; tallyboard " + command + " --help lists them"
                                                        : "; did you mean " + near + "?"));
    }
    try {
        std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
        s.app.parse(reversed);
    } catch (const CLI::RequiredError&) {
        throw CommandError("", fmt::format("{} needs more words: tallyboard {}", command, s.usage));
    } catch (const CLI::ExtrasError& e) {
        throw CommandError("", fmt::format("{} does not take so many words: tallyboard {}", command, s.usage));
    } catch (const CLI::Error& e) {
        throw CommandError("", fmt::format("{}: {}", command, e.what()));
    }
    return true;
}

}  // namespace tallyboard
