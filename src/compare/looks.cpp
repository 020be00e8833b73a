#include <algorithm>
#include <map>

#include "base/classes.h"
#include "circuit/symmetry.h"
#include "compare/mix.h"
#include "compare/refine.h"

namespace tallyboard::detail {
namespace {

// Kinds that some package may be either of count as one.
std::vector<int> kind_families(const Problem& problem) {
    Classes families(problem.kinds.size());
    for (const auto* shapes : {&problem.drawn_shapes, &problem.found_shapes})
        for (const Shape& shape : *shapes)
            for (const Form& form : shape.forms) families.join(form.kind, shape.forms.front().kind);
    std::vector<int> out;
    for (std::size_t k = 0; k < families.size(); ++k) out.push_back(static_cast<int>(families.of(k)));
    return out;
}

// What a pin of a form is called across the kinds that may hold it: the section's name for it, and which section's.
struct PinName { std::string name; int section = none; };

std::vector<PinName> pin_names(const Problem& problem, const Form& form) {
    const KindUse& use = problem.kinds[form.kind];
    const Kind& kind = (*use.table)[use.id];
    std::vector<PinName> out;
    for (const std::string& pin : form.pins) out.push_back({pin, none});
    std::vector<int> sections(form.pins.size(), 0);
    for (std::size_t s = 0; s < kind.sections.size(); ++s) {
        if (kind.sections[s].of != 0) continue;
        for (const auto& [own, whole] : kind.sections[s].pins) {
            auto at = std::find(form.pins.begin(), form.pins.end(), whole);
            if (at == form.pins.end()) continue;
            const auto i = static_cast<std::size_t>(at - form.pins.begin());
            out[i] = {own, ++sections[i] == 1 ? static_cast<int>(s) : none};
        }
    }
    // Exchangeable pins are called alike: by the least of their names.
    const auto orders = allowed_orders(*use.table, use.id, form.pins);
    std::vector<PinName> alike = out;
    for (const auto& order : orders)
        for (std::size_t i = 0; i < order.size(); ++i)
            alike[i].name = std::min(alike[i].name, out[order[i]].name);
    // All windings turned at once: the two ends belong together as sections do. Which end is which goes by names, since the
    // files may mention the pins in any order.
    if (orders.size() == 2 && kind.sections.empty() && form.pins.size() > 2)
        for (std::size_t i = 0; i < form.pins.size(); ++i)
            if (orders[1][i] != i) alike[i].section = form.pins[orders[1][i]] < form.pins[i];
    return alike;
}

}  // namespace

std::vector<ShapeLooks> shape_looks(const Problem& problem, const std::vector<Shape>& shapes) {
    const std::vector<int> family = kind_families(problem);
    std::vector<ShapeLooks> out;
    for (const Shape& shape : shapes) {
        const Form& form = shape.forms.front();
        ShapeLooks looks;
        looks.kind = mix(static_cast<std::uint64_t>(family[form.kind]) + 17);
        looks.pins = mix(form.pins.size() + 71);
        looks.terminal.assign(static_cast<std::size_t>(shape.terminals), 0);
        looks.section.assign(static_cast<std::size_t>(shape.terminals), none);
        const auto names = pin_names(problem, form);
        for (std::size_t i = 0; i < names.size(); ++i) {
            if (form.terminal[i] == none) continue;
            looks.terminal[form.terminal[i]] = mix(looks.kind, hash_text(names[i].name));
            looks.section[form.terminal[i]] = names[i].section;
        }
        out.push_back(std::move(looks));
    }
    return out;
}

namespace {

int given(const Side& side, int p) {
    return (side.value[p] != none) | (side.model[p] != none) << 1 | (side.taper[p] != none) << 2;
}

}  // namespace

Looks looks_of(const Problem& problem, const std::vector<ShapeLooks>& drawn, const std::vector<ShapeLooks>& found, bool values) {
    // What some part of a kind lacks does not tell its parts apart.
    std::map<std::uint64_t, int> lacking;
    auto note = [&](const Side& side, const std::vector<ShapeLooks>& looks) {
        for (int p = 0; p < side.parts(); ++p) {
            auto [at, fresh] = lacking.try_emplace(looks[side.shape[p]].kind, given(side, p));
            if (!fresh) at->second &= given(side, p);
        }
    };
    note(problem.drawing, drawn);
    note(problem.board, found);

    auto look = [&](const Side& side, const std::vector<ShapeLooks>& shapes, int p, bool on_board) {
        const ShapeLooks& shape = shapes[side.shape[p]];
        std::uint64_t out = values ? shape.kind : shape.pins;
        if (values) {
            const int known = lacking[shape.kind];
            if (known & 1) out = mix(out, static_cast<std::uint64_t>(side.value[p]) + 3);
            if (known & 2) out = mix(out, static_cast<std::uint64_t>(problem.model_family[side.model[p]]) + 5);
            if (known & 4) out = mix(out, static_cast<std::uint64_t>(side.taper[p]) + 7);
        }
        if (const int bound = side.bound_to[p]; bound != none)
            out = mix(out, mix(on_board ? bound : p, static_cast<std::uint64_t>(on_board ? p : bound) + 11));
        return out;
    };
    Looks out;
    for (int p = 0; p < problem.drawing.parts(); ++p) out.drawing.push_back(look(problem.drawing, drawn, p, false));
    for (int q = 0; q < problem.board.parts(); ++q) out.board.push_back(look(problem.board, found, q, true));
    return out;
}

Looks terminal_looks_of(const Problem& problem, const std::vector<ShapeLooks>& drawn, const std::vector<ShapeLooks>& found) {
    Looks out;
    auto fill = [](const Side& side, const std::vector<ShapeLooks>& shapes, std::vector<std::uint64_t>& looks) {
        for (int p = 0; p < side.parts(); ++p)
            for (std::uint64_t look : shapes[side.shape[p]].terminal) looks.push_back(look);
    };
    fill(problem.drawing, drawn, out.drawing);
    fill(problem.board, found, out.board);
    auto distinct = [](std::vector<std::uint64_t> looks) {
        std::sort(looks.begin(), looks.end());
        looks.erase(std::unique(looks.begin(), looks.end()), looks.end());
        return looks;
    };
    const auto in_drawing = distinct(out.drawing), on_board = distinct(out.board);
    for (std::uint64_t& look : out.drawing) if (!std::binary_search(on_board.begin(), on_board.end(), look)) look = 0;
    for (std::uint64_t& look : out.board) if (!std::binary_search(in_drawing.begin(), in_drawing.end(), look)) look = 0;
    return out;
}

}  // namespace tallyboard::detail
