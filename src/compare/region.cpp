#include "compare/region.h"

#include <algorithm>
#include <map>
#include <tuple>

namespace tallyboard::detail {
namespace {

RegionSide side_of(const Side& side, const std::vector<char>& chosen) {
    RegionSide out;
    out.side = &side;
    std::vector<int> number(side.nets(), none);
    for (int p = 0; p < side.parts(); ++p) {
        if (!chosen[p]) {
            out.whole = false;
            continue;
        }
        out.first.push_back(out.terminals());
        for (int t = side.first[p]; t < side.first[p + 1]; ++t) {
            int& net = number[side.net[t]];
            if (net == none) net = out.nets++;
            out.net.push_back(net);
            out.part.push_back(out.count());
        }
        out.parts.push_back(p);
    }
    out.first.push_back(out.terminals());
    out.on.resize(out.nets);
    for (int t = 0; t < out.terminals(); ++t) out.on[out.net[t]].push_back(t);
    out.open.assign(out.nets, 0);
    for (int n = 0; n < side.nets(); ++n)
        if (number[n] != none && static_cast<int>(out.on[number[n]].size()) < side.degree(n)) out.open[number[n]] = 1;
    return out;
}

// Parts outside, one for all that are alike in everything but their nets.
std::vector<int> sorts_outside(const Side& side, const std::vector<char>& chosen) {
    std::vector<int> out;
    std::map<std::tuple<int, int, int, int>, int> met;
    for (int p = 0; p < side.parts(); ++p) {
        if (chosen[p]) continue;
        const bool plain = side.group[p] == none && side.bound_to[p] == none;
        if (!plain || met.try_emplace({side.shape[p], side.value[p], side.model[p], side.taper[p]}, p).second) out.push_back(p);
    }
    return out;
}

void note_outsider(std::vector<Outsider>& list, const PinMaps& maps, int base) {
    for (Outsider& other : list)
        if (other.maps == &maps) {
            other.base = std::min(other.base, base);
            return;
        }
    list.push_back({&maps, base});
}

Region make_region(const Problem& problem, const std::vector<char>& drawn, const std::vector<char>& found) {
    Region region{side_of(problem.drawing, drawn), side_of(problem.board, found), {}, {}, {}};
    for (int p = 0; p < region.drawing.count(); ++p)
        for (int q = 0; q < region.board.count(); ++q) {
            const int from = region.drawing.parts[p], to = region.board.parts[q];
            if (const int base = problem.pair_cost(from, to); base != none) region.candidates.push_back({p, q, base, &problem.maps_of(from, to)});
        }
    region.drawn_out.resize(region.drawing.count());
    region.found_out.resize(region.board.count());
    for (int q : sorts_outside(problem.board, found))
        for (int p = 0; p < region.drawing.count(); ++p)
            if (const int base = problem.pair_cost(region.drawing.parts[p], q); base != none)
                note_outsider(region.drawn_out[p], problem.maps_of(region.drawing.parts[p], q), base);
    for (int p : sorts_outside(problem.drawing, drawn))
        for (int q = 0; q < region.board.count(); ++q)
            if (const int base = problem.pair_cost(p, region.board.parts[q]); base != none)
                note_outsider(region.found_out[q], problem.maps_of(p, region.board.parts[q]), base);
    return region;
}

// Spreads from the differences over nets of few terminals, step by step, partners together.
class Spread {
public:
    Spread(const Problem& problem, const Solution& pairing, int most)
        : problem_(problem), pairing_(problem), most_(most), drawn_(problem.drawing.parts(), 0), found_(problem.board.parts(), 0) {
        pairing_.become(pairing);
        for (int p = 0; p < problem.drawing.parts(); ++p) if (differs(p)) take(false, p);
        for (int q = 0; q < problem.board.parts(); ++q) if (pairing_.partner_of_found(q) == none) take(true, q);
        // First over small nets; over bigger ones when those have led everywhere.
        for (int widest : {6, 12, 1 << 30}) {
            for (std::size_t i = 0; i < reached_.size() && !full(); ++i) {
                const auto [on_board, part] = reached_[i];
                const Side& side = on_board ? problem.board : problem.drawing;
                for (int t = side.first[part]; t < side.first[part + 1] && !full(); ++t) {
                    if (side.degree(side.net[t]) > widest) continue;
                    for (int at = side.net_first[side.net[t]]; at < side.net_first[side.net[t] + 1]; ++at) take(on_board, side.part[side.net_terminals[at]]);
                }
            }
            if (full()) break;
        }
    }
    Region region() const { return make_region(problem_, drawn_, found_); }

private:
    bool full() const { return static_cast<int>(reached_.size()) >= 2 * most_; }

    // Whether a pair costs by itself or a terminal of it does not go along with the most of its net.
    bool differs(int p) const {
        const int q = pairing_.partner(p);
        if (q == none || cost_of_pair(problem_, p, q, pairing_.map(p)) > 0) return true;
        const PinMaps& maps = problem_.maps_of(p, q);
        for (int i = 0; i < maps.terminals; ++i) {
            const int to = maps.map(pairing_.map(p))[i];
            if (to == none) continue;
            const int a = pairing_.drawn_net(problem_.drawing.net[problem_.drawing.first[p] + i]);
            const int x = pairing_.found_net(problem_.board.net[problem_.board.first[q] + to]);
            const int n = pairing_.cells().count(a, x);
            bool lesser = false;
            pairing_.cells().of_drawn(a, [&](const Cells::Cell& cell) { lesser = lesser || (cell.found != x && cell.n >= n); });
            pairing_.cells().of_found(x, [&](const Cells::Cell& cell) { lesser = lesser || (cell.drawn != a && cell.n >= n); });
            if (lesser) return true;
        }
        return false;
    }

    void take(bool on_board, int part) {
        std::vector<char>& chosen = on_board ? found_ : drawn_;
        if (chosen[part]) return;
        chosen[part] = 1;
        reached_.push_back({on_board, part});
        const int partner = on_board ? pairing_.partner_of_found(part) : pairing_.partner(part);
        if (partner != none) take(!on_board, partner);
    }

    const Problem& problem_;
    Pairing pairing_;
    int most_;
    std::vector<char> drawn_, found_;
    std::vector<std::pair<bool, int>> reached_;
};

}  // namespace

Region region_near_differences(const Problem& problem, const Solution& pairing, int most) { return Spread(problem, pairing, most).region(); }

Region whole_region(const Problem& problem) {
    return make_region(problem, std::vector<char>(problem.drawing.parts(), 1), std::vector<char>(problem.board.parts(), 1));
}

}  // namespace tallyboard::detail
