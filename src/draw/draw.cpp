#include "draw/draw.h"

#include <algorithm>
#include <map>
#include <stdexcept>

#include "draw/arranging.h"
#include "draw/furniture.h"
#include "draw/marking.h"
#include "draw/prepare.h"
#include "draw/readback.h"
#include "draw/union.h"

namespace tallyboard {

namespace detail {
namespace {

Placing placing_of(const Model& model, const Arrangement& arrangement) {
    std::vector<int> symbols_of(model.items.size(), 0), sheet_of(model.items.size(), 1);
    for (std::size_t s = 0; s < arrangement.sheets.size(); ++s)
        for (int i : arrangement.sheets[s].page.items) sheet_of[i] = static_cast<int>(s) + 1;
    Placing placing;
    for (std::size_t i = 0; i < model.items.size(); ++i) {
        const Item& item = model.items[i];
        if (item.role == Role::tie) continue;
        const auto same = std::count_if(model.items.begin(), model.items.end(), [&](const Item& other) {
            return other.role != Role::tie && other.part == item.part;
        });
        if (same > 1) continue;
        const Place& place = arrangement.places[i];
        const Pose pose = item.standpoints[place.standpoint].pose;
        placing.push_back({item.ref, Stands{static_cast<double>(place.x), static_cast<double>(place.y), pose.quarter(), pose.flipped(),
                                            sheet_of[i], {}}});
    }
    return placing;
}

}  // namespace
}  // namespace detail

using namespace detail;

namespace {

// Ties of a net that goes on on another sheet tell where: "TREM 2/B3".
void refer(const Model& model, Arrangement& arrangement) {
    struct Elsewhere { std::size_t sheet; std::string zone; };
    std::map<int, std::vector<Elsewhere>> places;
    for (std::size_t s = 0; s < arrangement.sheets.size(); ++s)
        for (const PageTie& tie : arrangement.sheets[s].page.ties)
            if (model.nets[tie.net].referred)
                places[tie.net].push_back({s, zone_of(arrangement.sheets[s].paper, arrangement.sheets[s].scale(tie.at))});
    for (std::size_t s = 0; s < arrangement.sheets.size(); ++s)
        for (PageTie& tie : arrangement.sheets[s].page.ties)
            for (const Elsewhere& other : places[tie.net])
                if (other.sheet != s && tie.text.empty())
                    tie.text = model.nets[tie.net].printed + " " + std::to_string(other.sheet + 1) + "/" + other.zone;
}

// The sheets of an arrangement, `annotations` drawn where there are any.
Picture composed(const Circuit& circuit, const Model& model, const Arrangement& arrangement, const DrawOptions& options,
                 const Annotations* annotations) {
    Picture picture;
    picture.remarks = arrangement.remarks;
    SheetFields fields = options.fields;
    const int count = static_cast<int>(arrangement.sheets.size());
    for (int s = 0; s < count; ++s) {
        const ArrangedSheet& arranged = arrangement.sheets[s];
        Sheet sheet;
        sheet.title = fields.title.empty() ? circuit.about.title : fields.title;
        compose(model, arranged.page, arrangement.places, arranged.scale, sheet);
        if (annotations)
            for (const auto& [number, at] : add_marks({&model, &arranged.page, &arrangement.places, arranged.scale, &sheet,
                                                       field_of(arranged.paper, fields)}, *annotations))
                if (number >= 1 && number <= static_cast<int>(fields.revisions.size()))
                    fields.revisions[number - 1].zone = (count > 1 ? std::to_string(s + 1) + "/" : "") + zone_of(arranged.paper, at);
        picture.sheets.push_back(std::move(sheet));
        picture.modules.push_back(arranged.scale.module);
    }
    for (int s = 0; s < count; ++s) add_furniture(picture.sheets[s], arrangement.sheets[s].paper, fields, s + 1, count);
    for (auto [from, to] : model.steps) picture.steps.push_back({model.items[from].label, model.items[to].label});
    picture.placing = placing_of(model, arrangement);
    if (const std::string wrong = wrong_nets(circuit, picture.sheets); !wrong.empty())
        throw std::logic_error("the sheet does not show the circuit: " + wrong);
    return picture;
}

// The words of the marks used, in the legend's order.
std::vector<std::string> legend_of(const Annotations& annotations) {
    std::vector<std::string> used;
    for (const std::string& name : legend_names())
        if (std::any_of(annotations.marks.begin(), annotations.marks.end(), [&](const Mark& mark) { return mark_word(mark.kind) == name; }))
            used.push_back(name);
    return used;
}

std::vector<Correction> corrections_of(const Annotations& annotations) {
    std::vector<Correction> corrections;
    for (const Mark& mark : annotations.marks) {
        if (mark.kind == MarkKind::value) corrections.push_back({mark.ref, 1, mark.old_text, mark.new_text});
        // A part that stands as found shows its kind by its symbol.
        const bool shown = std::any_of(annotations.as_found.begin(), annotations.as_found.end(), [&](const AsFound& found) {
            return found.ref == mark.ref && !found.kind.empty();
        });
        if (mark.kind == MarkKind::kind && !shown) corrections.push_back({mark.ref, 2, mark.old_text, mark.new_text});
    }
    return corrections;
}

}  // namespace

Picture draw_picture(const Circuit& circuit, const DrawOptions& options) {
    Model model = prepare(circuit, options.resistor_habit);
    Arrangement arrangement = arrange(model, circuit, options);
    refer(model, arrangement);
    return composed(circuit, model, arrangement, options, nullptr);
}

std::vector<Sheet> draw_circuit(const Circuit& circuit, const DrawOptions& options) { return draw_picture(circuit, options).sheets; }

Picture draw_annotated(const Circuit& drawing, const Annotations& annotations, const DrawOptions& options) {
    const Circuit circuit = united(drawing, annotations);
    DrawOptions marked = options;
    if (marked.fields.legend.empty()) marked.fields.legend = legend_of(annotations);
    Model model = prepare(circuit, options.resistor_habit, corrections_of(annotations));
    // The drawing as it would stand alone comes first, so that it is known again in the marked one.
    Model alone = prepare(drawing, options.resistor_habit);
    const bool any_given = std::any_of(drawing.parts.begin(), drawing.parts.end(), [](const Part& part) { return part.stands.has_value(); });
    Arrangement first;
    Homes homes;
    if (!any_given && !alone.items.empty()) {
        first = arrange(alone, drawing, marked);
        homes = {&alone, &first};
    }
    Arrangement arrangement = arrange(model, circuit, marked, homes);
    refer(model, arrangement);
    const Annotations called_as_found = with_found_pins(annotations);
    return composed(circuit, model, arrangement, marked, &called_as_found);
}

}  // namespace tallyboard
