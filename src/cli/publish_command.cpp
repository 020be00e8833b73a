#include <algorithm>
#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/correction.h"
#include "cli/draw_options.h"
#include "cli/fault_words.h"
#include "cli/finding_notes.h"
#include "cli/sheet_fields.h"
#include "cli/terminal.h"
#include "consequence/caution.h"
#include "publish/pack.h"
#include "publish/pack_sections.h"
#include "publish/pdf.h"
#include "review/correct.h"

namespace tallyboard {
namespace {

std::vector<std::string> cautions_of(const Circuit& circuit, const std::vector<Device>& devices) {
    SolveOptions solve_options;
    solve_options.devices = devices;
    Solver solver(circuit, solve_options);
    return caution_lines(circuit, cautions(circuit, solver, solver.operating_point()));
}

// "pack.pdf: 12 pages, 4 corrections marked; 3 findings not decided, …": what to do next, for who sits at the terminal.
std::string what_it_holds(const std::string& out, const Document& pack, const PackContents& contents) {
    std::size_t marked = 0, open = 0;
    for (const RevisionSheetRow& row : contents.rows) {
        marked += row.mark > 0;
        open += row.cost > 0 && row.notes.decision.empty();
    }
    std::string text = fmt::format("{}: {}, {} marked", out, counted(pack.pages.size(), "page"), counted(marked, "correction"));
    if (open > 0) text += fmt::format("; {} not decided: see tallyboard review", counted(open, "difference"));
    return text + "\n";
}

}  // namespace

int publish_command(const Arguments& arguments) {
    std::string drawing_path, board_path, out;
    std::optional<std::string> review_path;
    bool overlay = false;
    CompareOptions compare_options;
    Knowledge knowledge;
    Settings settings;
    DrawChoices choices;
    Options options("publish DRAWING BOARD -o PACK.pdf [options]",
                    "Makes the pack: the corrected schematic with a numbered mark at each correction, the revision sheet with its\n"
                    "evidence, what the differences do, the parts list, the specimen sheet; both XML files attached.");
    options.place(drawing_path, "DRAWING", "the circulated schematic");
    options.place(board_path, "BOARD", "the board as found");
    options.text(out, "-o", "PACK.pdf", "the file to write");
    options.text(review_path, "--review", "FILE", "the decisions; only what is decided `drawing` is corrected");
    options.flag(overlay, "--overlay", "the marked scan without its picture, to be shared freely");
    options.number(compare_options.effort, "--effort", "X", "how long to search and prove the comparison; 1 is usual", 0.01, 1000);
    choices.add_options(options);
    settings.add_options(options);
    knowledge.add_kinds_option(options);
    knowledge.add_devices_option(options);
    if (!options.parse(arguments)) return exit_agree;
    if (out.empty()) throw CommandError("", "publish needs -o PACK.pdf");
    if (!out.ends_with(".pdf")) throw CommandError(out, "the pack is a PDF; name it .pdf");
    require_output(out, {drawing_path, board_path, review_path.value_or("")});
    settings.read();

    std::vector<Device> devices = knowledge.devices();
    const auto [drawing, board, review] = load_pair(drawing_path, board_path, review_path, knowledge.kinds());
    compare_options.pairs = pairs_of(review);
    Progress progress;
    compare_options.progress = progress.callback();
    Comparison comparison = compare(drawing, board, compare_options);

    ConsequenceOptions consequence_options;
    consequence_options.solve.devices = devices;
    consequence_options.progress = [&progress](double share) { progress.show("working out consequences", share); };
    Consequences effects = consequences(drawing, board, comparison, consequence_options);

    EvidenceReport evidence = assess(drawing, board, comparison);
    PackOptions pack_options;
    pack_options.draw = choices.options(settings, progress);
    pack_options.draw.fields = sheet_fields(drawing, settings, latest_date({&drawing, &board}, review));
    pack_options.draw.fields.cautions = cautions_of(drawing, devices);
    pack_options.draw.fields.creator = signer(board, review, settings);
    if (is_corrected(comparison, review)) pack_options.draw.fields.revision = next_revision_letter(drawing);
    if (!board.about.serial.empty())
        pack_options.draw.fields.status = (!review ? "as found on no. " : is_corrected(comparison, review) ? "corrected for no. " : "compared with no. ") + board.about.serial;
    pack_options.notes = finding_notes(board, comparison, evidence, effects, review);
    PackContents contents = pack_contents(drawing, board, comparison, pack_options);

    std::map<std::string, int> marks;
    for (const RevisionSheetRow& row : contents.rows) marks[row.id] = row.mark;
    contents.summary = evidence.summary;
    contents.cautions = pack_options.draw.fields.cautions;
    contents.groups = finding_groups(evidence);
    contents.response = response_section(drawing, board, comparison, effects, marks);
    const bool unexplained = std::any_of(effects.readings.begin(), effects.readings.end(), [](const ReadingEvidence& reading) {
        return reading.by_board.expected && !reading.board_explains && !reading.drawing_explains;
    });
    if (contents.response && unexplained) {
        ExplainOptions explain_options;
        explain_options.solve = consequence_options.solve;
        explain_options.seek_pairs = false;
        explain_options.progress = [&progress](double share) { progress.show("explaining the readings", share); };
        contents.response->fault = faults_sentence(board, explain(board, explain_options));
    }
    contents.specimen = specimen_section(board, comparison, consequence_options.solve);
    if (contents.specimen && contents.specimen->by.empty()) contents.specimen->by = pack_options.draw.fields.creator;
    contents.scan = scan_section(drawing, comparison, marks, overlay);
    contents.attachments = {{std::filesystem::path(drawing_path).filename().string(), "the circulated schematic", drawing.source.bytes()},
                            {std::filesystem::path(board_path).filename().string(), "the board as found", board.source.bytes()}};
    if (review) contents.attachments.push_back({std::filesystem::path(review->path).filename().string(), "the decisions", review->review.source.bytes()});
    Document pack = pack_document(contents);
    write_file(out, write_pdf(pack));
    print(what_it_holds(out, pack, contents));
    return exit_agree;
}

}  // namespace tallyboard
