#include "base/file.h"
#include "base/text.h"
#include "cli/files.h"
#include "cli/json.h"
#include "cli/print_findings.h"
#include "cli/correction.h"
#include "cli/terminal.h"
#include "compare/compare.h"
#include "compare/why.h"
#include "publish/pair_graph.h"
#include "publish/svg.h"

namespace tallyboard {

int compare_command(const Arguments& arguments) {
    std::string drawing_path, board_path;
    bool json = false, check = false;
    std::optional<std::string> corrected, review_path, graph, why_ref;
    CompareOptions compare_options;
    Knowledge knowledge;
    Settings settings;
    Options options("compare DRAWING BOARD [options]",
                    "Pairs the parts and nets of a circulated schematic with those of a board as found, and lists the\n"
                    "cheapest set of differences. References and net names need not agree.");
    options.place(drawing_path, "DRAWING", "the circulated schematic");
    options.place(board_path, "BOARD", "the board as found");
    options.flag(json, "--json", "print the result as JSON");
    options.text(corrected, "--corrected", "FILE", "write the drawing with every accepted finding carried out");
    options.text(review_path, "--review", "FILE", "decisions and pairs fixed by hand; only what is decided `drawing` is corrected");
    options.number(compare_options.effort, "--effort", "X", "how long to search and prove; 1 is usual", 0.01, 1000);
    options.whole(compare_options.threads, "--threads", "N", "at most so many threads (the result is the same)", 1, 256);
    options.text(why_ref, "--why", "REF", "what speaks for that part's partner, and what the next best would cost");
    options.text(graph, "--graph", "OUT.svg|OUT.dot", "the pairing as a plain graph: agreeing parts grey, findings marked");
    options.flag(check, "--check", "count the cost once more by plain loops, and fail if it differs");
    options.text(settings.by, "--by", "NAME", "with --corrected: who corrected it, for its <revision>");
    options.text(settings.date, "--date", "DATE", "with --corrected: when; without it the latest date in the files");
    options.text(settings.file, "--settings", "FILE", "a file that says these");
    knowledge.add_kinds_option(options);
    options.note("Exit status: 0 nothing that costs, 1 differences, 2 trouble.");
    if (!options.parse(arguments)) return exit_agree;

    if (corrected) require_output(*corrected, {drawing_path, board_path});
    if (graph && !graph->ends_with(".svg") && !graph->ends_with(".dot"))
        throw CommandError(*graph, "the ending says no format; use .svg or .dot");
    if (graph) require_output(*graph, {drawing_path, board_path});
    settings.read();
    const auto [drawing, board, review] = load_pair(drawing_path, board_path, review_path, knowledge.kinds());
    compare_options.pairs = pairs_of(review);

    Progress progress;
    compare_options.progress = progress.callback();
    Comparison comparison = compare(drawing, board, compare_options);
    if (check) {
        std::vector<std::string> wrong = check_comparison(drawing, board, comparison);
        if (!wrong.empty()) throw std::logic_error("the comparison does not stand the check: " + join(wrong, "; "));
    }
    if (graph) {
        Graph pairing = pair_graph(drawing, board, comparison);
        write_file(*graph, graph->ends_with(".dot") ? dot_text(pairing)
                                                    : write_svg(graph_document(drawing.about.title, pairing, pair_graph_legend())));
    }
    if (corrected) write_file(*corrected, corrected_text(drawing, board, comparison, review, settings));
    if (why_ref) {
        print(why_text(why(drawing, board, comparison, *why_ref, compare_options)));
        return comparison.agree ? exit_agree : exit_differ;
    }
    print(json ? comparison_json(drawing, board, comparison) : comparison_text(drawing, board, comparison));
    return comparison.agree ? exit_agree : exit_differ;
}

}  // namespace tallyboard
