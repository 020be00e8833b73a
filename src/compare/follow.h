#pragma once

#include <vector>

#include "compare/pairing.h"
#include "compare/surroundings.h"

namespace tallyboard::detail {

struct RunWay {
    int turned = none;                         // the order of pins to begin with; none: the one that suits
    int one_way = none;                        // follow only one of the first part's nets, this one, counted round; none: all
    const std::vector<char>* stay = nullptr;   // drawn parts that do not follow
};

// Takes a part to another partner, or to its own in another order of pins, and lets its neighbours follow, net by net, as far as
// they change theirs: a run of like sections shifts by one, two like blocks change places, a winding turns and what hangs on it
// turns with it. Whoever loses a partner is left free. Adds the drawn parts that were changed to `touched`. Not across rails.
void follow_run(Pairing& pairing, const Surroundings& around, int first, int to, const RunWay& way, std::vector<int>& touched);

}  // namespace tallyboard::detail
