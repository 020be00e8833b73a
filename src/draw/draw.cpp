#include "draw/draw.h"

#include <stdexcept>

#include "draw/arranging.h"
#include "draw/furniture.h"
#include "draw/prepare.h"
#include "draw/readback.h"

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

Picture draw_picture(const Circuit& circuit, const DrawOptions& options) {
    Model model = prepare(circuit, options.resistor_habit);
    const Arrangement arrangement = arrange(model, circuit, options);
    Picture picture;
    picture.remarks = arrangement.remarks;
    const int count = static_cast<int>(arrangement.sheets.size());
    for (int s = 0; s < count; ++s) {
        const ArrangedSheet& arranged = arrangement.sheets[s];
        Sheet sheet;
        sheet.title = options.fields.title.empty() ? circuit.about.title : options.fields.title;
        add_furniture(sheet, arranged.paper, options.fields, s + 1, count);
        compose(model, arranged.page, arrangement.places, arranged.scale, sheet);
        picture.sheets.push_back(std::move(sheet));
        picture.modules.push_back(arranged.scale.module);
    }
    for (auto [from, to] : model.steps) picture.steps.push_back({model.items[from].label, model.items[to].label});
    picture.placing = placing_of(model, arrangement);
    if (const std::string wrong = wrong_nets(circuit, picture.sheets); !wrong.empty())
        throw std::logic_error("the sheet does not show the circuit: " + wrong);
    return picture;
}

std::vector<Sheet> draw_circuit(const Circuit& circuit, const DrawOptions& options) { return draw_picture(circuit, options).sheets; }

}  // namespace tallyboard
