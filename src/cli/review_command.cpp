#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

#include "base/file.h"
#include "base/text.h"
#include "cli/ask.h"
#include "cli/files.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "consequence/consequence.h"
#include "evidence/evidence.h"
#include "review/decisions.h"

namespace tallyboard {
namespace {

constexpr std::string_view keys = "dsrmptxonkbq";
constexpr std::string_view help =
    "  d the drawing is wrong   s this specimen   r repair   m modification   p production   t look again\n"
    "  x rejected   o leave open   n add a note   k skip   b back   q quit; an empty line takes the suggestion";

std::optional<DecisionIs> decision_of(char key) {
    switch (key) {
        case 'd': return DecisionIs::drawing;
        case 's': return DecisionIs::specimen;
        case 'r': return DecisionIs::repair;
        case 'm': return DecisionIs::modification;
        case 'p': return DecisionIs::production;
        case 't': return DecisionIs::tracing;
        case 'x': return DecisionIs::rejected;
        case 'o': return DecisionIs::open;
        default: return std::nullopt;
    }
}

// One session on one review file. Every answer is in the file before the next finding is shown.
class Session {
public:
    Session(std::string path, Review review, const Circuit& board, const Comparison& comparison, const EvidenceReport& report,
            const Consequences& effects, std::string by, std::string date)
        : path_(std::move(path)), review_(std::move(review)), board_(board), comparison_(comparison), report_(report), effects_(effects),
          by_(std::move(by)), date_(std::move(date)) {
        for (std::size_t i = 0; i < comparison.findings.size(); ++i)
            if (wants_decision(comparison.findings[i])) todo_.push_back(i);
    }

    void run() {
        std::size_t at = 0;
        while (at < todo_.size()) {
            const Decision* decision = decision_on(review_, finding(at).id);
            if (decision && decision->is != DecisionIs::open && !going_back_) {
                ++at;
                continue;
            }
            going_back_ = false;
            show(at);
            std::optional<std::string> line = ask_line("Decision [d s r m p t x o n k b q ?]: ");
            if (!line) return;
            std::string word(trimmed(*line));
            char key = word.empty() ? 0 : ascii_lower(word[0]);
            if (key == 'q') return;
            if (key == 'k') ++at;
            else if (key == 'b') at = at > 0 ? at - 1 : 0, going_back_ = true;
            else if (key == 'n') note(at, std::string(trimmed(word.substr(1)))), going_back_ = true;
            else if (word.empty() && suggestion(at) != DecisionIs::open) decide(at, suggestion(at)), ++at;
            else if (std::optional<DecisionIs> is = key ? decision_of(key) : std::nullopt) decide(at, *is), ++at;
            else print(std::string(help) + "\n"), going_back_ = true;
        }
        print("Every finding has been gone through.\n");
    }

private:
    const Finding& finding(std::size_t at) const { return comparison_.findings[todo_[at]]; }
    DecisionIs suggestion(std::size_t at) const { return report_.findings[todo_[at]].suggestion; }

    void show(std::size_t at) const {
        const Finding& f = finding(at);
        const Assessment& a = report_.findings[todo_[at]];
        const Decision* decision = decision_on(review_, f.id);
        const std::string title = title_of(board_, a, decision ? decision->is : DecisionIs::open);
        std::string out = fmt::format("\n{} of {}  {}  {}\n", at + 1, todo_.size(), tinted(f.id, Tint::strong), title);
        out += "  " + wrapped(f.says, 2) + "\n";
        if (!f.drawing.empty()) out += "  drawing: " + join(f.drawing, ", ") + (f.drawn.empty() ? "" : " = " + f.drawn) + "\n";
        if (!f.board.empty()) out += "  board:   " + join(f.board, ", ") + (f.found.empty() ? "" : " = " + f.found) + "\n";
        if (a.slip) out += "  first:   " + wrapped(a.slip->says, 11) + "\n";
        for (const std::string& line : a.evidence) out += "  seen:    " + wrapped(line, 11) + "\n";
        if (const Consequence& effect = effects_.findings[todo_[at]]; effects_.why_not.empty())
            out += "  does:    " + wrapped(effect.says + (effect.grade == Grade::nothing ? "" : " (" + std::string(grade_word(effect.grade)) + ")"), 11) + "\n";
        out += fmt::format("  suggests {} ({}, grade {})\n", tinted(decision_word(a.suggestion), Tint::note), certainty_word(a.certainty), grade_letter(a.grade));
        for (const std::string& reason : a.reasons) out += "    " + wrapped(reason, 4) + "\n";
        if (decision && decision->is != DecisionIs::open)
            out += fmt::format("  decided: {} {} {} {}\n", decision_word(decision->is), decision->by, decision->on, decision->note);
        else if (decision && !decision->note.empty()) out += fmt::format("  noted:   {}\n", wrapped(decision->note, 11));
        print(out);
    }

    void decide(std::size_t at, DecisionIs is) {
        const Decision* before = decision_on(review_, finding(at).id);
        save({finding(at).id, is, by_, date_, before ? before->note : "", {}});
    }

    void note(std::size_t at, std::string text) {
        if (text.empty()) {
            std::optional<std::string> line = ask_line("Note: ");
            if (!line) return;
            text = std::string(trimmed(*line));
        }
        const Decision* before = decision_on(review_, finding(at).id);
        save({finding(at).id, before ? before->is : DecisionIs::open, by_, date_, text, {}});
    }

    void save(const Decision& decision) {
        std::string text = with_decision(review_, decision);
        Review read = read_review(SourceText(path_, text));
        write_file(path_, text);
        review_ = std::move(read);
    }

    std::string path_;
    Review review_;
    const Circuit& board_;
    const Comparison& comparison_;
    const EvidenceReport& report_;
    const Consequences& effects_;
    std::string by_, date_;
    std::vector<std::size_t> todo_;
    bool going_back_ = false;
};

std::string list_text(const Review& review, const Comparison& comparison, const EvidenceReport& report) {
    std::string out = wrapped(report.summary, 0) + "\n\n";
    for (std::size_t i = 0; i < comparison.findings.size(); ++i) {
        const Finding& f = comparison.findings[i];
        if (!wants_decision(f)) continue;
        const Assessment& a = report.findings[i];
        const Decision* decision = decision_on(review, f.id);
        std::string state = decision && decision->is != DecisionIs::open ? "decided " + std::string(decision_word(decision->is))
                                                                         : "open; suggests " + std::string(decision_word(a.suggestion));
        out += fmt::format("  {}: {} ({}, grade {})\n", tinted(f.id, Tint::strong), state, certainty_word(a.certainty), grade_letter(a.grade));
        if (a.slip) out += "    " + wrapped(a.slip->says, 4) + "\n";
        for (const std::string& reason : a.reasons) out += "    " + wrapped(reason, 4) + "\n";
    }
    if (!report.groups.empty()) out += "\nOf one cause:\n";
    for (const CauseGroup& group : report.groups) out += "  " + wrapped(group.says + " (" + join(group.findings, ", ") + ")", 4) + "\n";
    return out;
}

}  // namespace

int review_command(const Arguments& arguments) {
    std::string drawing_path, board_path, review_path;
    bool list = false, session = false;
    CompareOptions compare_options;
    Knowledge knowledge;
    Settings settings;
    Options options("review DRAWING BOARD --review FILE [options]",
                    "Decides what each difference is, one finding a screen, with the evidence in view. Every answer is saved in the review\n"
                    "file at once. Not at a terminal, or with --list, it writes the file with every finding to be decided and lists them.");
    options.place(drawing_path, "DRAWING", "the circulated schematic");
    options.place(board_path, "BOARD", "the board as found");
    options.text(review_path, "--review", "FILE", "the review file; it is made where there is none");
    options.flag(list, "--list", "list the findings and what the evidence suggests, and end");
    options.flag(session, "--step", "step through the findings even where the answers come through a pipe");
    options.text(settings.by, "--by", "NAME", "who decides");
    options.text(settings.date, "--date", "DATE", "when; without it the latest date in the files");
    options.text(settings.file, "--settings", "FILE", "a file that says these");
    options.number(compare_options.effort, "--effort", "X", "how long to search and prove; 1 is usual", 0.01, 1000);
    knowledge.add_kinds_option(options);
    knowledge.add_devices_option(options);
    options.note("Keys: d drawing, s specimen, r repair, m modification, p production, t look again, x rejected, o open, n note,\n"
                 "k skip, b back, q quit; an empty line takes the suggestion.");
    if (!options.parse(arguments)) return exit_agree;
    if (review_path.empty()) throw CommandError("", "review needs --review FILE");
    require_writable(review_path);
    settings.read();

    KindTable kinds = knowledge.kinds();
    Circuit drawing = load_circuit(drawing_path, kinds, CircuitRole::drawing);
    Circuit board = load_circuit(board_path, kinds, CircuitRole::board);
    std::optional<Review> existing;
    if (std::filesystem::exists(review_path)) existing = read_review(read_file(review_path));
    if (existing) compare_options.pairs = hand_pairs(*existing);
    Progress progress;
    compare_options.progress = progress.callback();
    Comparison comparison = compare(drawing, board, compare_options);
    EvidenceReport report = assess(drawing, board, comparison);

    namespace fs = std::filesystem;
    auto beside = [&](const std::string& path) {
        return fs::absolute(path).lexically_relative(fs::absolute(review_path).parent_path()).generic_string();
    };
    std::string text = existing ? with_open_decisions(*existing, comparison) : new_review(beside(drawing_path), beside(board_path), comparison);
    Review review = read_review(SourceText(review_path, text));
    write_file(review_path, text);
    for (const DecisionChange& change : decision_changes(review, comparison))
        print_aside(format(diagnostic_at(Severity::warning, review.source, change.span.begin, change.says)));

    if (list || !(input_is_terminal() || session)) {
        print(list_text(review, comparison, report));
        return exit_agree;
    }
    ConsequenceOptions consequence_options;
    consequence_options.solve.devices = knowledge.devices();
    const Consequences effects = consequences(drawing, board, comparison, consequence_options);
    std::string date = settings.date.value_or(latest_date({&drawing, &board}));
    Session(review_path, std::move(review), board, comparison, report, effects, settings.by.value_or(""), date).run();
    return exit_agree;
}

}  // namespace tallyboard
