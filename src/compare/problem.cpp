#include "compare/problem.h"

#include <algorithm>
#include <map>
#include <optional>

#include <fmt/format.h>

#include "base/classes.h"
#include "base/diagnostic.h"
#include "circuit/packages.h"
#include "compare/costs.h"

namespace tallyboard::detail {
namespace {

// A part before it is numbered: its written parts, and its forms with their pins as found in the file.
struct Draft {
    std::vector<PartId> members;
    std::string name;
    struct Seen { KindId kind; std::vector<WholePin> pins; std::vector<std::string> names; };
    std::vector<Seen> forms;
};

Draft::Seen as_written(const Circuit& circuit, PartId id) {
    const Part& part = circuit[id];
    Draft::Seen seen{part.kind, {}, {}};
    for (std::uint32_t i = 0; i < part.pins.size(); ++i) {
        seen.pins.push_back({part.pins[i].state, part.pins[i].net, {PinId{id, i}}});
        seen.names.push_back(part.pins[i].name);
    }
    return seen;
}

bool counts(const Circuit& circuit, const Part& part, const std::string& on) {
    return part.fit != Fit::no && (on.empty() || part.on == on) && !circuit.kind_of(part).conductor;
}

std::vector<Draft> draft_parts(const Circuit& circuit, const std::string& on) {
    std::vector<Draft> out;
    std::vector<int> package_of(circuit.parts.size(), none);
    const auto packages = packages_of(circuit);
    for (std::size_t i = 0; i < packages.size(); ++i)
        for (PartId member : packages[i].members) package_of[member.index] = static_cast<int>(i);

    std::vector<char> done(packages.size(), 0);
    for (std::uint32_t i = 0; i < circuit.parts.size(); ++i) {
        const Part& part = circuit.parts[i];
        if (!counts(circuit, part, on)) continue;
        if (package_of[i] == none) {
            out.push_back({{PartId{i}}, part.ref, {as_written(circuit, PartId{i})}});
            continue;
        }
        if (done[package_of[i]]++) continue;
        const Package& package = packages[package_of[i]];
        Draft draft;
        for (PartId member : package.members)
            if (counts(circuit, circuit[member], on)) draft.members.push_back(member);
        draft.name = package.name;
        for (KindId holder : package.holders) {
            auto pins = assemble(circuit, draft.members, holder);
            if (!pins) continue;
            Draft::Seen seen{holder, *pins, {}};
            for (const KindPin& pin : circuit.kinds[holder].pins) seen.names.push_back(pin.name);
            draft.forms.push_back(std::move(seen));
        }
        // A package of one section may also be what it is written as.
        if (draft.members.size() == 1) draft.forms.push_back(as_written(circuit, draft.members.front()));
        if (!draft.forms.empty()) {
            out.push_back(std::move(draft));
            continue;
        }
        for (PartId member : draft.members) out.push_back({{member}, circuit[member].ref, {as_written(circuit, member)}});
    }
    return out;
}

// The file's nets with links carried out: net -> its representative.
std::vector<int> joined_by_links(const Circuit& circuit, const std::string& on) {
    Classes joined(circuit.nets.size());
    for (const Part& part : circuit.parts) {
        if (part.fit == Fit::no || !circuit.kind_of(part).conductor || (!on.empty() && part.on != on)) continue;
        std::optional<std::size_t> before;
        for (const Pin& pin : part.pins) {
            if (pin.state != PinState::traced) continue;
            if (before) joined.join(*before, pin.net.index);
            before = pin.net.index;
        }
    }
    std::vector<int> out;
    for (std::size_t n = 0; n < joined.size(); ++n) out.push_back(static_cast<int>(joined.of(n)));
    return out;
}

// Numbers for what both sides must call alike: kinds, shapes, values, type numbers.
class Numbering {
public:
    explicit Numbering(Problem& problem) : problem_(problem) {}

    int kind(const Circuit& circuit, KindId id) {
        const std::string& name = circuit.kinds[id].name;
        auto [at, fresh] = kinds_.try_emplace(name, static_cast<int>(problem_.kinds.size()));
        if (fresh) problem_.kinds.push_back({name, &circuit.kinds, id});
        return at->second;
    }
    int value(const Value* value) {
        if (!value) return none;
        return values_.try_emplace({value->quantity, value->number.digits(), value->number.exponent()},
                                   static_cast<int>(values_.size())).first->second;
    }
    int model(const std::string& text) {
        if (text.empty()) return none;
        auto [at, fresh] = models_.try_emplace(text, static_cast<int>(problem_.models.size()));
        if (fresh) problem_.models.push_back(text);
        return at->second;
    }
    int taper(const std::string& text) {
        return text.empty() ? none : tapers_.try_emplace(text, static_cast<int>(tapers_.size())).first->second;
    }
    int shape(const Shape& shape, std::vector<Shape>& shapes, bool on_board) {
        std::string key;
        for (const Form& form : shape.forms) {
            key += std::to_string(form.kind) + ':';
            for (std::size_t i = 0; i < form.pins.size(); ++i) key += form.pins[i] + '=' + std::to_string(form.terminal[i]) + ' ';
        }
        auto [at, fresh] = shapes_[on_board].try_emplace(std::move(key), static_cast<int>(shapes.size()));
        if (fresh) shapes.push_back(shape);
        return at->second;
    }

private:
    Problem& problem_;
    std::map<std::string, int> kinds_, models_, tapers_, shapes_[2];
    std::map<std::tuple<Quantity, std::int64_t, int>, int> values_;
};

// The two nets that the traced pins stand on, if there are exactly two. A pin that goes nowhere stands on none, and a net that
// no other pin stands on is the same as nowhere.
std::pair<int, int> nets_across(const Side& side, int p) {
    std::pair<int, int> out{none, none};
    for (int t = side.first[p]; t < side.first[p + 1]; ++t) {
        const int n = side.net[t];
        if (side.degree(n) < 2 || n == out.first || n == out.second) continue;
        if (out.first == none) out.first = n;
        else if (out.second == none) out.second = n;
        else return {none, none};
    }
    return out.second == none ? std::pair{none, none} : out;
}

// One side's arrays. `on`: only drawn parts of that board count.
class SideMaker {
public:
    SideMaker(const Circuit& circuit, const std::string& on, bool on_board, Problem& problem, Numbering& numbers)
        : circuit_(circuit), on_board_(on_board), problem_(problem), numbers_(numbers),
          side_(on_board ? problem.board : problem.drawing), joined_(joined_by_links(circuit, on)) {
        side_.circuit = &circuit;
        side_.net_of.assign(circuit.nets.size(), none);
        for (const Draft& draft : draft_parts(circuit, on)) add(draft);
        side_.first.push_back(side_.terminals());
        for (std::size_t n = 0; n < joined_.size(); ++n) {
            const int net = side_.net_of[joined_[n]];
            if (net == none) continue;
            side_.net_of[n] = net;
            side_.written[net].push_back(NetId{static_cast<std::uint32_t>(n)});
        }
        index_nets(side_);
        for (int p = 0; p < side_.parts(); ++p) side_.across.push_back(nets_across(side_, p));
    }

private:
    void add(const Draft& draft) {
        const int p = side_.parts();
        side_.first.push_back(side_.terminals());
        Shape shape;
        std::map<PinId, int> seen;
        for (const Draft::Seen& form : draft.forms) {
            Form out{numbers_.kind(circuit_, form.kind), form.names, {}};
            for (const WholePin& pin : form.pins) out.terminal.push_back(terminal_of(p, pin, seen));
            shape.forms.push_back(std::move(out));
        }
        shape.terminals = side_.terminals() - side_.first[p];
        side_.shape.push_back(numbers_.shape(shape, on_board_ ? problem_.found_shapes : problem_.drawn_shapes, on_board_));
        side_.members.push_back(draft.members);
        side_.name.push_back(draft.name);
        side_.bound_to.push_back(none);
        side_.group.push_back(none);
        add_form_pins(draft);
        add_what_it_is(draft);
    }

    void add_form_pins(const Draft& draft) {
        side_.form_pins.emplace_back();
        if (draft.forms.size() == 1 && draft.members.size() == 1 && draft.name == circuit_[draft.members.front()].ref) return;
        for (const Draft::Seen& form : draft.forms) {
            auto& pins = side_.form_pins.back().emplace_back();
            for (const WholePin& pin : form.pins) pins.push_back(pin.from.empty() ? std::nullopt : std::optional<PinId>(pin.from.front()));
        }
    }

    int terminal_of(int p, const WholePin& pin, std::map<PinId, int>& seen) {
        const bool stands = pin.state == PinState::traced || pin.state == PinState::nowhere;
        if (!stands || pin.from.empty()) {
            problem_.all_known = false;
            return none;
        }
        auto [at, fresh] = seen.try_emplace(pin.from.front(), side_.terminals() - side_.first[p]);
        if (!fresh) return at->second;
        side_.net.push_back(pin.state == PinState::traced ? net_number(pin.net) : new_net());
        side_.part.push_back(p);
        side_.pins.push_back(pin.from);
        return at->second;
    }

    int new_net() {
        side_.written.emplace_back();
        return static_cast<int>(side_.written.size()) - 1;
    }
    int net_number(NetId net) {
        int& number = side_.net_of[joined_[net.index]];
        if (number == none) number = new_net();
        return number;
    }

    void add_what_it_is(const Draft& draft) {
        const Value* value = nullptr;
        std::string model, taper;
        bool optional = true;
        for (PartId member : draft.members) {
            const Part& part = circuit_[member];
            if (!value) value = part.nominal();
            if (model.empty()) model = part.model;
            if (taper.empty()) taper = part.taper;
            optional = optional && part.fit == Fit::optional;
        }
        side_.value.push_back(numbers_.value(value));
        side_.model.push_back(numbers_.model(model));
        side_.taper.push_back(numbers_.taper(taper));
        side_.leave.push_back(optional ? 0 : costs::part);
    }

    const Circuit& circuit_;
    const bool on_board_;
    Problem& problem_;
    Numbering& numbers_;
    Side& side_;
    const std::vector<int> joined_;
};

// Which type numbers agree, and which some chain of agreements connects.
void settle_models(Problem& problem) {
    const std::size_t n = problem.models.size();
    problem.same_model.assign(n * n, 0);
    Classes families(n);
    std::vector<char> drawn(n, 0), found(n, 0);
    for (int m : problem.drawing.model) if (m != none) drawn[m] = 1;
    for (int m : problem.board.model) if (m != none) found[m] = 1;
    for (std::size_t d = 0; d < n; ++d)
        for (std::size_t f = 0; f < n; ++f) {
            if (!drawn[d] || !found[f]) continue;
            if (!problem.drawing.circuit->kinds.same_type(problem.models[d], problem.models[f])) continue;
            problem.same_model[d * n + f] = 1;
            families.join(d, f);
        }
    for (std::size_t m = 0; m < n; ++m) problem.model_family.push_back(static_cast<int>(families.of(m)));
}

// Whether anything is unknown that the other side may know. A part of a kind without value on either side lacks nothing.
void settle_what_is_known(Problem& problem) {
    std::vector<int> said(problem.kinds.size(), 0);   // bits: value, type number, taper are given by some part of the kind
    auto kind_of = [&](const Side& side, const std::vector<Shape>& shapes, int p) { return shapes[side.shape[p]].forms.front().kind; };
    auto given = [](const Side& side, int p) {
        return (side.value[p] != none) | (side.model[p] != none) << 1 | (side.taper[p] != none) << 2;
    };
    for (int p = 0; p < problem.drawing.parts(); ++p) said[kind_of(problem.drawing, problem.drawn_shapes, p)] |= given(problem.drawing, p);
    for (int q = 0; q < problem.board.parts(); ++q) said[kind_of(problem.board, problem.found_shapes, q)] |= given(problem.board, q);
    for (int p = 0; p < problem.drawing.parts(); ++p)
        if (given(problem.drawing, p) != said[kind_of(problem.drawing, problem.drawn_shapes, p)]) problem.all_known = false;
    for (int q = 0; q < problem.board.parts(); ++q)
        if (given(problem.board, q) != said[kind_of(problem.board, problem.found_shapes, q)]) problem.all_known = false;
}

int part_named(const Side& side, const std::string& name) {
    for (int p = 0; p < side.parts(); ++p) {
        if (side.name[p] == name) return p;
        for (PartId member : side.members[p])
            if ((*side.circuit)[member].ref == name) return p;
    }
    return none;
}

[[noreturn]] void refuse(const HandPair& pair, const std::string& why) {
    throw CommandError("", fmt::format("the pair {} and {} cannot be: {}", pair.drawing, pair.board, why));
}

void bind_by_hand(Problem& problem, const std::vector<HandPair>& pairs) {
    for (const HandPair& pair : pairs) {
        const int p = part_named(problem.drawing, pair.drawing), q = part_named(problem.board, pair.board);
        if (p == none) refuse(pair, fmt::format("the drawing has no part {} that is paired", pair.drawing));
        if (q == none) refuse(pair, fmt::format("the board has no part {} that is paired", pair.board));
        int &to_board = problem.drawing.bound_to[p], &to_drawing = problem.board.bound_to[q];
        if (to_board == q) continue;
        if (to_board != none) refuse(pair, fmt::format("{} is bound to {} already", pair.drawing, problem.board.name[to_board]));
        if (to_drawing != none) refuse(pair, fmt::format("{} is bound to {} already", pair.board, problem.drawing.name[to_drawing]));
        if (problem.maps_of(p, q).kind_cost == none) refuse(pair, "they have not the same number of pins");
        to_board = q;
        to_drawing = p;
        problem.drawing.leave[p] = problem.board.leave[q] = costs::never;
    }
}

}  // namespace

void index_nets(Side& side) {
    const std::size_t nets = side.written.size();
    side.net_first.assign(nets + 1, 0);
    for (int n : side.net) ++side.net_first[n + 1];
    std::partial_sum(side.net_first.begin(), side.net_first.end(), side.net_first.begin());
    side.net_terminals.resize(side.net.size());
    std::vector<int> next(side.net_first.begin(), side.net_first.end() - 1);
    for (int t = 0; t < side.terminals(); ++t) side.net_terminals[next[side.net[t]]++] = t;
}

bool Problem::value_differs(int p, int q) const {
    auto differ = [](int drawn, int found) { return drawn != none && found != none && drawn != found; };
    if (differ(drawing.value[p], board.value[q]) || differ(drawing.taper[p], board.taper[q])) return true;
    const int d = drawing.model[p], f = board.model[q];
    return differ(d, f) && !same_model[static_cast<std::size_t>(d) * models.size() + f];
}

int Problem::pair_cost(int p, int q) const {
    if (drawing.bound_to[p] != q && (drawing.bound_to[p] != none || board.bound_to[q] != none)) return none;
    const int kind_cost = maps_of(p, q).kind_cost;
    if (kind_cost == none) return none;
    const int d = drawing.group[p], f = board.group[q];
    if (d == none && f == none) return kind_cost + (value_differs(p, q) ? costs::value : 0);
    if (d != none && f != none) return none;
    const std::vector<int>& partners = groups[d != none ? d : f].partners;
    return std::find(partners.begin(), partners.end(), d != none ? q : p) == partners.end() ? none : 0;
}

std::unique_ptr<Problem> make_problem(const Circuit& drawing, const Circuit& board, const std::vector<HandPair>& pairs) {
    auto problem = std::make_unique<Problem>();
    Numbering numbers(*problem);
    SideMaker(drawing, board.on, false, *problem, numbers);
    SideMaker(board, "", true, *problem, numbers);
    settle_models(*problem);
    settle_what_is_known(*problem);
    problem->map_table = std::make_shared<Problem::MapTable>();
    problem->map_table->at =
        std::vector<std::atomic<const PinMaps*>>(problem->drawn_shapes.size() * problem->found_shapes.size());
    bind_by_hand(*problem, pairs);
    return problem;
}

}  // namespace tallyboard::detail
