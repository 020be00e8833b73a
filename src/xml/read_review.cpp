#include <algorithm>
#include <map>

#include "base/text.h"
#include "circuit/written.h"
#include "xml/document.h"
#include "xml/read.h"
#include "xml/schema.h"

namespace tallyboard {
namespace {

constexpr std::pair<std::string_view, DecisionIs> decisions[] = {
    {"drawing", DecisionIs::drawing}, {"specimen", DecisionIs::specimen}, {"repair", DecisionIs::repair},
    {"modification", DecisionIs::modification}, {"production", DecisionIs::production}, {"tracing", DecisionIs::tracing},
    {"rejected", DecisionIs::rejected}, {"open", DecisionIs::open}};

// The words an id may begin with. They are the format's; comparing has them again as an enumeration.
const std::vector<std::string>& finding_words() {
    static const std::vector<std::string> words{"value", "kind",     "reversed", "moved",      "missing", "extra",     "split",
                                                "joined", "inserted", "bypassed", "equivalent", "drift",   "unverified"};
    return words;
}

void check_root(const Element& root, std::string_view wanted, Diagnoses& diagnoses) {
    if (root.name != wanted)
        diagnoses.error(root.span.begin, "a <" + std::string(wanted) + "> file is needed here, and this is <" +
                                             std::string(root.name) + ">");
    diagnoses.throw_errors();
    check_structure(root, diagnoses);
}

std::optional<Date> date(Diagnoses& diagnoses, const Written& written) {
    if (!written) return std::nullopt;
    Result<Date> read = read_date(written.text);
    if (read) return *read;
    diagnoses.error(written.at(), read.error());
    return std::nullopt;
}

// `what@PLACE`, with `#2` behind it where there are several.
void check_finding(const Written& id, Diagnoses& diagnoses) {
    std::size_t at = id.text.find('@');
    std::string what(id.text.substr(0, at));
    if (at == std::string_view::npos || at + 1 == id.text.size())
        diagnoses.error(id.at(), "\"" + std::string(id.text) + "\" is no finding's id; write what@PLACE, such as value@R3");
    else if (std::find(finding_words().begin(), finding_words().end(), what) == finding_words().end())
        diagnoses.error(id.at(), diagnoses.unknown(id.at(), "finding", what, [] { return finding_words(); }));
}

DecisionIs decision_of(const Written& is, Diagnoses& diagnoses) {
    std::vector<std::string> known;
    for (const auto& [word, meaning] : decisions) {
        if (word == is.text) return meaning;
        known.emplace_back(word);
    }
    if (is) diagnoses.error(is.at(), diagnoses.unknown(is.at(), "decision", is.text, [&] { return known; }));
    return DecisionIs::open;
}

// Tells a word that has been there already; true where it is new.
bool once(std::map<std::string_view, std::size_t>& seen, const Written& written, std::string_view what, Diagnoses& diagnoses) {
    if (!written) return false;
    auto [first, added] = seen.emplace(written.text, written.at());
    if (!added)
        diagnoses.error(written.at(), std::string(what) + " " + std::string(written.text) + " stands here twice; the first is on " +
                                          diagnoses.line_words(first->second));
    return added;
}

}  // namespace

std::string_view decision_word(DecisionIs is) {
    for (const auto& [word, meaning] : decisions)
        if (meaning == is) return word;
    return "";
}

Review read_review(SourceText text) {
    XmlDocument document = read_document(text);
    Diagnoses diagnoses(text);
    const Element& root = document.root;
    check_root(root, "review", diagnoses);
    Review review;
    review.drawing = root["drawing"].text;
    review.board = root["board"].text;
    std::map<std::string_view, std::size_t> findings, drawn, found;
    for (const Element& e : root.children) {
        if (e.name == "decision") {
            if (once(findings, e["finding"], "the finding", diagnoses)) check_finding(e["finding"], diagnoses);
            date(diagnoses, e["on"]);
            review.decisions.push_back({std::string(e["finding"].text), decision_of(e["is"], diagnoses), std::string(e["by"].text),
                                        std::string(e["on"].text), collapsed(e.text), e.span});
        } else if (e.name == "pair") {
            once(drawn, e["drawing"], "the drawing's part", diagnoses);
            once(found, e["board"], "the board's part", diagnoses);
            review.pairs.push_back({std::string(e["drawing"].text), std::string(e["board"].text), e.span});
        }
    }
    diagnoses.throw_errors();
    review.root_span = root.span;
    review.children_end = root.content_end;
    review.source = std::move(text);
    return review;
}

Family read_family(SourceText text) {
    XmlDocument document = read_document(text);
    Diagnoses diagnoses(text);
    const Element& root = document.root;
    check_root(root, "family", diagnoses);
    Family family;
    std::map<std::string_view, std::size_t> files;
    for (const Element& e : root.children) {
        if (e.name == "about") {
            for (const Element& line : e.children) {
                if (line.name == "title") family.title = line.content().text;
                if (line.name == "made" || line.name == "date") date(diagnoses, line.content());
            }
        } else if (e.name == "base") {
            family.base = e["file"].text;
        } else if (e.name == "member") {
            once(files, e["file"], "the member", diagnoses);
            family.members.push_back({std::string(e["file"].text), std::string(e["review"].text), std::string(e["serial"].text),
                                      collapsed(e["seen"].text), collapsed(e["note"].text), date(diagnoses, e["made"]), e.span});
        }
    }
    diagnoses.throw_errors();
    family.root_span = root.span;
    family.children_end = root.content_end;
    family.source = std::move(text);
    return family;
}

}  // namespace tallyboard
