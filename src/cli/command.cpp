#include "cli/command.h"

#include <algorithm>
#include <csignal>
#include <fmt/format.h>
#include <new>

#include "base/diagnostic.h"
#include "cli/terminal.h"

namespace tallyboard {
namespace {

constexpr std::string_view version = "1.0.0";

constexpr Command table[] = {
    {"new", "write a commented template of a file to fill in", new_command},
    {"convert", "turn a spreadsheet's CSV into a circuit file, or back", convert_command},
    {"check", "read files and tell what was understood", check_command},
    {"trace", "trace a board by continuity, the most telling test first", trace_command},
    {"compare", "list the differences between a drawing and a board", compare_command},
    {"review", "decide what each difference is, with the evidence in view", review_command},
    {"draw", "draw a circuit file as SVG or PDF", draw_command},
    {"arrange", "write the places of the symbols into a circuit file", arrange_command},
    {"publish", "make the corrected schematic and its revision sheet as PDF", publish_command},
    {"solve", "work out voltages, response and expected readings", solve_command},
    {"expect", "make the list of readings to expect on a healthy unit", expect_command},
    {"explain", "find the single parts whose fault explains the readings", explain_command},
    {"family", "compare the boards of one design across its years", family_command},
    {"identify", "tell which version of a design a board is", identify_command},
};

std::string help() {
    std::string out =
        "tallyboard compares a circulated schematic with a board as found, says what differs and what of it\n"
        "matters, and publishes the corrected schematic.\n\n";
    for (const Command& command : table) out += fmt::format("  {:<9} {}\n", command.name, command.summary);
    return out +
           "\n`tallyboard COMMAND --help` tells more. Exit status: 0 agrees or done, 1 differences found, 2 trouble.\n\n"
           "For competent persons: equipment on the bench can hold lethal voltage, switched off too. Local regulations and\n"
           "licensed practice apply.\n";
}

int run(const Arguments& arguments) {
    if (arguments.empty() || arguments[0] == "--help" || arguments[0] == "-h" || arguments[0] == "help") {
        if (arguments.size() > 1 && arguments[0] == "help") return run({arguments[1], "--help"});
        print(help());
        return arguments.empty() ? exit_trouble : exit_agree;
    }
    if (arguments[0] == "--version") {
        print(fmt::format("tallyboard {}\n", version));
        return exit_agree;
    }
    for (const Command& command : table)
        if (command.name == arguments[0]) return command.run(Arguments(arguments.begin() + 1, arguments.end()));
    std::vector<std::string> names;
    for (const Command& command : table) names.emplace_back(command.name);
    std::string near = nearest_word(arguments[0], names);
    throw CommandError("", fmt::format("there is no command \"{}\"{}", arguments[0],
                                       near.empty() ? "; tallyboard --help lists them" : "; did you mean " + near + "?"));
}

}  // namespace

std::span<const Command> commands() { return table; }

int run_program(const Arguments& arguments) {
    // A reader that went away (`| head`) is trouble to be told, not a silent death.
    std::signal(SIGPIPE, SIG_IGN);
    try {
        return run(arguments);
    } catch (const InputError& error) {
        print_aside(error.what());
    } catch (const CommandError& error) {
        print_aside(std::string(error.what()) + "\n");
    } catch (const std::bad_alloc&) {
        print_aside("tallyboard: error: out of memory\n");
    } catch (const std::exception& error) {
        print_aside(fmt::format("tallyboard: error: a fault of the program itself: {}\n", error.what()));
    }
    return exit_trouble;
}

}  // namespace tallyboard
