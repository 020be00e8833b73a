#include "known_families.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "compare/compare.h"
#include "support/notation.h"
#include "support/random_circuits.h"

namespace tallyboard::test {
namespace {

DraftPart* part_of(Draft& draft, const std::string& ref) {
    for (DraftPart& part : draft.parts) if (part.ref == ref) return &part;
    return nullptr;
}

void carry_out(Draft& draft, const KnownEdit& edit) {
    if (edit.how == KnownEdit::How::extra) draft.parts.push_back(edit.part);
    else if (edit.how == KnownEdit::How::absent)
        draft.parts.erase(std::remove_if(draft.parts.begin(), draft.parts.end(), [&](const DraftPart& p) { return p.ref == edit.ref; }),
                          draft.parts.end());
    else if (DraftPart* part = part_of(draft, edit.ref)) part->value = edit.to;
}

std::string value_words(const std::string& text) {
    return trade_text(read_value(text, Quantity::resistance).value().number, Quantity::resistance);
}

// Whether comparing tells the edit as one finding and nothing else: else what is asked of the history would be undefined.
bool is_telling(const Draft& base, const std::vector<KnownEdit>& edits) {
    Draft board = base;
    for (const KnownEdit& edit : edits) carry_out(board, edit);
    Comparison comparison = compare(read_draft(base, CircuitRole::drawing), read_draft(board, CircuitRole::board));
    return comparison.findings.size() == edits.size();
}

bool is_plain_resistor(const DraftPart& part) { return part.kind == "resistor" && part.package.empty() && plain_number(part.value, part.kind); }

struct Maker {
    Random random;
    KnownFamily out;
    std::set<std::string> used;   // references that an edit has
    std::vector<KnownEdit> all;
    // A part lost and a part more may be one part moved, which costs less: a family has the one or the other.
    bool with_extras = random.chance(50);

    std::optional<KnownEdit> any_edit(bool values_only) {
        for (int attempt = 0; attempt < 20; ++attempt) {
            KnownEdit edit;
            const DraftPart& part = random.pick(out.base.parts);
            if (!is_plain_resistor(part) || used.count(part.ref)) continue;
            bool other_than_value = !values_only && random.chance(40);
            edit.ref = part.ref;
            if (!other_than_value) {
                edit.place = part.ref;
                edit.from = value_words(part.value);
                edit.to = value_words(other_value(part.value, part.kind, random));
            } else if (!with_extras) {
                edit.how = KnownEdit::How::absent;
                edit.place = part.ref;
                edit.from = value_words(part.value);
                edit.to = "not fitted";
            } else {
                edit.how = KnownEdit::How::extra;
                const DraftPart& other = random.pick(out.base.parts);
                std::vector<std::string> nets{part.pins[0].net, other.pins[0].net};
                if (nets[0] == nets[1] || !is_net(nets[1])) continue;
                std::sort(nets.begin(), nets.end(), natural_less);
                edit.ref = fmt::format("RX{}", all.size());
                edit.place = fmt::format("a resistor from {} to {}", nets[0], nets[1]);
                edit.from = "not fitted";
                edit.to = "3M3";
                edit.part = {edit.ref, "resistor", edit.to, "", "", "", {{"a", nets[0]}, {"b", nets[1]}}};
                if (std::any_of(all.begin(), all.end(), [&](const KnownEdit& e) { return e.place == edit.place; })) continue;
            }
            std::vector<KnownEdit> together = all;
            together.push_back(edit);
            if (!is_telling(out.base, {edit}) || !is_telling(out.base, together)) continue;
            used.insert(edit.ref);
            all.push_back(edit);
            return edit;
        }
        return {};
    }

    std::string fuzzy(Day day) {
        int year = day.year();
        std::string iso = day.to_text();
        switch (random.below(8)) {
            case 0: return iso;
            case 1: return iso.substr(0, 7);
            case 2: case 3: return fmt::format("{}", year);
            case 4: return fmt::format("{}?", year);
            case 5: return fmt::format("{}/{}", year - static_cast<int>(random.below(3)), year + static_cast<int>(random.below(2)));
            case 6: return fmt::format("{}X", year / 10);
            default: return "";
        }
    }

    void make_units() {
        std::size_t count = 3 + random.below(9);
        int serial = 10, day = Day::of(1962, 1, 1).number;
        for (std::size_t u = 0; u < count; ++u) {
            KnownUnit unit;
            serial += 1 + static_cast<int>(random.below(300));
            day += static_cast<int>(random.below(700));
            unit.file = fmt::format("unit-{}.xml", u);
            unit.serial = serial;
            unit.day = Day{day};
            unit.made = fuzzy(unit.day);
            unit.numbered = !random.chance(6) && out.numbered;
            out.units.push_back(unit);
        }
    }

    void make_changes(bool values_only) {
        std::size_t count = random.below(4);
        std::vector<std::size_t> at;
        for (std::size_t c = 0; c < count; ++c) at.push_back(1 + random.below(out.units.size() - 1));
        std::sort(at.begin(), at.end());
        for (std::size_t position : at) {
            KnownChange change;
            change.at = position;
            for (std::size_t e = 0; e < 1 + random.below(2); ++e)
                if (std::optional<KnownEdit> edit = any_edit(values_only)) change.edits.push_back(*edit);
            if (change.edits.empty()) continue;
            const KnownUnit &before = out.units[position - 1], &first = out.units[position];
            change.serial = before.serial + 1 + static_cast<int>(random.below(static_cast<std::size_t>(first.serial - before.serial)));
            change.day = Day{before.day.number + static_cast<int>(random.below(static_cast<std::size_t>(first.day.number - before.day.number + 1)))};
            out.changes.push_back(change);
        }
    }

    // A repair is a value that production never had there; at a place that production changed too, now and then.
    void make_repairs() {
        for (std::size_t r = random.below(3); r-- > 0;) {
            KnownRepair repair;
            repair.unit = random.below(out.units.size());
            repair.marked = random.chance(40);
            std::vector<KnownEdit> values;
            for (const KnownChange& change : out.changes)
                for (const KnownEdit& edit : change.edits) if (edit.how == KnownEdit::How::value) values.push_back(edit);
            if (!values.empty() && random.chance(50)) repair.edit = random.pick(values);
            else if (std::optional<KnownEdit> edit = any_edit(true)) repair.edit = *edit;
            else continue;
            bool taken = std::any_of(out.repairs.begin(), out.repairs.end(), [&](const KnownRepair& other) { return other.edit.ref == repair.edit.ref; });
            if (taken) continue;
            repair.edit.to = "7M5";   // outside the generator's values
            out.repairs.push_back(repair);
        }
    }

    void make_boards() {
        for (std::size_t u = 0; u < out.units.size(); ++u) {
            KnownUnit& unit = out.units[u];
            unit.board = out.base;
            unit.board.more.clear();
            for (const KnownChange& change : out.changes)
                if (u >= change.at) for (const KnownEdit& edit : change.edits) carry_out(unit.board, edit);
            for (const KnownRepair& repair : out.repairs)
                if (repair.unit == u) carry_out(unit.board, repair.edit);
            unit.partial = random.chance(12);
            for (DraftPart& part : unit.board.parts)
                if (is_plain_resistor(part) && !part.ref.starts_with("RX") && random.chance(7)) part.value.clear(), unit.hidden.push_back(part.ref);
            if (!unit.partial || with_extras) continue;
            DraftPart& lost = unit.board.parts[random.below(unit.board.parts.size())];
            if (!is_plain_resistor(lost) || lost.ref.starts_with("RX")) continue;
            unit.hidden.push_back(lost.ref);
            unit.board.parts.erase(unit.board.parts.begin() + (&lost - unit.board.parts.data()));
        }
    }

    // One unit's date is wrong, so far off that the others tell.
    void make_misdated() {
        if (!random.chance(30)) return;
        std::size_t u = random.below(out.units.size());
        KnownUnit& unit = out.units[u];
        if (!unit.numbered) return;
        Date wrong = read_date(u > out.units.size() / 2 ? "1955" : "1991").value();
        for (std::size_t v = 0; v < out.units.size(); ++v) {
            if (v == u || !out.units[v].numbered || out.units[v].made.empty()) continue;
            Date other = read_date(out.units[v].made).value();
            const Date &low = v < u ? other : wrong, &high = v < u ? wrong : other;
            if (*low.earliest > *high.latest) unit.misdated = true;
        }
        if (unit.misdated) unit.made = wrong.text;
    }
};

}  // namespace

bool KnownFamily::repaired(std::size_t unit, const KnownEdit& edit, bool marked) const {
    return std::any_of(repairs.begin(), repairs.end(),
                       [&](const KnownRepair& r) { return r.unit == unit && r.edit.ref == edit.ref && r.marked == marked; });
}

std::string KnownFamily::shown(std::size_t u, const KnownEdit& edit) const {
    const KnownUnit& unit = units[u];
    for (const KnownRepair& repair : repairs)
        if (repair.unit == u && repair.edit.ref == edit.ref)
            return std::count(unit.hidden.begin(), unit.hidden.end(), edit.ref) ? "?" : repair.edit.to;
    bool in = false;
    for (const KnownChange& change : changes)
        for (const KnownEdit& other : change.edits) if (other.place == edit.place) in = u >= change.at;
    bool hidden = std::count(unit.hidden.begin(), unit.hidden.end(), edit.ref);
    if (edit.how == KnownEdit::How::absent && in) return unit.partial ? "?" : edit.to;
    return hidden ? "?" : in ? edit.to : edit.from;
}

KnownFamily known_family(std::uint64_t seed) {
    Maker maker{Random(seed), {}, {}, {}};
    Recipe recipe{.seed = seed, .style = seed % 2 ? Style::transistor : Style::valve, .shape = Shape::chain, .parts = 16 + maker.random.below(14)};
    maker.out.base = random_circuit(recipe);
    maker.out.numbered = seed % 5 != 0;
    maker.make_units();
    bool later_drawing = maker.random.chance(30);
    maker.make_changes(later_drawing);
    maker.make_repairs();
    maker.make_boards();
    maker.make_misdated();
    if (later_drawing && !maker.out.changes.empty()) {
        maker.out.drawn_changes = 1 + maker.random.below(maker.out.changes.size());
        for (std::size_t c = 0; c < maker.out.drawn_changes; ++c)
            for (const KnownEdit& edit : maker.out.changes[c].edits) carry_out(maker.out.base, edit);
    }
    return maker.out;
}

std::filesystem::path write_family(const KnownFamily& family, const std::filesystem::path& folder) {
    write_file((folder / "base.xml").string(), xml_text(family.base, CircuitRole::drawing));
    std::string text = "<family xmlns=\"urn:tallyboard:circuit:1\">\n<base file=\"base.xml\"/>\n";
    for (std::size_t u = 0; u < family.units.size(); ++u) {
        const KnownUnit& unit = family.units[u];
        Draft board = unit.board;
        std::string bytes = xml_text(board, CircuitRole::board, unit.partial ? "complete=\"no\"" : "");
        for (const KnownRepair& repair : family.repairs) {
            if (repair.unit != u || !repair.marked) continue;
            // The marking of later work stands under the part.
            std::size_t at = bytes.find("ref=\"" + repair.edit.ref + "\"");
            if (at == std::string::npos) continue;
            std::size_t end = bytes.find("/>", at);
            bytes.replace(end, 2, "><found status=\"replaced\"/></part>");
        }
        write_file((folder / unit.file).string(), bytes);
        text += fmt::format("<member file=\"{}\"", unit.file);
        if (unit.numbered) text += fmt::format(" serial=\"{:05}\"", unit.serial);
        if (!unit.made.empty()) text += fmt::format(" made=\"{}\"", unit.made);
        text += "/>\n";
    }
    write_file((folder / "family.xml").string(), text + "</family>\n");
    return folder / "family.xml";
}

}  // namespace tallyboard::test
