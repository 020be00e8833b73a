#include <algorithm>
#include <fmt/format.h>

#include "base/file.h"
#include "base/number_text.h"
#include "base/text.h"
#include "bench/tracing_file.h"
#include "cli/ask.h"
#include "cli/bench_head.h"
#include "cli/files.h"
#include "cli/json.h"
#include "cli/print_findings.h"
#include "cli/terminal.h"
#include "publish/pdf.h"

namespace tallyboard {
namespace {

std::string state_line(const TracingState& s) {
    return fmt::format("{} of {} pins proven by tests, {} as the file names them, {} open; {} so far; {} made{}", s.proven, s.pins, s.assumed,
                       s.open, counted(s.nets, "net"), counted(s.tests, "test"),
                       s.isolation_left > 0 ? fmt::format("; {} to prove apart", counted(s.isolation_left, "pair of nets", "pairs of nets")) : "");
}

std::string pin_words(const Circuit& board, PinId pin) {
    const Part& part = board[pin.part];
    std::string value = part.value ? part.value->text : part.model;
    return pin_name(board, pin) + (value.empty() ? "" : " (" + value + ")");
}

std::optional<Beeps> read_beeps(std::string_view word) {
    std::string lower = ascii_lower(word);
    if (lower == "yes" || lower == "y") return Beeps::yes;
    if (lower == "no" || lower == "n") return Beeps::no;
    if (lower == "part" || lower == "p") return Beeps::part;
    return std::nullopt;
}

PinId require_pin(const Circuit& board, const std::string& text) {
    std::optional<PinId> pin = read_pin(board, text);
    if (!pin) throw CommandError(board.source.name(), fmt::format("has no pin \"{}\"; a pin is REFERENCE.PIN, as R4.a", text));
    return *pin;
}

// The two answers that cannot both be right are shown with the chain between them, and each is probed again.
void resolve(TracedFile& file, const Contradiction& contradiction) {
    print("\nThese cannot both be right: " + wrapped(contradiction.says, 0) + "\n");
    for (std::size_t index : contradiction.chain) {
        const TracingTest& test = file.tracing().tests()[index];
        print(fmt::format("  earlier: {} to {}: {}\n", pin_words(file.board(), test.from), pin_words(file.board(), test.to), beeps_word(test.beeps)));
    }
    print("Probe them once more; a beep may come through a low part, a joint may be cold.\n");
    // From the last to the first, so that taking one back does not move the others.
    std::vector<std::size_t> again = contradiction.chain;
    std::sort(again.rbegin(), again.rend());
    for (std::size_t index : again) {
        TracingTest test = file.tracing().tests()[index];
        std::optional<char> key = ask_key(fmt::format("  {} to {} again: [y]es [p]art [n]o [k]eep: ", pin_words(file.board(), test.from),
                                                      pin_words(file.board(), test.to)), "ypnk", "  type y, p, n or k");
        if (!key) return;
        Beeps now = *key == 'y' ? Beeps::yes : *key == 'p' ? Beeps::part : *key == 'n' ? Beeps::no : test.beeps;
        if (now == test.beeps) continue;
        file.retract(index);
        file.answer({test.from, test.to, now});
    }
    std::optional<char> key = ask_key(fmt::format("  {} to {} again: [y]es [p]art [n]o [d]rop: ", pin_words(file.board(), contradiction.test.from),
                                                  pin_words(file.board(), contradiction.test.to)), "ypnd", "  type y, p, n or d");
    if (!key || *key == 'd') return;
    TracingTest test = contradiction.test;
    test.beeps = *key == 'y' ? Beeps::yes : *key == 'p' ? Beeps::part : Beeps::no;
    if (std::optional<Contradiction> still = file.answer(test)) print("Still against earlier tests; it is left out for now: " + still->says + "\n");
}

int session(TracedFile& file) {
    print(wrapped("Power off, unplugged, capacitors discharged. Answers are saved at once; Ctrl-D or q ends, and the same command goes on later.", 0) + "\n");
    print("[y]es copper  [p]art: beeps through a low part  [n]o  [s]kip  [u]ndo  [+] it also beeps to …  [?] state  [q]uit\n\n");
    while (true) {
        std::optional<Question> question = file.tracing().next();
        if (!question) {
            print("All is traced. " + state_line(file.tracing().state()) + "\n");
            return exit_agree;
        }
        std::size_t number = file.tracing().tests().size() + 1;
        std::optional<std::string> line = ask_line(fmt::format("{}. {} to {}? ({}) ", number, pin_words(file.board(), question->from),
                                                               pin_words(file.board(), question->to), question->why));
        if (!line) break;
        std::string word(trimmed(*line));
        char key = word.empty() ? ' ' : ascii_lower(word[0]);
        if (key == 'q') break;
        if (key == 's') file.tracing().skip(question->from, question->to);
        else if (key == 'u') {
            if (file.tracing().tests().empty()) print("There is no answer to take back.\n");
            else file.retract(file.tracing().tests().size() - 1);
        } else if (key == '?') print(state_line(file.tracing().state()) + "\n");
        else if (key == '+') {
            std::string other(trimmed(word.substr(1)));
            if (other.empty()) other = std::string(trimmed(ask_line(fmt::format("   {} also beeps to: ", pin_name(file.board(), question->from))).value_or("")));
            std::optional<PinId> pin = read_pin(file.board(), other);
            if (!pin) print(fmt::format("There is no pin \"{}\"; a pin is REFERENCE.PIN, as R4.a\n", other));
            else if (auto contradiction = file.answer({question->from, *pin, Beeps::yes})) resolve(file, *contradiction);
        } else if (std::optional<Beeps> beeps = read_beeps(word)) {
            if (auto contradiction = file.answer({question->from, question->to, *beeps})) resolve(file, *contradiction);
        } else print("Type y, p, n, s, u, +, ? or q.\n");
    }
    print("\nSaved. " + state_line(file.tracing().state()) + "\n");
    return exit_agree;
}

// Answers typed back from paper: a line each, `FROM TO yes|part|no`; `#` begins a comment. All are taken in, or none.
int take_answers(TracedFile& file, const std::string& path) {
    SourceText text = read_file(path);
    std::vector<Diagnostic> wrong;
    std::vector<TracingTest> tests;
    std::size_t offset = 0;
    for (const std::string& line : split(text.bytes(), '\n')) {
        std::vector<std::string> words = split_words(line.substr(0, line.find('#')));
        if (!words.empty()) {
            std::optional<PinId> from, to;
            std::optional<Beeps> beeps;
            if (words.size() == 3) from = read_pin(file.board(), words[0]), to = read_pin(file.board(), words[1]), beeps = read_beeps(words[2]);
            std::string says;
            if (words.size() != 3) says = "an answer is `FROM TO yes|part|no`, as `R4.a Q1.base yes`";
            else if (!from || !to) says = fmt::format("there is no pin \"{}\" on the board", from ? words[1] : words[0]);
            else if (!beeps) says = fmt::format("\"{}\" is no answer; write yes, part or no", words[2]);
            else tests.push_back({*from, *to, *beeps});
            if (!says.empty()) wrong.push_back(diagnostic_at(Severity::error, text, offset, says));
        }
        offset += line.size() + 1;
    }
    if (!wrong.empty()) throw InputError(std::move(wrong));
    if (auto contradiction = file.answer_all(tests)) throw CommandError(path, contradiction->says + "; probe both once more. Nothing was taken in");
    print(fmt::format("{} taken in. {}\n", counted(tests.size(), "answer"), state_line(file.tracing().state())));
    return exit_agree;
}

}  // namespace

int trace_command(const Arguments& arguments) {
    std::string path;
    bool json = false, next = false;
    std::optional<std::string> drawing_path, answer, from, to, answers, sheet;
    TracingOptions tracing_options;
    Knowledge knowledge;
    Options options("trace BOARD [--drawing DRAWING] [options]",
                    "Traces a board by continuity: asks for the test that settles most, takes the answer, and writes it to the\n"
                    "board's file at once. The board begins as a list of parts with ? pins.");
    options.place(path, "BOARD", "the board as found; it is edited in place");
    options.text(drawing_path, "--drawing", "DRAWING", "the circulated schematic, as a guess of what is joined to what");
    options.flag(tracing_options.thorough, "--thorough", "prove every two nets apart, not just those that matter");
    options.flag(next, "--next", "print the next test and end");
    options.flag(json, "--json", "with --next: as JSON");
    options.text(answer, "--answer", "yes|part|no", "take in one answer, between --from and --to, and end");
    options.text(from, "--from", "PIN", "with --answer");
    options.text(to, "--to", "PIN", "with --answer");
    options.text(answers, "--answers", "FILE", "take in answers typed back from paper: lines `FROM TO yes|part|no`");
    options.text(sheet, "--sheet", "OUT.pdf", "write a check sheet to fill in by hand, and end");
    knowledge.add_kinds_option(options);
    if (!options.parse(arguments)) return exit_agree;
    if (answer && (!from || !to)) throw CommandError("", "trace --answer needs --from PIN and --to PIN");

    if (sheet) require_output(*sheet, {path, drawing_path.value_or("")});
    KindTable kinds = knowledge.kinds();
    std::optional<Circuit> drawing;
    if (drawing_path) drawing = load_circuit(*drawing_path, kinds, CircuitRole::drawing);
    TracedFile file(path, kinds, drawing ? &*drawing : nullptr, tracing_options);
    if (answer) {
        std::optional<Beeps> beeps = read_beeps(*answer);
        if (!beeps) throw CommandError("", fmt::format("--answer is yes, part or no, not \"{}\"", *answer));
        TracingTest test{require_pin(file.board(), *from), require_pin(file.board(), *to), *beeps};
        if (auto contradiction = file.answer(test)) throw CommandError(path, contradiction->says + "; nothing was written");
    }
    if (sheet) {
        SolveOptions solve_options;
        solve_options.devices = built_in_devices();
        write_file(*sheet, write_pdf(trace_document(trace_rows(file.tracing(), file.board()), bench_head(file.board(), solve_options))));
        return exit_agree;
    }
    if (answers) return take_answers(file, *answers);
    if (next || answer) {
        std::optional<Question> question = file.tracing().next();
        if (json) print(question_json(file.board(), question, file.tracing().state()));
        else if (next) print(question ? fmt::format("{} to {} ({})\n", pin_words(file.board(), question->from), pin_words(file.board(), question->to), question->why)
                                      : "All is traced.\n");
        return exit_agree;
    }
    return session(file);
}

}  // namespace tallyboard
