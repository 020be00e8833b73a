#include "publish/marks.h"

#include "base/number_text.h"
#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace tallyboard {
namespace {

class Marking {
public:
    Marking(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::vector<bool>& shown)
        : drawing_(drawing), board_(board), comparison_(comparison), shown_(shown) {
        for (const Net& net : drawing.nets) net_names_.insert(net.name);
        for (const Part& part : drawing.parts) {
            refs_.insert(part.ref);
            if (!part.package.empty()) refs_.insert(part.package);
        }
        result_.board_nets.resize(board.nets.size());
        result_.extra_refs.resize(board.parts.size());
    }

    Marks made() {
        name_nets();
        for (std::size_t i = 0; i < comparison_.findings.size(); ++i) mark(comparison_.findings[i], shown_.empty() || shown_[i]);
        return std::move(result_);
    }

private:
    std::string drawn_net(NetId net) const { return net_name(drawing_, net); }

    // ---- the board's nets by the drawing's names ----

    // A name no net of the drawing has: the board's own if it is free.
    std::string new_net(NetId net) {
        std::string name = net_name(board_, net);
        while (!net_names_.insert(name).second) name += "'";
        return name;
    }

    // Where terminals go to a net that the drawing has only in part (split, inserted), that net of the board is new on the sheet;
    // every other takes the name of the drawn net it answers to.
    void name_nets() {
        auto& names = result_.board_nets;
        for (const Finding& finding : comparison_.findings) {
            if (finding.what != What::split && finding.what != What::inserted) continue;
            const std::optional<NetId> gone = gone_to(finding);
            if (gone && names[gone->index].empty()) names[gone->index] = new_net(*gone);
        }
        for (const NetPair& pair : comparison_.nets) {
            if (pair.drawing.empty()) continue;
            // Of nets joined on the board, the one that does not vanish keeps its name.
            const auto kept = std::find_if(pair.drawing.begin(), pair.drawing.end(), [&](NetId net) { return !vanishes(net); });
            const NetId name = kept == pair.drawing.end() ? pair.drawing.front() : *kept;
            for (const NetId net : pair.board)
                if (names[net.index].empty()) names[net.index] = drawn_net(name);
        }
        for (std::size_t i = 0; i < names.size(); ++i)
            if (names[i].empty()) names[i] = new_net(NetId{static_cast<std::uint32_t>(i)});
    }

    bool vanishes(NetId net) const {
        return std::any_of(comparison_.findings.begin(), comparison_.findings.end(), [&](const Finding& finding) {
            return finding.what == What::joined && finding.drawing_net == net;
        });
    }

    // The board's net that the finding's terminals go to; none: they go nowhere.
    std::optional<NetId> gone_to(const Finding& finding) const {
        if (finding.board_net) return finding.board_net;
        if (finding.what == What::moved || finding.board_pins.empty()) return {};
        const Pin& pin = board_[finding.board_pins.front()];
        return pin.state == PinState::traced ? std::optional(pin.net) : std::nullopt;
    }

    // ---- extra parts ----

    std::string free_reference(const Part& part) {
        if (refs_.insert(part.ref).second) return part.ref;
        const std::string letters = part.ref.substr(0, part.ref.find_first_of("0123456789"));
        long long highest = 0;
        for (const std::string& ref : refs_)
            if (ref.size() > letters.size() && ref.compare(0, letters.size(), letters) == 0)
                if (const auto number = read_integer(ref.substr(letters.size()))) highest = std::max(highest, *number);
        std::string ref = letters + std::to_string(highest + 1);
        refs_.insert(ref);
        return ref;
    }

    // Adds the board's part to the picture; its reference on the sheet.
    std::string add_extra(PartId id) {
        std::string& ref = result_.extra_refs[id.index];
        if (!ref.empty()) return ref;
        const Part& part = board_[id];
        ref = free_reference(part);
        const std::string value = value_text(part);
        ExtraPart extra{ref, board_.kind_of(part).name, value == "?" || value == part.model ? "" : value, part.model, {}};
        if (part.value && !part.model.empty()) extra.value = part.value->text;
        for (const Pin& pin : part.pins)
            extra.pins.emplace_back(pin.name, pin.state == PinState::traced ? result_.board_nets[pin.net.index] : pin.state == PinState::untraced ? "?" : "-");
        result_.annotations.extras.push_back(std::move(extra));
        return ref;
    }

    // ---- one finding ----

    std::string named(PartId id) const {  // "R3 10k"
        const std::string value = value_text(drawing_[id]);
        return drawing_[id].ref + (value == "?" ? "" : " " + value);
    }
    std::string pins_text(const Mark& mark) const { return join_words(mark.pins); }

    void mark(const Finding& finding, bool shown) {
        MarkedFinding marked;
        Mark mark;
        if (!finding.drawing_parts.empty()) mark.ref = drawing_[finding.drawing_parts.front()].ref;
        for (const PinId pin : finding.drawing_pins) mark.pins.push_back(pin_name(drawing_, pin));
        mark.old_text = finding.drawn;
        mark.new_text = found_text(board_, finding);
        const bool drawn_on_sheet = describe(finding, shown, mark, marked.description);
        if (drawn_on_sheet && shown) {
            if (finding.what != What::unverified) {
                marked.number = ++last_number_;
                mark.number = marked.number;
                mark.anchor = fmt::format("mark {}", marked.number);
                mark.to = fmt::format("row {}", marked.number);
            }
            result_.annotations.marks.push_back(std::move(mark));
        }
        result_.findings.push_back(std::move(marked));
    }

    // Of a package's sections the one whose own pins are exchanged: none of the whole's layouts has its pins as the board has them.
    // Where every section is as it should be, the package is turned as a whole: its first.
    PartId turned_part(const Finding& finding) const {
        for (const PartId id : finding.drawing_parts) {
            std::vector<std::pair<std::string, PinId>> answers;  // the drawn section's pin, the board's pin that answers
            for (std::size_t i = 0; i < finding.drawing_pins.size() && i < finding.board_pins.size(); ++i)
                if (finding.drawing_pins[i].part == id)
                    answers.emplace_back(drawing_[finding.drawing_pins[i]].name, finding.board_pins[i]);
            if (answers.empty()) continue;
            const auto stands_as = [&](const auto& whole_pin_of) {
                return std::all_of(answers.begin(), answers.end(), [&](const auto& answer) {
                    const std::string expected = whole_pin_of(answer.first);
                    return expected.empty() || board_[answer.second].name == expected;
                });
            };
            const Kind& found = board_.kind_of(board_[answers.front().second.part]);
            bool stands = stands_as([](const std::string& pin) { return pin; });
            for (const KindSection& section : found.sections) {
                if (section.kind != drawing_.kind_of(drawing_[id]).name) continue;
                stands = stands || stands_as([&](const std::string& pin) {
                    for (const auto& [own, whole] : section.pins)
                        if (own == pin) return whole;
                    return std::string();
                });
            }
            if (!stands) return id;
        }
        return finding.drawing_parts.front();
    }

    // Fills in the mark's kind and nets and says it in words. False: the finding has no mark.
    bool describe(const Finding& finding, bool shown, Mark& mark, std::string& words) {
        switch (finding.what) {
            case What::value:
                mark.kind = MarkKind::value;
                words = fmt::format("{} was {}, found {}", mark.ref, mark.old_text, mark.new_text);
                return true;
            case What::kind:
                mark.kind = MarkKind::kind;
                if (shown) stand_as_found(finding.drawing_parts.front(), finding.board_parts);
                words = fmt::format("{} drawn as {}, found {}", mark.ref, finding.drawn, finding.found);
                return true;
            case What::reversed:
                mark.kind = MarkKind::reversed;
                mark.ref = drawing_[turned_part(finding)].ref;
                if (shown) stand_as_found(turned_part(finding), finding.board_parts);
                words = fmt::format("{} stands the other way: pins exchanged", mark.ref);
                return true;
            case What::missing:
                mark.kind = MarkKind::missing;
                words = fmt::format("{} not on the board", package_named(finding));
                return true;
            case What::bypassed:
                mark.kind = MarkKind::bypassed;
                words = fmt::format("{} not on the board: a plain connection in its place", named(finding.drawing_parts.front()));
                return true;
            case What::extra:
                mark.kind = MarkKind::extra;
                if (shown) describe_extra(finding, mark, words);
                return true;
            case What::inserted:
                mark.kind = MarkKind::inserted;
                if (shown) describe_inserted(finding, mark, words);
                return true;
            case What::moved: describe_moved(finding, mark, words); return true;
            case What::split: describe_split(finding, mark, words); return true;
            case What::joined: describe_joined(finding, mark, words); return true;
            case What::unverified: mark.kind = MarkKind::unverified; return true;
            case What::equivalent:
            case What::drift: return false;
        }
        return false;
    }

    // The name that a pin of the board has in a drawn part of kind `drawn`: its own, or the section's where the board's package is whole.
    // Empty: it is of another section.
    std::string name_within(const Kind& found, const Kind& drawn, const std::set<std::string>& answers, const std::string& pin) const {
        if (found.sections.empty()) return pin;
        for (const KindSection& section : found.sections) {
            if (section.kind != drawn.name) continue;
            std::map<std::string, std::string> own;  // by the whole's pin
            for (const auto& [mine, whole] : section.pins) own.emplace(whole, mine);
            if (std::all_of(answers.begin(), answers.end(), [&](const std::string& answer) { return own.count(answer) > 0; })) return own[pin];
        }
        return "";
    }

    // The part stands on the sheet as the board has it, where the drawing has the board's kind and the part is not answered by pins of
    // several sections: those are told in words alone.
    void stand_as_found(PartId drawn, const std::vector<PartId>& board_parts) {
        const auto pair = std::find_if(comparison_.parts.begin(), comparison_.parts.end(), [&](const PartPair& one) { return one.drawing == drawn; });
        const Part& part = drawing_[drawn];
        const auto done = [&](const AsFound& one) { return one.ref == part.ref; };
        const auto& all = result_.annotations.as_found;
        if (pair == comparison_.parts.end() || board_parts.empty() || std::any_of(all.begin(), all.end(), done)) return;
        const Kind &drawn_kind = drawing_.kind_of(part), &found_kind = board_.kind_of(board_[board_parts.front()]);
        AsFound found{part.ref, {}, {}};
        const bool other_kind = found_kind.sections.empty() && found_kind.name != drawn_kind.name;
        if (other_kind) {
            const auto known = drawing_.kinds.find(found_kind.name);
            if (!known || drawing_.kinds[*known].pins.size() != part.pins.size()) return;
            found.kind = found_kind.name;
        }
        std::set<std::string> answers, names;
        for (const auto& pin : pair->board_pins)
            if (pin) answers.insert(board_[*pin].name);
        for (std::size_t i = 0; i < pair->board_pins.size(); ++i) {
            if (!pair->board_pins[i]) continue;
            const std::string name = name_within(found_kind, drawn_kind, answers, board_[*pair->board_pins[i]].name);
            if (name.empty() || !names.insert(name).second) return;
            found.pins.emplace_back(part.pins[i].name, name);
        }
        // Pins that no one answers may not get into the way of those that were exchanged.
        for (const Pin& pin : part.pins) {
            const bool answered = std::any_of(found.pins.begin(), found.pins.end(), [&](const auto& one) { return one.first == pin.name; });
            if (!answered && (!names.insert(pin.name).second || other_kind)) return;
        }
        result_.annotations.as_found.push_back(std::move(found));
    }

    // A package goes missing as a whole: its sections together.
    std::string package_named(const Finding& finding) const {
        if (finding.drawing_parts.size() == 1) return named(finding.drawing_parts.front());
        std::vector<std::string> refs;
        for (const PartId part : finding.drawing_parts) refs.push_back(drawing_[part].ref);
        return join_words(refs);
    }

    void describe_extra(const Finding& finding, Mark& mark, std::string& words) {
        std::vector<std::string> refs;
        std::set<std::string> nets;
        for (const PartId id : finding.board_parts) {
            refs.push_back(add_extra(id));
            for (const Pin& pin : board_[id].pins)
                if (pin.state == PinState::traced) nets.insert(result_.board_nets[pin.net.index]);
        }
        if (refs.empty()) return;
        mark.ref = refs.front();
        const std::string value = value_text(board_[finding.board_parts.front()]);
        words = fmt::format("{}{} added", join_words(refs), value == "?" ? "" : " " + value);
        if (nets.size() == 2) words += fmt::format(", {} to {}", *nets.begin(), *nets.rbegin());
        else if (!nets.empty() && nets.size() < 5) words += ", on " + join_words({nets.begin(), nets.end()});
    }

    void describe_inserted(const Finding& finding, Mark& mark, std::string& words) {
        if (finding.board_parts.empty()) return;
        mark.ref = add_extra(finding.board_parts.front());
        if (!finding.drawing_pins.empty()) {
            const Pin& pin = drawing_[finding.drawing_pins.front()];
            if (pin.state == PinState::traced) mark.net = drawn_net(pin.net);
        } else if (finding.drawing_net) {
            mark.net = drawn_net(*finding.drawing_net);
        }
        if (const auto gone = gone_to(finding)) mark.other_net = result_.board_nets[gone->index];
        const std::string value = value_text(board_[finding.board_parts.front()]);
        words = fmt::format("{}{} in series in {}", mark.ref, value == "?" ? "" : " " + value, mark.net);
    }

    void describe_moved(const Finding& finding, Mark& mark, std::string& words) {
        mark.kind = MarkKind::moved;
        if (finding.drawing_net) mark.net = drawn_net(*finding.drawing_net);
        if (const auto gone = gone_to(finding)) mark.other_net = result_.board_nets[gone->index];
        const std::string from = mark.net.empty() ? "drawn unconnected" : "drawn to " + mark.net;
        const std::string to = mark.other_net.empty() ? "goes nowhere" : "goes to " + mark.other_net;
        words = fmt::format("{} {}, {}", pins_text(mark), from, to);
    }

    void describe_split(const Finding& finding, Mark& mark, std::string& words) {
        mark.kind = MarkKind::split;
        if (finding.drawing_net) mark.net = drawn_net(*finding.drawing_net);
        if (const auto gone = gone_to(finding)) mark.other_net = result_.board_nets[gone->index];
        if (mark.pins.size() <= 4) words = fmt::format("{}: {} apart from it on the board", mark.net, pins_text(mark));
        else words = fmt::format("{}: {} and {} more apart from it on the board", mark.net, mark.pins.front(), mark.pins.size() - 1);
    }

    void describe_joined(const Finding& finding, Mark& mark, std::string& words) {
        mark.kind = MarkKind::joined;
        if (finding.drawing_net) mark.net = drawn_net(*finding.drawing_net);
        if (finding.board_net) mark.other_net = result_.board_nets[finding.board_net->index];
        if (mark.other_net == mark.net && finding.board_net) {
            // Both names fell on the net that vanishes: the other drawn net of the pair.
            for (const NetPair& pair : comparison_.nets)
                if (std::find(pair.board.begin(), pair.board.end(), *finding.board_net) != pair.board.end())
                    for (const NetId net : pair.drawing)
                        if (drawn_net(net) != mark.net) mark.other_net = drawn_net(net);
        }
        words = fmt::format("{} joined to {} on the board", mark.net, mark.other_net);
    }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const std::vector<bool>& shown_;
    Marks result_;
    std::set<std::string> net_names_, refs_;
    int last_number_ = 0;
};

}  // namespace

std::string value_text(const Part& part) {
    std::string text = part.value ? part.value->text : "";
    if (!part.model.empty()) text += (text.empty() ? "" : " ") + part.model;
    if (text.empty())  // by its marking: said as a value, not as four colours
        if (const Value* nominal = part.nominal()) text = trade_text(nominal->number, nominal->quantity);
    return text.empty() ? "?" : text;
}

std::string found_text(const Circuit& board, const Finding& finding) {
    const bool of_a_part = finding.what == What::value || finding.what == What::extra || finding.what == What::inserted;
    if (!of_a_part || finding.board_parts.size() != 1) return finding.found;
    const Part& part = board[finding.board_parts.front()];
    return !part.value && part.model.empty() && part.nominal() ? value_text(part) : finding.found;
}

Marks marks_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::vector<bool>& shown) {
    return Marking(drawing, board, comparison, shown).made();
}

}  // namespace tallyboard
