#include "compare/surroundings.h"

#include <algorithm>
#include <map>
#include <string_view>
#include <unordered_map>

#include "compare/mix.h"

namespace tallyboard::detail {
namespace {

using Histogram = std::map<std::uint64_t, int>;

Histogram histogram_of(const Side& side, int net, const std::vector<std::uint64_t>& parts, const std::vector<std::uint64_t>& terminals) {
    Histogram out;
    for (int i = side.net_first[net]; i < side.net_first[net + 1]; ++i) {
        const int t = side.net_terminals[i];
        if (terminals[t] != 0) ++out[mix(parts[side.part[t]], terminals[t])];
    }
    return out;
}

int overlap(const Histogram& a, const Histogram& b) {
    int out = 0;
    for (const auto& [look, n] : a)
        if (auto at = b.find(look); at != b.end()) out += std::min(n, at->second);
    return out;
}

struct HubMatch { std::vector<std::uint64_t> drawn, found; };   // net -> its fixed colour; 0: no hub

// Hubs are paired where one partner is clearly the best on both sides; the others keep one colour in common.
HubMatch match_hubs(const Problem& problem, const Looks& parts, const Looks& terminals) {
    struct Hub { int net; Histogram looks; };
    auto hubs_of = [](const Side& side, const std::vector<std::uint64_t>& look, const std::vector<std::uint64_t>& pin) {
        std::vector<Hub> out;
        for (int n = 0; n < side.nets(); ++n)
            if (side.degree(n) > hub_degree) out.push_back({n, histogram_of(side, n, look, pin)});
        std::stable_sort(out.begin(), out.end(), [&](const Hub& a, const Hub& b) { return side.degree(a.net) > side.degree(b.net); });
        return out;
    };
    const auto drawn = hubs_of(problem.drawing, parts.drawing, terminals.drawing);
    const auto found = hubs_of(problem.board, parts.board, terminals.board);
    HubMatch out{std::vector<std::uint64_t>(problem.drawing.nets(), 0), std::vector<std::uint64_t>(problem.board.nets(), 0)};
    for (const Hub& hub : drawn) out.drawn[hub.net] = 0x4b;
    for (const Hub& hub : found) out.found[hub.net] = 0x4b;

    // Only the greatest are told apart: comparing all would take the square of their number.
    constexpr std::size_t most = 300;
    const std::size_t rows = std::min(drawn.size(), most), columns = std::min(found.size(), most);
    std::vector<std::vector<double>> share(rows, std::vector<double>(columns, 0));
    for (std::size_t i = 0; i < rows; ++i)
        for (std::size_t j = 0; j < columns; ++j)
            share[i][j] = 2.0 * overlap(drawn[i].looks, found[j].looks) /
                          (problem.drawing.degree(drawn[i].net) + problem.board.degree(found[j].net));
    std::vector<char> row_done(rows, 0), column_done(columns, 0);
    for (std::size_t round = 0; round < std::min(rows, columns); ++round) {
        std::size_t row = rows, column = columns;
        double best = 0.4;
        for (std::size_t i = 0; i < rows; ++i)
            for (std::size_t j = 0; j < columns; ++j)
                if (!row_done[i] && !column_done[j] && share[i][j] > best) best = share[i][j], row = i, column = j;
        if (row == rows) break;
        double rival = 0;
        for (std::size_t j = 0; j < columns; ++j) if (j != column && !column_done[j]) rival = std::max(rival, share[row][j]);
        for (std::size_t i = 0; i < rows; ++i) if (i != row && !row_done[i]) rival = std::max(rival, share[i][column]);
        row_done[row] = column_done[column] = 1;
        const bool big = problem.drawing.degree(drawn[row].net) > 4 * hub_degree;
        if (rival > best - 0.1 && !(big && rival < best)) continue;
        out.drawn[drawn[row].net] = out.found[found[column].net] = mix(0x4b, round + 1);
    }
    // A big hub without a partner that is all but contained in one that has: a piece of a rail that is split or joined.
    auto adopt = [&](bool on_board) {
        const auto &pieces = on_board ? found : drawn, &wholes = on_board ? drawn : found;
        auto &colours = on_board ? out.found : out.drawn;
        const auto& others = on_board ? out.drawn : out.found;
        const Side& side = on_board ? problem.board : problem.drawing;
        for (std::size_t i = 0; i < std::min(pieces.size(), most); ++i) {
            const int degree = side.degree(pieces[i].net);
            if (colours[pieces[i].net] != 0x4b || degree <= 4 * hub_degree) continue;
            double best = 0.8;
            for (std::size_t j = 0; j < std::min(wholes.size(), most); ++j) {
                if (others[wholes[j].net] == 0x4b) continue;
                const double inside = 1.0 * overlap(pieces[i].looks, wholes[j].looks) / degree;
                if (inside > best) best = inside, colours[pieces[i].net] = others[wholes[j].net];
            }
        }
    };
    adopt(true);
    adopt(false);
    return out;
}

void colour_in_steps(const Side& side, const std::vector<std::uint64_t>& terminals, const std::vector<std::uint64_t>& hubs,
                     std::array<std::vector<std::uint64_t>, colour_depths>& colours,
                     std::array<std::vector<std::uint64_t>, colour_depths>& nets) {
    for (int depth = 1; depth < colour_depths; ++depth) {
        const auto& before = colours[depth - 1];
        auto& net = nets[depth];
        net.resize(side.nets());
        for (int n = 0; n < side.nets(); ++n) {
            if (hubs[n] != 0) {
                net[n] = hubs[n];
                continue;
            }
            std::uint64_t sum = 0;
            for (int i = side.net_first[n]; i < side.net_first[n + 1]; ++i) {
                const int t = side.net_terminals[i];
                if (terminals[t] != 0) sum += mix(terminals[t], before[side.part[t]]);
            }
            net[n] = mix(sum);
        }
        auto& now = colours[depth];
        now.resize(before.size());
        for (int p = 0; p < side.parts(); ++p) {
            std::uint64_t sum = 0;
            for (int t = side.first[p]; t < side.first[p + 1]; ++t)
                if (terminals[t] != 0) sum += mix(terminals[t], net[side.net[t]]);
            now[p] = mix(before[p], sum);
        }
    }
}

}  // namespace

bool Surroundings::references_kept() const {
    int namesakes = 0, alike = 0;
    for (std::size_t p = 0; p < drawn_namesake.size(); ++p) {
        if (drawn_namesake[p] == none) continue;
        ++namesakes;
        alike += likeness(static_cast<int>(p), drawn_namesake[p]) >= 0;
    }
    return namesakes > 0 && 3 * alike >= 2 * namesakes;
}

int Surroundings::likeness(int p, int q) const {
    int depth = -1;
    while (depth + 1 < colour_depths && drawn[depth + 1][p] == found[depth + 1][q]) ++depth;
    return depth;
}

int Surroundings::net_likeness(int drawn_net, int found_net) const {
    int depth = 0;
    while (depth + 1 < colour_depths && drawn_nets[depth + 1][drawn_net] == found_nets[depth + 1][found_net]) ++depth;
    return depth;
}

Surroundings look_around(const Problem& problem) {
    const auto drawn_shapes = shape_looks(problem, problem.drawn_shapes), found_shapes = shape_looks(problem, problem.found_shapes);
    const Looks parts = looks_of(problem, drawn_shapes, found_shapes, true);
    const Looks plain = looks_of(problem, drawn_shapes, found_shapes, false);
    const Looks terminals = terminal_looks_of(problem, drawn_shapes, found_shapes);
    const HubMatch hubs = match_hubs(problem, parts, terminals);

    Surroundings out;
    out.drawn[0] = parts.drawing;
    out.found[0] = parts.board;
    colour_in_steps(problem.drawing, terminals.drawing, hubs.drawn, out.drawn, out.drawn_nets);
    colour_in_steps(problem.board, terminals.board, hubs.found, out.found, out.found_nets);
    // Without kind and value, terminals are told apart by nothing but hubs.
    auto alike = [](std::vector<std::uint64_t> looks) {
        for (std::uint64_t& look : looks) look = look != 0;
        return looks;
    };
    out.drawn_plain[0] = plain.drawing;
    out.found_plain[0] = plain.board;
    std::array<std::vector<std::uint64_t>, colour_depths> unused;
    colour_in_steps(problem.drawing, alike(terminals.drawing), hubs.drawn, out.drawn_plain, unused);
    colour_in_steps(problem.board, alike(terminals.board), hubs.found, out.found_plain, unused);

    std::vector<std::uint64_t> looks = out.drawn[0];
    std::sort(looks.begin(), looks.end());
    for (std::uint64_t look : out.drawn[0]) {
        const auto [from, to] = std::equal_range(looks.begin(), looks.end(), look);
        out.common.push_back(static_cast<std::size_t>(to - from));
    }
    out.drawn_terminals = terminals.drawing;
    out.found_terminals = terminals.board;
    out.drawn_hubs = hubs.drawn;
    out.found_hubs = hubs.found;

    std::unordered_map<std::string_view, int> names;
    for (int q = 0; q < problem.board.parts(); ++q) names.emplace(problem.board.name[q], q);
    for (const std::string& name : problem.drawing.name) {
        auto at = names.find(name);
        out.drawn_namesake.push_back(at == names.end() ? none : at->second);
    }
    names.clear();
    for (int n = 0; n < problem.board.nets(); ++n)
        for (NetId net : problem.board.written[n]) names.emplace((*problem.board.circuit)[net].name, n);
    out.net_namesake.assign(problem.drawing.nets(), none);
    for (int n = 0; n < problem.drawing.nets(); ++n)
        for (NetId net : problem.drawing.written[n]) {
            auto at = names.find((*problem.drawing.circuit)[net].name);
            if (at != names.end() && !at->first.empty() && out.net_namesake[n] == none) out.net_namesake[n] = at->second;
        }
    return out;
}

}  // namespace tallyboard::detail
