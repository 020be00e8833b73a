#include "review/correct.h"

#include <algorithm>
#include <map>

#include "base/diagnostic.h"
#include "base/text.h"
#include "compare/answering.h"
#include "review/net_names.h"
#include "review/part_text.h"
#include "review/places.h"
#include "review/wiring.h"
#include "xml/document.h"
#include "xml/edit.h"

namespace tallyboard {

namespace detail {

namespace {

// One drawing being corrected: first what becomes of each part, then the edits.
class Correction {
public:
    Correction(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Accepts& accepts)
        : drawing_(drawing), board_(board), comparison_(comparison), accepts_(accepts),
          wiring_(corrected_wiring(drawing, board, comparison, accepts)), references_(drawing) {
        for (const Part& part : drawing_.parts) {
            kinds_.push_back(&drawing_.kind_of(part));
            after_.pin_names.emplace_back();
            for (const Pin& pin : part.pins) after_.pin_names.back().push_back(pin.name);
        }
        for (const Finding& finding : comparison_.findings)
            if (accepts_(finding)) take(finding);
    }

    std::vector<Edit> edits() {
        for (std::uint32_t i = 0; i < drawing_.parts.size(); ++i)
            if (after_.removed.count(i)) add(remove_element(drawing_.source, drawing_.parts[i].span));
            else part(i);
        for (const Finding& finding : comparison_.findings)
            if (accepts_(finding)) add_parts(finding);
        for (Edit& edit : place_edits(drawing_, after_, wiring_)) add(std::move(edit));
        for (Edit& edit : net_edits(drawing_, after_, wiring_)) add(std::move(edit));
        return std::move(edits_);
    }

private:
    void add(Edit edit) {
        if (edit.span.begin != edit.span.end || !edit.text.empty()) edits_.push_back(std::move(edit));
    }

    void take(const Finding& finding) {
        switch (finding.what) {
            case What::value: values_.push_back(&finding); break;
            case What::kind: take_kind(finding); break;
            case What::missing:
            case What::bypassed:
            case What::equivalent:
                for (PartId id : finding.drawing_parts) {
                    after_.removed.insert(id.index);
                    references_.release(drawing_[id].ref);
                }
                break;
            case What::reversed:  // the wiring holds what these and the others change
            case What::moved:
            case What::split:
            case What::joined:
            case What::extra:
            case What::inserted:
            case What::drift:
            case What::unverified: break;
        }
    }

    // The kind as found, and its pins' names: those of the pins that answer on the board. Where the part is also found turned
    // about and that is not to be corrected, the names follow the drawing's order instead.
    void take_kind(const Finding& finding) {
        const bool keep_turn = std::any_of(comparison_.findings.begin(), comparison_.findings.end(), [&](const Finding& other) {
            return other.what == What::reversed && other.drawing_parts == finding.drawing_parts && !accepts_(other);
        });
        for (const PartPair& pair : comparison_.parts) {
            if (std::find(finding.drawing_parts.begin(), finding.drawing_parts.end(), pair.drawing) == finding.drawing_parts.end()) continue;
            const Kind& kind = board_.kind_of(board_[pair.board]);
            kinds_[pair.drawing.index] = &kind;
            after_.other_kind.insert(pair.drawing.index);
            std::vector<std::string>& names = after_.pin_names[pair.drawing.index];
            for (std::size_t i = 0; i < names.size(); ++i) {
                const bool answered = !keep_turn && i < pair.board_pins.size() && pair.board_pins[i];
                if (answered) names[i] = board_[*pair.board_pins[i]].name;
                else if (const auto same = kind.pin(names[i])) names[i] = kind.pins[*same].name;
                else if (i < kind.pins.size()) names[i] = kind.pins[i].name;
            }
        }
    }

    // The board's part that answers to a drawn one.
    const Part* found_for(std::uint32_t drawn) const {
        for (const PartPair& pair : comparison_.parts)
            if (pair.drawing.index == drawn) return &board_[pair.board];
        return nullptr;
    }

    // What the drawn kind has beside its value and the found kind takes as its value, or has no use for.
    void drop_foreign_sizes(const Part& part, const Kind& kind) {
        auto drop = [&](std::string_view name) { add(remove_attribute(drawing_.source, part.span, name)); };
        if (part.resistance && kind.quantity == Quantity::resistance) drop("resistance");
        if (part.inductance && kind.quantity == Quantity::inductance) drop("inductance");
        if (part.capacitance && kind.quantity == Quantity::capacitance) drop("capacitance");
        const bool has_track = kind.name == "potentiometer" || kind.name == "trimmer";
        if (!part.taper.empty() && !has_track) drop("taper");
        if (part.half && !has_track) drop("half");
    }

    void part(std::uint32_t i) {
        const Part& part = drawing_.parts[i];
        if (after_.other_kind.count(i)) {
            add(set_attribute(drawing_.source, part.span, "kind", kinds_[i]->name));
            pins_of_kind(i);
            drop_foreign_sizes(part, *kinds_[i]);
        } else {
            for (Edit& edit : pin_edits(drawing_, part, wiring_.pins[i])) add(std::move(edit));
        }
        const auto named = [&](const Finding* finding) {
            return std::find(finding->drawing_parts.begin(), finding->drawing_parts.end(), PartId{i}) != finding->drawing_parts.end();
        };
        const auto finding = std::find_if(values_.begin(), values_.end(), named);
        if (finding != values_.end()) value(i, **finding);
        else if (after_.other_kind.count(i)) value_under_other_kind(i);
    }

    // The pins attribute of a part that takes another kind: as it stands where it means the same there, else as PIN=NET.
    void pins_of_kind(std::uint32_t i) {
        const Part& part = drawing_.parts[i];
        const Kind& kind = *kinds_[i];
        bool same = part.pins.size() == kind.pins.size();
        for (std::size_t pin = 0; same && pin < part.pins.size(); ++pin) {
            const std::string_view item = drawing_.source.slice(part.pins[pin].span);
            const std::size_t equals = item.find('=');
            const auto index = equals == std::string_view::npos ? std::optional<std::uint32_t>(static_cast<std::uint32_t>(pin))
                                                                : kind.pin(item.substr(0, equals));
            same = index && kind.pins[*index].name == after_.pin_names[i][pin] && (equals != std::string_view::npos || kind.ordered || item.empty());
        }
        if (same) {
            for (Edit& edit : pin_edits(drawing_, part, wiring_.pins[i])) add(std::move(edit));
            return;
        }
        add(set_attribute(drawing_.source, part.span, "pins", pins_text(after_.pin_names[i], wiring_.pins[i])));
    }

    // Value, type number and law as found, each where the two differ.
    void value(std::uint32_t i, const Finding& finding) {
        const Part& part = drawing_.parts[i];
        const Part* found = found_with_value(i, finding);
        if (!found) return;
        const Kind& kind = *kinds_[i];
        const Value* drawn_value = part.nominal();
        const Value* found_value = found->nominal();
        const bool other_number = found_value && (!drawn_value || drawn_value->number != found_value->number);
        // A value of another quantity says nothing without its kind.
        if (kind.quantity != Quantity::none && other_number && found_value->quantity == kind.quantity)
            add(set_attribute(drawing_.source, part.span, "value", value_text_for(drawing_, kind, drawn_value, *found)));
        else if (after_.other_kind.count(i)) value_under_other_kind(i);
        if (!found->model.empty() && !part.model.empty() && !drawing_.kinds.same_type(part.model, found->model)) {
            // On kinds without a quantity the type number may stand in value=.
            const bool in_value = part.model_span == part.value_span && part.value_span != Span{};
            add(set_attribute(drawing_.source, part.span, in_value ? "value" : "model", found->model));
        }
        if (!found->taper.empty() && !part.taper.empty() && found->taper != part.taper)
            add(set_attribute(drawing_.source, part.span, "taper", found->taper));
    }

    // Of a package one found part may hold the type number for all.
    const Part* found_with_value(std::uint32_t i, const Finding& finding) const {
        const Part* own = found_for(i);
        if (own && (own->nominal() || !own->model.empty())) return own;
        for (PartId id : finding.board_parts)
            if (board_[id].nominal() || !board_[id].model.empty()) return &board_[id];
        return own;
    }

    // A value that another kind reads otherwise, or not at all, is written out; with no number to keep it is taken out.
    void value_under_other_kind(std::uint32_t i) {
        const Part& part = drawing_.parts[i];
        const Kind& kind = *kinds_[i];
        if (part.value_span == Span{}) return;
        if (kind.quantity == Quantity::none) {
            const Part* found = found_for(i);
            if (part.value && found && !found->model.empty()) add(set_attribute(drawing_.source, part.span, "value", found->model));
            else if (part.value || part.model_span != part.value_span) add(remove_attribute(drawing_.source, part.span, "value"));
            return;
        }
        if (part.value && reads_as(drawing_, kind, part.value->text, part.value->number)) return;
        if (part.value && drawing_.kind_of(part).quantity == kind.quantity)
            return add(set_attribute(drawing_.source, part.span, "value", trade_text(part.value->number, kind.quantity)));
        const Part* found = found_for(i);
        const std::string text = found ? value_text_for(drawing_, kind, nullptr, *found) : "";
        if (text.empty()) add(remove_attribute(drawing_.source, part.span, "value"));
        else add(set_attribute(drawing_.source, part.span, "value", text));
    }

    void add_parts(const Finding& finding) {
        if (finding.what != What::extra && finding.what != What::inserted && finding.what != What::equivalent) return;
        std::string package;
        for (std::size_t n = 0; n < finding.board_parts.size(); ++n) {
            const Part& found = board_[finding.board_parts[n]];
            const Kind& kind = board_.kind_of(found);
            NewPart as;
            // One of several equivalent parts keeps the reference of the one drawn.
            const bool in_its_place = finding.what == What::equivalent && n == 0;
            as.ref = references_.take(in_its_place ? drawing_[finding.drawing_parts.front()].ref : found.ref, kind.letters);
            if (!found.package.empty()) {
                auto [known, added] = packages_.try_emplace(found.package);
                if (added) known->second = references_.take_package(found.package);
                as.package = known->second;
            }
            as.on = board_.on;
            for (const Pin& pin : found.pins)
                as.nets.push_back(pin.state == PinState::traced ? wiring_.names_of_found[pin.net.index] : pin.state == PinState::nowhere ? "-" : "?");
            add_kind(kind);
            const std::string element = part_element(drawing_, board_, found, as);
            const Part* neighbour = in_its_place || finding.what == What::equivalent ? &drawing_[finding.drawing_parts.front()]
                                                                                     : neighbour_of(found);
            add(neighbour ? insert_behind(drawing_.source, neighbour->span, element)
                          : append_child(drawing_.source, drawing_.root_span, element));
        }
    }

    // The drawn part whose counterpart shares most nets with a found one, rails counted least; the last part where none does.
    const Part* neighbour_of(const Part& found) const {
        const Part* best = drawing_.parts.empty() ? nullptr : &drawing_.parts.back();
        double most = 0;
        for (const PartPair& pair : comparison_.parts) {
            double shared = 0;
            for (const Pin& pin : found.pins)
                for (const Pin& other : board_[pair.board].pins)
                    if (pin.state == PinState::traced && other.state == PinState::traced && pin.net == other.net)
                        shared += 1.0 / static_cast<double>(board_[pin.net].pins.size());
            if (shared > most + 1e-9) {
                most = shared;
                best = &drawing_[pair.drawing];
            }
        }
        return best;
    }

    // A kind that only the board's file knows comes along with its part.
    void add_kind(const Kind& kind) {
        if (drawing_.kinds.find(kind.name) || !kinds_added_.insert(kind.name).second) return;
        const XmlDocument document = read_document(board_.source);
        for (const Element& element : document.root.children)
            if (element.name == "kind" && element["name"].text == kind.name) {
                add(append_child(drawing_.source, drawing_.root_span, board_.source.slice(element.span)));
                return;
            }
        throw CommandError(drawing_.source.name(), "cannot be corrected: it does not know the kind " + kind.name + "; name a kinds file that has it");
    }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const Accepts& accepts_;
    Wiring wiring_;
    References references_;
    PartsAfter after_;
    std::vector<const Kind*> kinds_;                  // drawn part → its kind afterwards
    std::vector<const Finding*> values_;
    std::map<std::string, std::string> packages_;     // found package → its name on the drawing
    std::set<std::string> kinds_added_;
    std::vector<Edit> edits_;
};

std::string revision_element(const Circuit& drawing, const RevisionNote& note) {
    const std::string letter = note.letter.empty() ? next_revision_letter(drawing) : note.letter;
    std::string element = "<revision letter=\"" + escaped_attribute(letter) + "\"";
    if (!note.date.empty()) element += " date=\"" + escaped_attribute(note.date) + "\"";
    if (!note.by.empty()) element += " by=\"" + escaped_attribute(note.by) + "\"";
    return element + ">" + escaped_content(note.text) + "</revision>";
}

}  // namespace

}  // namespace detail

bool is_carried_out(const Finding& finding, const std::set<std::string>* accepted) {
    if (finding.what == What::drift || finding.what == What::unverified) return false;
    if (!accepted) return finding.cost > 0;
    return accepted->count(finding.id) != 0;
}

std::string corrected_drawing(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                              const std::set<std::string>* accepted, const std::optional<RevisionNote>& revision) {
    const detail::Accepts accepts = [&](const Finding& finding) { return is_carried_out(finding, accepted); };
    std::vector<Edit> edits;
    if (std::any_of(comparison.findings.begin(), comparison.findings.end(), accepts))
        edits = detail::Correction(drawing, board, comparison, accepts).edits();
    if (revision) {
        const std::string element = detail::revision_element(drawing, *revision);
        edits.push_back(drawing.revisions.empty() ? append_child(drawing.source, drawing.root_span, element)
                                                  : insert_behind(drawing.source, drawing.revisions.back().span, element));
    }
    return spliced(drawing.source, std::move(edits));
}

std::string next_revision_letter(const Circuit& drawing) {
    static constexpr std::string_view letters = "ABCDEFGHJKLMNPRTUVWY";
    if (drawing.revisions.empty()) return "A";
    std::string letter = drawing.revisions.back().letter;
    // A figure behind the letter numbers changes under it.
    while (!letter.empty() && is_digit(letter.back())) letter.pop_back();
    for (std::size_t i = letter.size(); i > 0; --i) {
        const std::size_t place = letters.find(ascii_upper(letter[i - 1]));
        if (place == std::string_view::npos) return "A";
        if (place + 1 < letters.size()) {
            letter[i - 1] = letters[place + 1];
            return letter;
        }
        letter[i - 1] = letters[0];
    }
    return "A" + letter;
}

namespace {

// What the drawing calls a net of the board: its own net that answers to it, else the board's name, which a new net takes.
std::string drawn_name(const Circuit& drawing, const Circuit& board, const Comparison& comparison, NetId found) {
    const std::optional<NetId> drawn = drawn_answer(comparison, found);
    return drawn ? net_name(drawing, *drawn) : net_name(board, found);
}

std::string pins_words(const Circuit& drawing, const std::vector<PinId>& pins) {
    std::vector<std::string> names;
    for (PinId pin : pins) names.push_back(pin_name(drawing, pin));
    return join_words(names);
}

// A finding as a revision records it: the old matter, and what stands there now.
std::string revision_words(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding) {
    const std::string place = finding.drawing.empty() ? (finding.board.empty() ? "" : finding.board.front()) : finding.drawing.front();
    const std::string own = finding.board_parts.empty() ? place : board[finding.board_parts.front()].ref;
    switch (finding.what) {
        case What::value: return place + " was " + finding.drawn + ", is " + finding.found;
        case What::kind: return place + " was drawn as " + finding.drawn + ", is " + finding.found;
        case What::reversed: return place + " was drawn turned about";
        case What::moved:
            return place + " moved" + (finding.drawing_net ? " from " + net_name(drawing, *finding.drawing_net) : "") +
                   (finding.board_net ? " to " + drawn_name(drawing, board, comparison, *finding.board_net) : ", goes nowhere");
        case What::missing: return place + " taken out";
        case What::extra: return own + " added";
        case What::split:
            return pins_words(drawing, finding.drawing_pins) + " parted" + (finding.drawing_net ? " from " + net_name(drawing, *finding.drawing_net) : "");
        case What::joined: return "nets " + join_words(finding.drawing) + " joined";
        case What::inserted: return own + " put in series" + (finding.drawing.empty() ? "" : " in " + finding.drawing.front());
        case What::bypassed: return place + " taken out, bridged";
        case What::equivalent: return place + " drawn as found, of the same value";
        case What::drift:
        case What::unverified: break;
    }
    return {};
}

}  // namespace

std::string revision_text(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const std::set<std::string>* accepted) {
    std::vector<std::string> pieces;
    for (const Finding& finding : comparison.findings)
        if (is_carried_out(finding, accepted)) pieces.push_back(revision_words(drawing, board, comparison, finding));
    return join(pieces, "; ");
}

}  // namespace tallyboard
