#include "publish/pack.h"

#include "base/digest.h"
#include "base/text.h"
#include "compare/answering.h"
#include "draw/furniture.h"
#include "publish/marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace tallyboard {
namespace {

std::string mark_anchor(int mark) { return fmt::format("mark {}", mark); }


// "B3", with the sheet before it where there are several; empty where no sheet has the anchor.
std::string zone_of_anchor(const std::vector<Sheet>& sheets, const std::string& anchor) {
    for (std::size_t i = 0; i < sheets.size(); ++i)
        for (const Anchor& place : sheets[i].anchors)
            if (place.name == anchor) {
                const Paper paper = paper_named(sheets[i].width > 400 ? "A3" : "A4");
                const std::string zone = zone_of(paper, place.at);
                return sheets.size() > 1 ? fmt::format("{}/{}", i + 1, zone) : zone;
            }
    return {};
}

std::vector<std::string> names_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::vector<std::string> names;
    for (const PartId part : parts) names.push_back(circuit[part].ref);
    return names;
}

// The board's parts of one package stand once.
std::vector<std::string> once(std::vector<std::string> names) {
    std::vector<std::string> result;
    for (std::string& name : names)
        if (std::find(result.begin(), result.end(), name) == result.end()) result.push_back(std::move(name));
    return result;
}

std::string found_remark(const Circuit& board, const Part& part) {
    std::vector<std::string> remarks;
    for (const Found& found : part.found) {
        if (!found.marking.empty()) remarks.push_back("marked " + found.marking);
        if (found.measured) remarks.push_back("measures " + engineering_text(*found.measured, board.kind_of(part).quantity));
        if (found.status != FoundStatus::unsaid && found.status != FoundStatus::unknown) remarks.emplace_back(status_word(found.status));
        if (!found.condition.empty()) remarks.push_back(found.condition);
    }
    return join(once(std::move(remarks)), ", ");
}

// A net of the board by the drawing's name for it, where it has one: "LS8 (SPKR)".
std::string found_net_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison, NetId found) {
    const std::string own = net_name(board, found);
    const std::optional<NetId> answer = drawn_answer(comparison, found);
    const std::string drawn = answer ? net_name(drawing, *answer) : own;
    return drawn == own ? own : drawn + " (" + own + ")";
}

class PartsList {
public:
    PartsList(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Marks& marks)
        : drawing_(drawing), board_(board), comparison_(comparison), marks_(marks), drawn_done_(drawing.parts.size()), found_done_(board.parts.size()) {}

    std::vector<PartsListRow> rows() {
        for (std::size_t i = 0; i < comparison_.findings.size(); ++i) unpaired(i);
        for (const PartPair& pair : comparison_.parts) paired(pair);
        std::vector<PartsListRow> result = std::move(rows_);
        // What no pair and no finding names: parts not fitted, links.
        for (const Part& part : drawing_.parts)
            if (!done(drawn_done_, drawing_, part)) result.push_back({part.ref, "–", kind(drawing_, part), value_text(part), "–", part.fit == Fit::no ? "not fitted" : "", 0});
        for (const Part& part : board_.parts)
            if (!done(found_done_, board_, part)) result.push_back({"–", part.ref, kind(board_, part), "–", value_text(part), part.fit == Fit::no ? "not fitted" : "", 0});
        // By the drawing's references, what it lacks last.
        std::stable_sort(result.begin(), result.end(), [](const PartsListRow& a, const PartsListRow& b) {
            if ((a.drawing == "–") != (b.drawing == "–")) return b.drawing == "–";
            return a.drawing == "–" ? natural_less(a.board, b.board) : natural_less(a.drawing, b.drawing);
        });
        for (PartsListRow& row : result)
            if (row.drawn == "?" && row.found == "?") row.drawn = row.found = "";  // jacks, terminals: nothing to know
        return result;
    }

private:
    static std::string kind(const Circuit& circuit, const Part& part) { return circuit.kind_of(part).name; }
    static bool done(const std::vector<bool>& flags, const Circuit& circuit, const Part& part) {
        return flags[static_cast<std::size_t>(&part - circuit.parts.data())];
    }

    void paired(const PartPair& pair) {
        if (drawn_done_[pair.drawing.index]) return;
        drawn_done_[pair.drawing.index] = found_done_[pair.board.index] = true;
        const Part &drawn = drawing_[pair.drawing], &found = board_[pair.board];
        // Every board's part that answers to a pin: the sections of a package.
        for (const auto& pin : pair.board_pins)
            if (pin) found_done_[pin->part.index] = true;
        PartsListRow row{drawn.ref, found.ref, kind(drawing_, drawn), value_text(drawn), value_text(found), found_remark(board_, found), 0};
        for (std::size_t i = 0; i < comparison_.findings.size(); ++i) {
            const auto& parts = comparison_.findings[i].drawing_parts;
            if (row.mark == 0 && std::find(parts.begin(), parts.end(), pair.drawing) != parts.end()) row.mark = marks_.findings[i].number;
        }
        rows_.push_back(std::move(row));
    }

    void unpaired(std::size_t i) {
        const Finding& finding = comparison_.findings[i];
        const int mark = marks_.findings[i].number;
        switch (finding.what) {
            case What::missing:
            case What::bypassed:
                for (const PartId id : finding.drawing_parts) {
                    drawn_done_[id.index] = true;
                    rows_.push_back({drawing_[id].ref, "–", kind(drawing_, drawing_[id]), value_text(drawing_[id]), "–",
                                                              finding.what == What::missing ? "not on the board" : "bridged", mark});
                }
                break;
            case What::extra:
            case What::inserted:
                for (const PartId id : finding.board_parts) {
                    found_done_[id.index] = true;
                    const std::string& on_sheet = marks_.extra_refs[id.index];
                    std::vector<std::string> remarks;
                    if (!on_sheet.empty() && on_sheet != board_[id].ref) remarks.push_back(on_sheet + " on the sheet");
                    if (const std::string found = found_remark(board_, board_[id]); !found.empty()) remarks.push_back(found);
                    rows_.push_back({"–", board_[id].ref, kind(board_, board_[id]), "–", value_text(board_[id]),
                                                                                       join(remarks, ", "), mark});
                }
                break;
            case What::equivalent: {
                if (finding.drawing_parts.empty() || finding.board_parts.empty()) break;
                for (const PartId id : finding.drawing_parts) drawn_done_[id.index] = true;
                for (const PartId id : finding.board_parts) found_done_[id.index] = true;
                rows_.push_back({join(names_of(drawing_, finding.drawing_parts), " "), join(names_of(board_, finding.board_parts), " "),
                                                kind(drawing_, drawing_[finding.drawing_parts.front()]), finding.drawn, finding.found, "made up of several", 0});
                break;
            }
            case What::value: case What::kind: case What::reversed: case What::moved: case What::split: case What::joined:
            case What::drift: case What::unverified: break;
        }
    }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const Marks& marks_;
    std::vector<bool> drawn_done_, found_done_;
    std::vector<PartsListRow> rows_;
};

std::string file_name(const SourceText& source) { return std::filesystem::path(source.name()).filename().string(); }

}  // namespace

PackContents pack_contents(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const PackOptions& options) {
    PackContents contents;
    contents.fields = options.draw.fields;
    contents.summary = comparison.says;
    contents.cautions = options.draw.fields.cautions;
    contents.drawing_file = file_name(drawing.source);
    contents.board_file = file_name(board.source);
    contents.drawing_digest = sha256(drawing.source.bytes());
    contents.board_digest = sha256(board.source.bytes());
    contents.attachments = {{contents.drawing_file, "the circulated schematic, transcribed", std::string(drawing.source.bytes())},
                            {contents.board_file, "the board as found", std::string(board.source.bytes())}};
    if (contents.board_file == contents.drawing_file) contents.attachments[1].name = "board-" + contents.board_file;

    const auto notes_of = [&](const Finding& finding) {
        const auto at = options.notes.find(finding.id);
        return at == options.notes.end() ? FindingNotes{} : at->second;
    };
    std::vector<bool> shown;
    for (const Finding& finding : comparison.findings) shown.push_back(notes_of(finding).corrects);
    const Marks marks = marks_of(drawing, board, comparison, shown);

    DrawOptions draw = options.draw;
    draw.fields.revisions.clear();
    for (std::size_t i = 0; i < comparison.findings.size(); ++i)
        if (marks.findings[i].number > 0) {
            const FindingNotes notes = notes_of(comparison.findings[i]);
            draw.fields.revisions.push_back({std::to_string(marks.findings[i].number), "", marks.findings[i].description,
                                             notes.decided_on.empty() ? draw.fields.date : notes.decided_on, notes.decided_by});
        }
    contents.sheets = draw_annotated(drawing, marks.annotations, draw).sheets;

    for (std::size_t i = 0; i < comparison.findings.size(); ++i) {
        const Finding& finding = comparison.findings[i];
        const int mark = marks.findings[i].number;
        contents.rows.push_back({mark, finding.id, std::string(what_word(finding.what)), finding.cost,
                                 mark > 0 ? zone_of_anchor(contents.sheets, mark_anchor(mark)) : "", join(finding.drawing, ", "),
                                 join(finding.board, ", "), finding.drawn, found_text(board, finding), finding.says, notes_of(finding)});
        if (finding.what == What::moved) {
            RevisionSheetRow& row = contents.rows.back();
            if (finding.drawing_net) row.drawn = net_name(drawing, *finding.drawing_net);
            if (finding.board_net) row.found = found_net_text(drawing, board, comparison, *finding.board_net);
        }
    }
    contents.parts = PartsList(drawing, board, comparison, marks).rows();
    return contents;
}

}  // namespace tallyboard
