#include "draw/straight_row.h"

#include <algorithm>

namespace tallyboard::detail {

bool straight_row(const Layout& layout, int item, bool level, int but, std::size_t most, std::vector<int>& row) {
    row.assign(1, item);
    for (std::size_t k = 0; k < row.size(); ++k)
        for (int n : layout.nets_of(row[k]))
            for (auto [me, mine] : layout.nets()[n]) {
                if (me != row[k]) continue;
                const Spot at = layout.pin_at(me, mine);
                for (auto [you, yours] : layout.nets()[n]) {
                    const Spot there = layout.pin_at(you, yours);
                    const bool straight = level ? at.y == there.y : at.x == there.x;
                    if (!straight || std::find(row.begin(), row.end(), you) != row.end()) continue;
                    if (you == but || layout.fixed(you)) return false;
                    row.push_back(you);
                    if (row.size() > most) return false;
                }
            }
    return true;
}

}  // namespace tallyboard::detail
