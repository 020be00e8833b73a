#include "compare/findings.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "base/classes.h"
#include "base/text.h"
#include "compare/costs.h"
#include "compare/words.h"

namespace tallyboard {

namespace {

struct WhatRow { What what; std::string_view word; };
constexpr WhatRow what_rows[] = {
    {What::value, "value"},       {What::kind, "kind"},         {What::reversed, "reversed"}, {What::moved, "moved"},
    {What::missing, "missing"},   {What::extra, "extra"},       {What::split, "split"},       {What::joined, "joined"},
    {What::inserted, "inserted"}, {What::bypassed, "bypassed"}, {What::equivalent, "equivalent"},
    {What::drift, "drift"},       {What::unverified, "unverified"}};

}  // namespace

std::string_view what_word(What what) {
    for (const WhatRow& row : what_rows) if (row.what == what) return row.word;
    return {};
}

std::optional<What> read_what(std::string_view word) {
    for (const WhatRow& row : what_rows) if (row.word == word) return row.what;
    return std::nullopt;
}

namespace detail {
namespace {

std::optional<NetId> written_net(const Side& side, int net) {
    return side.written[net].empty() ? std::nullopt : std::optional<NetId>(side.written[net].front());
}

class Report {
public:
    explicit Report(const Outcome& outcome)
        : outcome_(outcome), problem_(outcome.problem), drawing_(problem_.drawing), board_(problem_.board), words_(outcome) {}

    std::vector<Finding> run() {
        for (int p = 0; p < drawing_.parts(); ++p) {
            const int q = outcome_.pairing.partner(p);
            if (q == none) drawn_left_over(p);
            else if (drawing_.group[p] != none || board_.group[q] != none) equivalent(p, q);
            else paired(p, q);
            if (q != none) terminals(p, q);
        }
        for (int q = 0; q < board_.parts(); ++q)
            if (outcome_.pairing.partner_of_found(q) == none) found_left_over(q);
        for (auto [p, q] : turned_groups_) reversed(p, q);
        pieces();
        return std::move(findings_);
    }

private:
    Finding& add(What what, int cost, const std::string& place) {
        Finding finding;
        finding.what = what;
        finding.cost = cost;
        finding.id = fmt::format("{}@{}", what_word(what), place);
        findings_.push_back(std::move(finding));
        return findings_.back();
    }
    Finding& add_pair(What what, int cost, int p, int q) {
        Finding& finding = add(what, cost, part_text(drawing_, p));
        finding.drawing = {part_text(drawing_, p)};
        finding.board = {part_text(board_, q)};
        finding.drawing_parts = drawing_.members[p];
        finding.board_parts = board_.members[q];
        return finding;
    }

    void paired(int p, int q) {
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::string drawn = words_.drawn_value(p), found = words_.found_value(q), ref = part_text(board_, q);
        if (maps.kind_cost > 0) {
            Finding& finding = add_pair(What::kind, costs::kind, p, q);
            finding.drawn = kind_name(drawing_, p);
            finding.found = kind_name(board_, q);
            finding.says = fmt::format("{} is drawn as {}; the board has {} there ({}).", words_.drawn_part(p), words_.drawn_kind(p),
                                       words_.found_kind(q), ref);
        }
        if (problem_.value_differs(p, q)) {
            Finding& finding = add_pair(What::value, costs::value, p, q);
            finding.drawn = drawn;
            finding.found = found;
            const std::string place = words_.drawn_place(p);
            finding.says = fmt::format("{}{}{} is drawn as {}; the board has {} there ({}){}.", part_text(drawing_, p), place.empty() ? "" : ", ",
                                       place.empty() ? "" : place + ",", drawn, found, ref, chosen_at_test(p) ? "; the drawing leaves it to be chosen at test" : "");
        }
        if (outcome_.pairing.map(p) >= maps.allowed) reversed(p, q);
        unknown_values(p, q);
    }

    std::string kind_name(const Side& side, int part) const { return side.circuit->kind_of((*side.circuit)[side.members[part].front()]).name; }

    bool chosen_at_test(int p) const {
        const Value* value = (*drawing_.circuit)[drawing_.members[p].front()].nominal();
        return value && value->chosen_at_test;
    }

    void reversed(int p, int q) {
        Finding& finding = add_pair(What::reversed, costs::reversed, p, q);
        std::vector<std::string> pins;
        const std::vector<char> exchanged = exchanged_pins(p, q);
        for (int t = drawing_.first[p]; t < drawing_.first[p + 1]; ++t) {
            const int to = outcome_.terminal_to[t];
            if (to == none) continue;
            finding.drawing_pins.push_back(drawing_.pins[t].front());
            finding.board_pins.push_back(board_.pins[to].front());
            const std::string &drawn = (*drawing_.circuit)[drawing_.pins[t].front()].name, &found = (*board_.circuit)[board_.pins[to].front()].name;
            if (drawn != found && exchanged[t - drawing_.first[p]]) pins.push_back(fmt::format("its {} where {} is drawn", found, drawn));
        }
        finding.says = fmt::format("{} stands the other way about on the board ({}){}{}.", words_.drawn_part(p), part_text(board_, q),
                                   pins.empty() ? "" : ": ", listed(pins, 4));
    }

    // Terminals that the nearest order allowed would send elsewhere: of a package only the section that is turned, even where the
    // sections have changed places as they may.
    std::vector<char> exchanged_pins(int p, int q) const {
        const PinMaps& maps = problem_.maps_of(p, q);
        const std::int8_t* as = maps.map(outcome_.pairing.map(p));
        std::vector<char> best(static_cast<std::size_t>(maps.terminals), 1);
        auto least = static_cast<std::ptrdiff_t>(maps.terminals);
        for (int k = 0; k < maps.allowed; ++k) {
            std::vector<char> differ(static_cast<std::size_t>(maps.terminals));
            for (int i = 0; i < maps.terminals; ++i) differ[i] = maps.map(k)[i] != as[i];
            const auto n = std::count(differ.begin(), differ.end(), 1);
            if (n < least) least = n, best = std::move(differ);
        }
        return best;
    }

    void unknown_values(int p, int q) {
        const std::string place = part_text(drawing_, p);
        auto tell = [&](bool drawn, bool found, const std::string& text, const char* what) {
            if (!drawn || found) return;
            Finding& finding = add_pair(What::unverified, 0, p, q);
            finding.drawn = text;
            finding.says = fmt::format("{} is drawn as {}; the board's file does not give the {} of {}.", place, text, what, part_text(board_, q));
        };
        std::string value, model;
        for (PartId member : drawing_.members[p]) {
            const Part& part = (*drawing_.circuit)[member];
            if (value.empty() && part.nominal()) value = part.nominal()->text;
            if (model.empty()) model = part.model;
        }
        tell(drawing_.value[p] != none, board_.value[q] != none, value, "value");
        tell(drawing_.model[p] != none, board_.model[q] != none, model, "type number");
    }

    void terminals(int p, int q) {
        const PinMaps& maps = problem_.maps_of(p, q);
        for (int t = drawing_.first[p]; t < drawing_.first[p + 1]; ++t) {
            if (outcome_.terminal_to[t] == none) unverified_pin(q, t, maps, outcome_.pairing.map(p));
            else if (outcome_.cell_of[t] == none) moved(t, outcome_.terminal_to[t]);
        }
    }

    void unverified_pin(int q, int t, const PinMaps& maps, int map) {
        const int i = t - drawing_.first[drawing_.part[t]];
        const int pin = maps.pin[static_cast<std::size_t>(map) * maps.terminals + i];
        // The board's kind has no such pin at all: nothing to trace.
        if (pin == none && board_.circuit->kind_of((*board_.circuit)[board_.members[q].front()]).pattern == PinPattern::fixed) return;
        Finding& finding = add(What::unverified, 0, terminal_text(drawing_, t));
        finding.drawing = {terminal_text(drawing_, t), net_text(drawing_, drawing_.net[t])};
        finding.drawing_parts = {drawing_.pins[t].front().part};
        finding.drawing_pins = {drawing_.pins[t].front()};
        finding.board_parts = board_.members[q];
        finding.board = {part_text(board_, q)};
        if (const auto written = pin == none ? std::nullopt : board_.written_pin(q, maps.found_form, pin)) {
            finding.board_pins = {*written};
            finding.board = {pin_name(*board_.circuit, *written)};
        }
        finding.drawing_net = written_net(drawing_, drawing_.net[t]);
        finding.says = fmt::format("{} goes to {} on the drawing; on the board {} is not traced yet.", words_.drawn_pin(t),
                                   words_.drawn_net(drawing_.net[t]), finding.board.front());
    }

    void moved(int t, int to) {
        const int drawn = drawing_.net[t], found = board_.net[to];
        Finding& finding = add(What::moved, costs::moved, terminal_text(drawing_, t));
        finding.drawing = {terminal_text(drawing_, t), net_text(drawing_, drawn)};
        finding.board = {terminal_text(board_, to), net_text(board_, found)};
        finding.drawing_parts = {drawing_.pins[t].front().part};
        finding.board_parts = {board_.pins[to].front().part};
        finding.drawing_pins = {drawing_.pins[t].front()};
        finding.board_pins = {board_.pins[to].front()};
        finding.drawing_net = written_net(drawing_, drawn);
        finding.board_net = written_net(board_, found);
        const std::string whose = words_.drawn_pin(t), there = terminal_text(board_, to);
        if (board_.degree(found) < 2) {
            finding.says = fmt::format("{} goes to {} on the drawing; on the board {} is cut off and goes nowhere.", whose, words_.drawn_net(drawn), there);
        } else if (drawing_.degree(drawn) < 2) {
            finding.says = fmt::format("{} goes nowhere on the drawing; on the board {} goes to {}.", whose, there, words_.found_net(found));
        } else {
            finding.says = fmt::format("{} goes to {} on the drawing; on the board {} goes to {}.", whose, words_.drawn_net(drawn), there, words_.found_net(found));
        }
    }

    void drawn_left_over(int p) {
        const bool composite = outcome_.pairing.is_composite(false, p);
        if (!composite && drawing_.leave[p] == 0) return;
        const bool open = !composite && !board_.circuit->complete;
        Finding& finding = add(composite ? What::bypassed : open ? What::unverified : What::missing,
                               composite ? costs::series : open ? 0 : costs::part, part_text(drawing_, p));
        finding.drawing = {part_text(drawing_, p)};
        finding.drawing_parts = drawing_.members[p];
        finding.drawn = words_.drawn_value(p);
        if (open) {
            finding.says = fmt::format("{} is not traced on the board yet.", words_.drawn_part(p));
        } else if (composite) {
            const auto [a, b] = drawing_.across[p];
            finding.drawing.insert(finding.drawing.end(), {net_text(drawing_, a), net_text(drawing_, b)});
            finding.says = fmt::format("{} is not on the board: its two nets, {} and {}, are joined there.", words_.drawn_part(p), words_.drawn_net(a), words_.drawn_net(b));
            if (const int main = outcome_.main_of_drawn[outcome_.pairing.drawn_net(a)]; main != none) {
                finding.board = {net_text(board_, outcome_.kept[main].found)};
                finding.board_net = written_net(board_, outcome_.kept[main].found);
            }
            finding.drawing_net = written_net(drawing_, b);
        } else {
            finding.says = fmt::format("{}, {}, is not on the board.", words_.drawn_part(p), words_.drawn_kind(p));
        }
    }

    void found_left_over(int q) {
        const bool composite = outcome_.pairing.is_composite(true, q);
        if (!composite && board_.leave[q] == 0) return;
        Finding& finding = add(composite ? What::inserted : What::extra, composite ? costs::series : costs::part, part_text(board_, q));
        finding.board = {part_text(board_, q)};
        finding.board_parts = board_.members[q];
        finding.found = words_.found_value(q);
        if (composite) return inserted(finding, q);
        finding.says = fmt::format("The board has {}, {}, which the drawing does not show.", words_.found_part(q), words_.found_kind(q));
    }

    // The drawn terminals that go to the second of the two found nets change their net.
    void inserted(Finding& finding, int q) {
        auto [a, b] = board_.across[q];
        const int as = outcome_.pairing.found_net(a), main = outcome_.main_of_found[as];
        finding.board.insert(finding.board.end(), {net_text(board_, a), net_text(board_, b)});
        if (main == none) return;
        std::vector<int> there[2];
        const int drawn = outcome_.kept[main].drawn;
        for (int c = 0; c < static_cast<int>(outcome_.kept.size()); ++c) {
            if (outcome_.kept[c].found != as) continue;
            for (auto [d, f] : outcome_.kept[c].terminals)
                if (board_.net[f] == a || board_.net[f] == b) there[board_.net[f] == b].push_back(d);
        }
        const bool second = there[1].size() <= there[0].size();
        std::vector<std::string> pins;
        for (int d : there[second]) {
            finding.drawing_pins.push_back(drawing_.pins[d].front());
            finding.board_pins.push_back(board_.pins[outcome_.terminal_to[d]].front());
            pins.push_back(terminal_text(drawing_, d));
        }
        finding.drawing = {net_text(drawing_, drawn)};
        finding.drawing_net = written_net(drawing_, drawn);
        finding.board_net = written_net(board_, second ? b : a);
        finding.says = fmt::format("The board has {}, {}, in series where the drawing has the one net {}: {} beyond it.",
                                   part_text(board_, q) + (finding.found.empty() ? "" : " (" + finding.found + ")"), words_.found_kind(q),
                                   words_.drawn_net(drawn), pins.empty() ? std::string("nothing else stands") : listed(pins) + (pins.size() == 1 ? " stands" : " stand"));
    }

    void equivalent(int p, int q) {
        const bool several_found = board_.group[q] != none;
        const Group& group = problem_.groups[several_found ? board_.group[q] : drawing_.group[p]];
        const Side& many = several_found ? board_ : drawing_;
        std::vector<std::string> refs;
        std::vector<PartId> members = many.members[several_found ? q : p];
        for (PartId id : members) refs.push_back((*many.circuit)[id].ref);
        std::sort(refs.begin(), refs.end(), natural_less);
        Finding& finding = add(What::equivalent, 0, several_found ? part_text(drawing_, p) : refs.front());
        finding.drawing = several_found ? std::vector<std::string>{part_text(drawing_, p)} : refs;
        finding.board = several_found ? refs : std::vector<std::string>{part_text(board_, q)};
        finding.drawing_parts = drawing_.members[p];
        finding.board_parts = board_.members[q];
        for (int t = drawing_.first[p]; t < drawing_.first[p + 1]; ++t) {
            if (outcome_.terminal_to[t] == none) continue;
            finding.drawing_pins.push_back(drawing_.pins[t].front());
            finding.board_pins.push_back(board_.pins[outcome_.terminal_to[t]].front());
        }
        if (outcome_.pairing.map(p) >= problem_.maps_of(p, q).allowed) turned_groups_.push_back({p, q});
        std::vector<std::string> values;
        for (PartId id : members) if (const Value* value = (*many.circuit)[id].nominal()) values.push_back(value->text);
        const std::string together = join(values, " + "), single = several_found ? words_.drawn_value(p) : words_.found_value(q);
        finding.drawn = several_found ? single : together;
        finding.found = several_found ? together : single;
        finding.says = several_found
            ? fmt::format("{} is made up of {} in {} on the board ({}).", words_.drawn_part(p), join_words(refs), group.parallel ? "parallel" : "series", together)
            : fmt::format("{} in {} on the drawing ({}) are one part on the board, {} ({}).", join_words(refs), group.parallel ? "parallel" : "series",
                          together, part_text(board_, q), single);
    }

    // Pieces of nets beyond the first.
    void pieces() {
        for (int c = 0; c < static_cast<int>(outcome_.kept.size()); ++c) {
            const KeptCell& cell = outcome_.kept[c];
            if (outcome_.main_of_drawn[cell.drawn] != c) piece(What::split, cell, outcome_.kept[outcome_.main_of_drawn[cell.drawn]]);
            if (outcome_.main_of_found[cell.found] != c) piece(What::joined, cell, outcome_.kept[outcome_.main_of_found[cell.found]]);
        }
    }

    void piece(What what, const KeptCell& cell, const KeptCell& main) {
        Finding& finding = add(what, costs::piece, terminal_text(drawing_, cell.terminals.front().first));
        std::vector<std::string> pins;
        for (auto [d, f] : cell.terminals) {
            finding.drawing_pins.push_back(drawing_.pins[d].front());
            finding.board_pins.push_back(board_.pins[f].front());
            pins.push_back(terminal_text(drawing_, d));
        }
        finding.drawing_net = written_net(drawing_, cell.drawn);
        finding.board_net = written_net(board_, cell.found);
        const std::string verb = pins.size() == 1 ? "stands" : "stand";
        if (what == What::split) {
            finding.drawing = {net_text(drawing_, cell.drawn)};
            finding.board = {net_text(board_, main.found), net_text(board_, cell.found)};
            finding.says = fmt::format("The drawing's net {} is more than one on the board: {} {} apart from the rest, on {}.", words_.drawn_net(cell.drawn),
                                       listed(pins), verb, net_text(board_, cell.found));
        } else {
            finding.drawing = {net_text(drawing_, main.drawn), net_text(drawing_, cell.drawn)};
            finding.board = {net_text(board_, cell.found)};
            finding.says = fmt::format("The drawing's nets {} and {} are one on the board ({}): {} {} together with {}.", words_.drawn_net(main.drawn),
                                       words_.drawn_net(cell.drawn), net_text(board_, cell.found), listed(pins), verb,
                                       terminal_text(drawing_, main.terminals.front().first));
        }
    }

    const Outcome& outcome_;
    const Problem& problem_;
    const Side &drawing_, &board_;
    Words words_;
    std::vector<Finding> findings_;
    std::vector<std::pair<int, int>> turned_groups_;
};

// Several findings of one kind at one place: #2, #3 by natural order of the other side's place.
void number_places(std::vector<Finding>& findings) {
    std::map<std::string, std::vector<Finding*>> by_id;
    for (Finding& finding : findings) by_id[finding.id].push_back(&finding);
    for (auto& [id, same] : by_id) {
        if (same.size() < 2) continue;
        std::stable_sort(same.begin(), same.end(), [](const Finding* a, const Finding* b) {
            const std::string first = a->board.empty() ? "" : a->board.back(), second = b->board.empty() ? "" : b->board.back();
            return natural_less(first, second);
        });
        for (std::size_t i = 1; i < same.size(); ++i) same[i]->id += fmt::format("#{}", i + 1);
    }
}

}  // namespace

std::vector<Finding> findings_of(const Outcome& outcome) {
    std::vector<Finding> findings = Report(outcome).run();
    for (Finding& finding : drift_findings(outcome)) findings.push_back(std::move(finding));
    number_places(findings);
    std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
        return (a.cost > 0) != (b.cost > 0) ? a.cost > 0 : natural_less(a.id, b.id);
    });
    return findings;
}

std::vector<PartPair> part_pairs_of(const Outcome& outcome) {
    const Problem& problem = outcome.problem;
    std::vector<PartPair> out;
    for (int p = 0; p < problem.drawing.parts(); ++p) {
        const int q = outcome.pairing.partner(p);
        if (q == none || problem.drawing.group[p] != none || problem.board.group[q] != none) continue;
        std::map<PinId, PinId> partner;
        const PinMaps& maps = problem.maps_of(p, q);
        for (int t = problem.drawing.first[p]; t < problem.drawing.first[p + 1]; ++t) {
            std::optional<PinId> to;
            const int at = maps.pin[static_cast<std::size_t>(outcome.pairing.map(p)) * maps.terminals + (t - problem.drawing.first[p])];
            if (outcome.terminal_to[t] != none) to = problem.board.pins[outcome.terminal_to[t]].front();
            else if (at != none) to = problem.board.written_pin(q, maps.found_form, at);   // not traced, but it would be that one
            if (to)
                for (PinId pin : problem.drawing.pins[t]) partner[pin] = *to;
        }
        for (PartId member : problem.drawing.members[p]) {
            PartPair pair;
            pair.drawing = member;
            pair.board = problem.board.members[q].front();
            pair.drawing_name = (*problem.drawing.circuit)[member].ref;
            pair.board_name = problem.board.name[q];
            for (std::uint32_t i = 0; i < (*problem.drawing.circuit)[member].pins.size(); ++i) {
                auto at = partner.find(PinId{member, i});
                pair.board_pins.push_back(at == partner.end() ? std::nullopt : std::optional<PinId>(at->second));
            }
            out.push_back(std::move(pair));
        }
    }
    std::sort(out.begin(), out.end(), [](const PartPair& a, const PartPair& b) { return a.drawing < b.drawing; });
    return out;
}

std::vector<NetPair> net_pairs_of(const Outcome& outcome) {
    const Side &drawing = outcome.problem.drawing, &board = outcome.problem.board;
    Classes one(drawing.nets() + board.nets());
    for (int n = 0; n < drawing.nets(); ++n) one.join(n, outcome.pairing.drawn_net(n));
    for (int n = 0; n < board.nets(); ++n) one.join(drawing.nets() + n, drawing.nets() + outcome.pairing.found_net(n));
    for (const KeptCell& cell : outcome.kept) one.join(cell.drawn, drawing.nets() + cell.found);
    std::vector<NetPair> classes(one.size());
    for (int n = 0; n < drawing.nets(); ++n)
        for (NetId id : drawing.written[n]) classes[one.of(n)].drawing.push_back(id);
    for (int n = 0; n < board.nets(); ++n)
        for (NetId id : board.written[n]) classes[one.of(drawing.nets() + n)].board.push_back(id);
    std::erase_if(classes, [](const NetPair& pair) { return pair.drawing.empty() || pair.board.empty(); });
    for (NetPair& pair : classes) {
        std::sort(pair.drawing.begin(), pair.drawing.end());
        std::sort(pair.board.begin(), pair.board.end());
    }
    std::sort(classes.begin(), classes.end(), [](const NetPair& a, const NetPair& b) { return a.drawing.front() < b.drawing.front(); });
    return classes;
}

}  // namespace detail
}  // namespace tallyboard
