#include <fmt/format.h>

#include "base/diagnostic.h"
#include "base/file.h"
#include "base/text.h"
#include "cli/options.h"
#include "cli/terminal.h"
#include "xml/templates.h"

namespace tallyboard {

int new_command(const Arguments& arguments) {
    std::string name;
    std::optional<std::string> out;
    Options options("new " + join(template_names(), "|") + " [-o FILE]",
                    "Writes a commented template to fill in: a circulated schematic, a board as found, decisions, a family.");
    options.place(name, "WHAT", join_words(template_names(), "or"));
    options.text(out, "-o", "FILE", "write it there instead of printing it; a file that exists is left alone");
    if (!options.parse(arguments)) return exit_agree;
    std::optional<std::string> text = template_text(name);
    if (!text) {
        std::string near = nearest_word(name, template_names());
        throw CommandError("", fmt::format("there is no template \"{}\"; there are {}{}", name, join_words(template_names()),
                                           near.empty() ? "" : "; did you mean " + near + "?"));
    }
    if (!out) {
        print(*text);
        return exit_agree;
    }
    require_writable(*out);
    if (std::filesystem::exists(*out)) throw CommandError(*out, "exists; a template would overwrite it. Choose another name");
    write_file(*out, *text);
    return exit_agree;
}

}  // namespace tallyboard
