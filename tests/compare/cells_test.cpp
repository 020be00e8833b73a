// What kept and moved terminals cost, against trying every set of kept cells.
#include <algorithm>

#include <catch2/catch.hpp>

#include "compare/cells.h"
#include "support/draft.h"

using namespace tallyboard;
using tallyboard::detail::Cells;
using tallyboard::test::Random;

namespace {

struct Count { int drawn, found, n; };

int least_by_trying_all(const std::vector<Count>& cells) {
    int best = 1 << 20;
    for (unsigned kept = 0; kept < 1u << cells.size(); ++kept) {
        unsigned drawn = 0, found = 0;
        int cost = 0, count = 0;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            if (kept >> i & 1) {
                drawn |= 1u << cells[i].drawn;
                found |= 1u << cells[i].found;
                ++count;
            } else {
                cost += 2 * cells[i].n;
            }
        }
        const int nets = __builtin_popcount(drawn) + __builtin_popcount(found);
        best = std::min(best, cost + 3 * (2 * count - nets));
    }
    return best;
}

}  // namespace

TEST_CASE("the cost of cells is the least over every choice of kept ones, as they come and go") {
    Random random(7);
    for (int round = 0; round < 3000; ++round) {
        const int nets = 2 + static_cast<int>(random.below(4));
        Cells cells(nets, nets);
        std::vector<Count> counts;
        for (std::size_t steps = 1 + random.below(24); steps > 0; --steps) {
            const int drawn = static_cast<int>(random.below(nets)), found = static_cast<int>(random.below(nets));
            auto at = std::find_if(counts.begin(), counts.end(), [&](const Count& c) { return c.drawn == drawn && c.found == found; });
            if (at == counts.end() && counts.size() == 11) continue;
            if (at != counts.end() && random.chance(35)) {
                cells.add(drawn, found, -1);
                if (--at->n == 0) counts.erase(at);
            } else {
                cells.add(drawn, found, 1);
                if (at == counts.end()) counts.push_back({drawn, found, 1});
                else ++at->n;
            }
            if (round % 2 == 1 && random.chance(60)) continue;   // many changes between two questions
            if (cells.cost() != least_by_trying_all(counts)) {
                for (const Count& c : counts) UNSCOPED_INFO(c.drawn << "-" << c.found << ": " << c.n);
                REQUIRE(cells.cost() == least_by_trying_all(counts));
            }
        }
        // And taken back they cost nothing.
        for (const Count& c : counts)
            for (int i = 0; i < c.n; ++i) cells.add(c.drawn, c.found, -1);
        REQUIRE(cells.cost() == 0);
    }
}

TEST_CASE("a single terminal beside a bigger piece is moved, two are split off") {
    Cells cells(1, 2);
    for (int i = 0; i < 3; ++i) cells.add(0, 0, 1);
    CHECK(cells.cost() == 0);
    cells.add(0, 1, 1);
    CHECK(cells.cost() == 2);
    cells.add(0, 1, 1);
    CHECK(cells.cost() == 3);
    cells.add(0, 1, 1);
    CHECK(cells.cost() == 3);
}
