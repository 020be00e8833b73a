// Where everything stands: blocks placed, packed and shared out over sheets, or taken from the places given.
#pragma once

#include <string>
#include <vector>

#include "draw/compose.h"
#include "draw/draw.h"
#include "draw/furniture.h"
#include "draw/model.h"
#include "draw/page.h"

namespace tallyboard::detail {

struct ArrangedSheet { Page page; Paper paper; Scale scale; };
struct Arrangement {
    std::vector<Place> places;         // by item
    std::vector<ArrangedSheet> sheets;
    std::vector<std::string> remarks;
};

// An arrangement to stay near: of a model whose items are called alike. What is new is placed round the rest.
struct Homes { const Model* model = nullptr; const Arrangement* arrangement = nullptr; };

// May cut nets of the model (and number its blocks anew) where a block has to be split or a net finds no way.
Arrangement arrange(Model& model, const Circuit& circuit, const DrawOptions& options, const Homes& homes = {});

}  // namespace tallyboard::detail
