#include "compare/free_colours.h"

#include <algorithm>

#include "base/classes.h"
#include "compare/costs.h"
#include "compare/mix.h"

namespace tallyboard::detail {
namespace {

constexpr std::uint64_t landmark_look = 0x1a4d, torn_look = 0x7042;

}  // namespace

FreeColours::FreeColours(const Problem& problem)
    : place_{std::vector<int>(problem.drawing.parts(), none), std::vector<int>(problem.board.parts(), none)},
      net_place_{std::vector<int>(problem.drawing.nets(), none), std::vector<int>(problem.board.nets(), none)} {}

// The fixed colour of a net that something is paired on; 0 where nothing is. Nets that hang together by cells that are kept
// whatever happens have the same, and a net without such a cell that of its greatest one, if it is its partner's greatest too.
std::uint64_t FreeColours::landmark(const Pairing& pairing, bool on_board, int net) {
    const Cells& cells = pairing.cells();
    if ((on_board ? cells.cells_of_found(net) : cells.cells_of_drawn(net)) == 0) return 0;
    pieces_.assign(1, {on_board, net});
    int first = on_board ? none : net;   // the first drawn net of those that hang together
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
        const auto [found_side, here] = pieces_[i];
        auto visit = [&, found_side = found_side](const Cells::Cell& cell) {
            if (cell.n < costs::always_kept) return;
            const std::pair<bool, int> other{!found_side, found_side ? cell.drawn : cell.found};
            if (std::find(pieces_.begin(), pieces_.end(), other) == pieces_.end()) pieces_.push_back(other);
            if (first == none || cell.drawn < first) first = cell.drawn;
        };
        if (found_side) cells.of_found(here, visit);
        else cells.of_drawn(here, visit);
    }
    if (pieces_.size() > 1) return mix(landmark_look, static_cast<std::uint64_t>(first));

    Cells::Cell greatest;
    auto take = [&](const Cells::Cell& cell) { if (cell.n > greatest.n) greatest = cell; };
    if (on_board) cells.of_found(net, take);
    else cells.of_drawn(net, take);
    bool mutual = true;
    auto look = [&](const Cells::Cell& cell) { mutual = mutual && cell.n <= greatest.n; };
    if (on_board) cells.of_drawn(greatest.drawn, look);
    else cells.of_found(greatest.found, look);
    return mutual ? mix(landmark_look, static_cast<std::uint64_t>(greatest.drawn)) : torn_look;
}

void FreeColours::colour(const Pairing& pairing, const Surroundings& around, const std::vector<int>& parts, bool on_board, bool plain) {
    const Side& side = on_board ? pairing.problem.board : pairing.problem.drawing;
    const auto& looks = on_board ? (plain ? around.found_plain[0] : around.found[0]) : (plain ? around.drawn_plain[0] : around.drawn[0]);
    const auto& terminals = on_board ? around.found_terminals : around.drawn_terminals;
    const auto& hubs = on_board ? around.found_hubs : around.drawn_hubs;
    auto& colours = on_board ? found : drawn;
    std::vector<int> &place = place_[on_board], &net_place = net_place_[on_board];
    auto as = [&](int net) { return on_board ? pairing.found_net(net) : pairing.drawn_net(net); };
    auto look_of = [&](int t) -> std::uint64_t { return plain ? terminals[t] != 0 : terminals[t]; };

    nets_.clear();
    fixed_.clear();
    colours[0].clear();
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const int p = parts[i];
        place[p] = static_cast<int>(i);
        colours[0].push_back(looks[p]);
        for (int t = side.first[p]; t < side.first[p + 1]; ++t) {
            const int n = as(side.net[t]);
            if (net_place[n] != none) continue;
            net_place[n] = static_cast<int>(nets_.size());
            nets_.push_back(n);
            const std::uint64_t mark = landmark(pairing, on_board, n);
            fixed_.push_back(mark != 0 ? mark : hubs[n]);
        }
    }
    now_.resize(nets_.size());
    for (int depth = 1; depth < colour_depths; ++depth) {
        const auto& before = colours[depth - 1];
        for (std::size_t i = 0; i < nets_.size(); ++i) {
            now_[i] = fixed_[i];
            if (now_[i] != 0) continue;
            std::uint64_t sum = 0;
            for (int j = side.net_first[nets_[i]]; j < side.net_first[nets_[i] + 1]; ++j) {
                const int t = side.net_terminals[j], p = side.part[t];
                if (terminals[t] != 0) sum += mix(look_of(t), place[p] == none ? looks[p] : before[place[p]]);
            }
            now_[i] = mix(sum);
        }
        auto& after = colours[depth];
        after.resize(parts.size());
        for (std::size_t i = 0; i < parts.size(); ++i) {
            std::uint64_t sum = 0;
            for (int t = side.first[parts[i]]; t < side.first[parts[i] + 1]; ++t)
                if (terminals[t] != 0) sum += mix(look_of(t), now_[net_place[as(side.net[t])]]);
            after[i] = mix(before[i], sum);
        }
    }
    for (int n : nets_) net_place[n] = none;
    for (int p : parts) place[p] = none;
}

std::vector<int> FreeColours::blocks_of(const Side& side, bool on_board, const std::vector<int>& parts) {
    Classes blocks(parts.size());
    std::vector<int> met, out;
    std::vector<int>& first = net_place_[on_board];   // net -> place of a part on it
    for (std::size_t i = 0; i < parts.size(); ++i)
        for (int t = side.first[parts[i]]; t < side.first[parts[i] + 1]; ++t) {
            const int n = side.net[t];
            if (side.degree(n) > hub_degree) continue;
            if (first[n] == none) {
                first[n] = static_cast<int>(i);
                met.push_back(n);
            } else {
                blocks.join(first[n], i);
            }
        }
    for (int n : met) first[n] = none;
    for (std::size_t i = 0; i < parts.size(); ++i) out.push_back(static_cast<int>(blocks.of(i)));
    return out;
}

void FreeColours::take(const Pairing& pairing, const Surroundings& around, const std::vector<int>& drawn_parts,
                       const std::vector<int>& found_parts, bool plain) {
    colour(pairing, around, drawn_parts, false, plain);
    colour(pairing, around, found_parts, true, plain);
}

}  // namespace tallyboard::detail
