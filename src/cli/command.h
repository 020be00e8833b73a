// cli: one file per command; options; printing for people and as JSON. A command fills in the options of a library function
// and prints its result; it decides nothing itself.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace tallyboard {

// Exit statuses, as diff(1) has them.
constexpr int exit_agree = 0;
constexpr int exit_differ = 1;
constexpr int exit_trouble = 2;

using Arguments = std::vector<std::string>;

struct Command {
    std::string_view name;
    std::string_view summary;              // one line of `tallyboard --help`
    int (*run)(const Arguments& arguments);  // the words behind the command's name
};

// Every command, in the order of the work.
std::span<const Command> commands();

// Runs `tallyboard ARGUMENTS…`. Trouble is printed on standard error and becomes exit_trouble.
int run_program(const Arguments& arguments);

// One a command, each in its own NAME_command.cpp.
int check_command(const Arguments&);
int new_command(const Arguments&);
int convert_command(const Arguments&);
int compare_command(const Arguments&);
int review_command(const Arguments&);
int draw_command(const Arguments&);
int arrange_command(const Arguments&);
int publish_command(const Arguments&);
int solve_command(const Arguments&);
int trace_command(const Arguments&);
int expect_command(const Arguments&);
int explain_command(const Arguments&);
int family_command(const Arguments&);
int identify_command(const Arguments&);

}  // namespace tallyboard
