#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/draw_options.h"
#include "cli/sheet_fields.h"
#include "cli/terminal.h"
#include "draw/draw.h"
#include "publish/pdf.h"
#include "publish/svg.h"

namespace tallyboard {

int draw_command(const Arguments& arguments) {
    std::string path, out;
    Knowledge knowledge;
    Settings settings;
    DrawChoices choices;
    Options options("draw FILE -o OUT.svg|OUT.pdf [options]",
                    "Draws a circuit file as a schematic: places, routes and letters it by itself, or keeps the places that the\n"
                    "file's <stands> give.");
    options.place(path, "FILE", "a drawing or a board");
    options.text(out, "-o", "OUT", "the picture to write; its ending says the format: .svg or .pdf");
    choices.add_options(options);
    settings.add_options(options);
    knowledge.add_kinds_option(options);
    options.note("Ctrl-C while it places keeps the best picture so far.");
    if (!options.parse(arguments)) return exit_agree;

    bool svg = out.ends_with(".svg"), pdf = out.ends_with(".pdf");
    if (out.empty()) throw CommandError("", "draw needs -o OUT.svg or -o OUT.pdf");
    if (!svg && !pdf) throw CommandError(out, "the ending says no format; use .svg or .pdf");
    require_output(out, {path});
    settings.read();

    Circuit circuit = load_circuit(path, knowledge.kinds());
    Progress progress;
    DrawOptions draw_options = choices.options(settings, progress);
    draw_options.fields = sheet_fields(circuit, settings, latest_date({&circuit}));
    Picture picture = draw_picture(circuit, draw_options);
    for (const std::string& remark : picture.remarks) print_aside(fmt::format("{}: warning: {}\n", path, remark));
    if (svg) write_file(out, write_svg(picture.sheets));
    else write_file(out, write_pdf(picture.sheets, {.title = draw_options.fields.title, .author = draw_options.fields.creator}));
    print(fmt::format("{}: {}, {}\n", out, counted(circuit.parts.size(), "part"), counted(picture.sheets.size(), "sheet")));
    return exit_agree;
}

}  // namespace tallyboard
