#include <fmt/format.h>

#include "base/file.h"
#include "base/number_text.h"
#include "base/text.h"
#include "cli/draw_options.h"
#include "cli/terminal.h"
#include "draw/draw.h"
#include "xml/edit.h"

namespace tallyboard {
namespace {

std::string stands_element(const Stands& stands) {
    std::string out = fmt::format("<stands x=\"{}\" y=\"{}\"", shortest_text(stands.x), shortest_text(stands.y));
    if (stands.quarter != 0) out += fmt::format(" quarter=\"{}\"", stands.quarter);
    if (stands.flipped) out += " flipped=\"yes\"";
    if (stands.sheet != 1) out += fmt::format(" sheet=\"{}\"", stands.sheet);
    return out + "/>";
}

}  // namespace

int arrange_command(const Arguments& arguments) {
    std::string path;
    std::optional<std::string> out;
    Knowledge knowledge;
    DrawChoices choices;
    Options options("arrange FILE [options]",
                    "Places the symbols of a circuit file and writes the places into it as <stands>, so that the sheet stays as it\n"
                    "is and later drawing is immediate. Nothing else in the file changes; places already given are kept.");
    options.place(path, "FILE", "a drawing or a board; it is edited in place");
    options.text(out, "-o", "FILE", "write the edited copy there instead");
    choices.add_options(options);
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;

    std::string target = out.value_or(path);
    require_writable(target);
    Circuit circuit = load_circuit(path, knowledge.kinds());
    Progress progress;
    Picture picture = draw_picture(circuit, choices.options({}, progress));
    for (const std::string& remark : picture.remarks) print_aside(fmt::format("{}: warning: {}\n", path, remark));

    std::vector<Edit> edits;
    std::size_t written = 0;
    for (const Standing& standing : picture.placing) {
        std::optional<PartId> id = circuit.part(standing.ref);
        if (!id) continue;
        const Part& part = circuit[*id];
        if (part.stands) continue;
        edits.push_back(append_child(circuit.source, part.span, stands_element(standing.stands)));
        ++written;
    }
    write_file(target, spliced(circuit.source, std::move(edits)));
    print(fmt::format("{}: {} placed, {} kept\n", target, counted(written, "symbol"), picture.placing.size() - written));
    return exit_agree;
}

}  // namespace tallyboard
