#include "compare/outcome.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "base/text.h"
#include "compare/costs.h"

namespace tallyboard::detail {

std::string part_text(const Side& side, int part) { return side.name[part]; }

std::string terminal_text(const Side& side, int terminal) {
    const auto& pins = side.pins[terminal];
    if (pins.size() == 1) return pin_name(*side.circuit, pins.front());
    return side.name[side.part[terminal]] + "." + (*side.circuit)[pins.front()].name;
}

std::string net_text(const Side& side, int net) {
    if (side.written[net].empty()) return "-";
    for (NetId id : side.written[net])
        if (!(*side.circuit)[id].name.empty()) return (*side.circuit)[id].name;
    return net_name(*side.circuit, side.written[net].front());
}

namespace {

bool share_a_name(const Problem& problem, const std::vector<int>& drawn, const std::vector<int>& found) {
    for (int a : drawn)
        for (NetId d : problem.drawing.written[a]) {
            const std::string& name = (*problem.drawing.circuit)[d].name;
            if (name.empty()) continue;
            for (int x : found)
                for (NetId f : problem.board.written[x])
                    if ((*problem.board.circuit)[f].name == name) return true;
        }
    return false;
}

struct Counted { int drawn, found, n; bool namesakes; std::vector<std::pair<int, int>> terminals; };

bool is_one_to_one(const Pairing& pairing) {
    if (!pairing.composites(false).empty() || !pairing.composites(true).empty()) return false;
    for (int n = 0; n < pairing.problem.drawing.nets(); ++n) if (pairing.cells().cells_of_drawn(n) > 1) return false;
    for (int n = 0; n < pairing.problem.board.nets(); ++n) if (pairing.cells().cells_of_found(n) > 1) return false;
    return true;
}

// All cells of the pairing with their terminals, by the first drawn pin of each in natural order: what is settled by order is then the
// same however the nets are called and wherever they stand in either file. `namesakes` where the two nets share a name.
std::vector<Counted> count_cells(const Problem& problem, const Pairing& pairing, std::vector<int>& terminal_to) {
    struct Gone { int drawn, found, from, to; };   // nets, terminals
    std::vector<Gone> all;
    for (int p = 0; p < problem.drawing.parts(); ++p) {
        const int q = pairing.partner(p);
        if (q == none) continue;
        const PinMaps& maps = problem.maps_of(p, q);
        for (int i = 0; i < maps.terminals; ++i) {
            const int to = maps.map(pairing.map(p))[i];
            if (to == none) continue;
            const int d = problem.drawing.first[p] + i, f = problem.board.first[q] + to;
            terminal_to[d] = f;
            all.push_back({pairing.drawn_net(problem.drawing.net[d]), pairing.found_net(problem.board.net[f]), d, f});
        }
    }
    std::sort(all.begin(), all.end(), [](const Gone& a, const Gone& b) {
        return std::tie(a.drawn, a.found, a.from) < std::tie(b.drawn, b.found, b.from);
    });
    std::vector<Counted> out;
    for (const Gone& gone : all) {
        if (out.empty() || out.back().drawn != gone.drawn || out.back().found != gone.found)
            out.push_back({gone.drawn, gone.found, 0, false, {}});
        ++out.back().n;
        out.back().terminals.push_back({gone.from, gone.to});
    }
    // Where every net goes to one net there is nothing to choose, and no order or name counts.
    if (is_one_to_one(pairing)) return out;
    std::vector<std::vector<int>> drawn_classes(problem.drawing.nets()), found_classes(problem.board.nets());
    for (int n = 0; n < problem.drawing.nets(); ++n) drawn_classes[pairing.drawn_net(n)].push_back(n);
    for (int n = 0; n < problem.board.nets(); ++n) found_classes[pairing.found_net(n)].push_back(n);
    for (Counted& cell : out) cell.namesakes = share_a_name(problem, drawn_classes[cell.drawn], found_classes[cell.found]);
    const auto earlier = [&](int a, int b) { return natural_less(terminal_text(problem.drawing, a), terminal_text(problem.drawing, b)); };
    for (Counted& cell : out) std::stable_sort(cell.terminals.begin(), cell.terminals.end(), [&](const auto& a, const auto& b) { return earlier(a.first, b.first); });
    std::stable_sort(out.begin(), out.end(), [&](const Counted& a, const Counted& b) { return earlier(a.terminals.front().first, b.terminals.front().first); });
    return out;
}

// Nets numbered as the cells come to them, so that a choice among equals does not hang on the nets' places in the files.
int renumber(std::vector<Counted>& cells, int Counted::*net) {
    std::map<int, int> numbers;
    for (Counted& cell : cells) cell.*net = numbers.emplace(cell.*net, static_cast<int>(numbers.size())).first->second;
    return static_cast<int>(numbers.size());
}

// Which cells the least cost keeps: see cells.h for why this is exact.
std::vector<char> choose_kept(const std::vector<Counted>& cells, int drawn_nets, int found_nets) {
    std::vector<char> kept(cells.size(), 0);
    std::vector<int> settled(drawn_nets + found_nets, 0), best_two(drawn_nets + found_nets, none);
    for (std::size_t c = 0; c < cells.size(); ++c)
        if (cells[c].n >= costs::always_kept) {
            settled[cells[c].drawn] = settled[drawn_nets + cells[c].found] = 1;
            kept[c] = 1;
        }
    for (std::size_t c = 0; c < cells.size(); ++c) {
        if (cells[c].n != 2) continue;
        for (int node : {cells[c].drawn, drawn_nets + cells[c].found}) {
            int& best = best_two[node];
            if (!settled[node] && (best == none || (cells[c].namesakes && !cells[best].namesakes))) best = static_cast<int>(c);
        }
    }
    std::vector<MatchEdge> edges;
    std::vector<std::size_t> edge_cell;
    constexpr int whole = 1024;   // namesakes count less than any saving
    for (std::size_t c = 0; c < cells.size(); ++c) {
        const int a = cells[c].drawn, x = drawn_nets + cells[c].found;
        if (cells[c].n >= costs::always_kept || settled[a] || settled[x]) continue;
        const int saves = cells[c].n == 2 ? 2 : (best_two[a] == none) + (best_two[x] == none);
        if (saves == 0) continue;
        edges.push_back({a, x, saves * whole + cells[c].namesakes});
        edge_cell.push_back(c);
    }
    // An edge without a rival is taken; nearly all are. The rest are matched.
    std::vector<int> rivals(settled.size(), 0);
    for (const MatchEdge& edge : edges) ++rivals[edge.row], ++rivals[edge.column];
    std::vector<MatchEdge> contested;
    for (const MatchEdge& edge : edges)
        if (rivals[edge.row] > 1 || rivals[edge.column] > 1) contested.push_back(edge);
    std::vector<char> won;
    greatest_weight_matching(contested, &won);
    std::vector<char> matched(settled.size(), 0), taken;
    for (std::size_t e = 0, next = 0; e < edges.size(); ++e)
        taken.push_back(rivals[edges[e].row] > 1 || rivals[edges[e].column] > 1 ? won[next++] : 1);
    for (std::size_t e = 0; e < edges.size(); ++e)
        if (taken[e]) kept[edge_cell[e]] = matched[edges[e].row] = matched[edges[e].column] = 1;
    for (std::size_t node = 0; node < settled.size(); ++node)
        if (!settled[node] && !matched[node] && best_two[node] != none) kept[best_two[node]] = 1;
    return kept;
}

}  // namespace

Outcome make_outcome(const Problem& problem, const Solution& solution) {
    Outcome out{problem, Pairing(problem), {}, std::vector<int>(problem.drawing.terminals(), none),
                std::vector<int>(problem.drawing.terminals(), none), std::vector<int>(problem.drawing.nets(), none),
                std::vector<int>(problem.board.nets(), none)};
    out.pairing.become(solution);
    auto cells = count_cells(problem, out.pairing, out.terminal_to);
    std::vector<Counted> numbered;   // without the terminals, which the choice does not ask for
    for (const Counted& cell : cells) numbered.push_back({cell.drawn, cell.found, cell.n, cell.namesakes, {}});
    const int drawn_nets = renumber(numbered, &Counted::drawn), found_nets = renumber(numbered, &Counted::found);
    const auto kept = choose_kept(numbered, drawn_nets, found_nets);
    std::vector<char> namesakes;
    for (std::size_t c = 0; c < cells.size(); ++c) {
        if (!kept[c]) continue;
        KeptCell cell{cells[c].drawn, cells[c].found, std::move(cells[c].terminals)};
        for (auto [d, f] : cell.terminals) out.cell_of[d] = static_cast<int>(out.kept.size());
        out.kept.push_back(std::move(cell));
        namesakes.push_back(cells[c].namesakes);
    }
    // The net itself is its greatest piece; of equal pieces the one whose nets share a name, then the first.
    auto prefer = [&](int& main, int c) {
        if (main == none) main = c;
        const std::size_t now = out.kept[c].terminals.size(), best = out.kept[main].terminals.size();
        if (now > best || (now == best && namesakes[c] && !namesakes[main])) main = c;
    };
    for (int c = 0; c < static_cast<int>(out.kept.size()); ++c) {
        prefer(out.main_of_drawn[out.kept[c].drawn], c);
        prefer(out.main_of_found[out.kept[c].found], c);
    }
    return out;
}

}  // namespace tallyboard::detail
