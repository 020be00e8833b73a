#include "compare/refine.h"

#include <algorithm>
#include <string_view>
#include <unordered_map>

#include "compare/mix.h"

namespace tallyboard::detail {
namespace {

// Both circuits as one graph: parts, sections and nets of the drawing, then those of the board. Edges carry the look of the
// terminal they stand for.
struct Graph {
    int drawn_vertices = 0;
    std::vector<std::uint64_t> look;
    struct Edge { std::uint64_t label; int to; };     // label: mixed, and odd
    std::vector<int> first;
    std::vector<Edge> edges;                          // of vertex v: first[v] … first[v + 1] - 1
    std::vector<int> part_vertex[2], net_vertex[2];   // by side; none: the net has no terminal that counts
    std::vector<int> part_of;                         // vertex -> part, none for others
    int vertices() const { return static_cast<int>(look.size()); }
};

constexpr std::uint64_t section_look = 0x5ec7, net_look = 0x6e7;

class GraphMaker {
public:
    explicit GraphMaker(const Problem& problem) : problem_(problem) {
        const auto drawn = shape_looks(problem, problem.drawn_shapes), found = shape_looks(problem, problem.found_shapes);
        const Looks parts = looks_of(problem, drawn, found, true), terminals = terminal_looks_of(problem, drawn, found);
        add(0, problem.drawing, drawn, parts.drawing, terminals.drawing);
        graph_.drawn_vertices = graph_.vertices();
        add(1, problem.board, found, parts.board, terminals.board);
        pack();
    }
    Graph graph() { return std::move(graph_); }

private:
    struct Edge { int a, b; std::uint64_t label; };

    int vertex(std::uint64_t look, int part) {
        graph_.look.push_back(look);
        graph_.part_of.push_back(part);
        return graph_.vertices() - 1;
    }

    void add(int side_index, const Side& side, const std::vector<ShapeLooks>& shapes, const std::vector<std::uint64_t>& parts,
             const std::vector<std::uint64_t>& terminals) {
        auto& net_vertex = graph_.net_vertex[side_index];
        net_vertex.assign(side.nets(), none);
        for (int p = 0; p < side.parts(); ++p) graph_.part_vertex[side_index].push_back(vertex(parts[p], p));
        std::vector<std::pair<int, int>> sections;   // of one part: section, vertex
        for (int p = 0; p < side.parts(); ++p) {
            sections.clear();
            const ShapeLooks& shape = shapes[side.shape[p]];
            for (int t = side.first[p]; t < side.first[p + 1]; ++t) {
                if (terminals[t] == 0) continue;
                int& net = net_vertex[side.net[t]];
                if (net == none) net = vertex(net_look, none);
                int from = graph_.part_vertex[side_index][p];
                if (const int section = shape.section[t - side.first[p]]; section != none) {
                    auto at = std::find_if(sections.begin(), sections.end(), [&](auto& s) { return s.first == section; });
                    if (at == sections.end()) {
                        sections.push_back({section, vertex(section_look, none)});
                        at = sections.end() - 1;
                        edges_.push_back({from, at->second, mix(section_look)});
                    }
                    from = at->second;
                }
                edges_.push_back({from, net, terminals[t]});
            }
        }
    }

    void pack() {
        graph_.first.assign(graph_.look.size() + 1, 0);
        for (const Edge& edge : edges_) ++graph_.first[edge.a + 1], ++graph_.first[edge.b + 1];
        for (int v = 0; v < graph_.vertices(); ++v) graph_.first[v + 1] += graph_.first[v];
        graph_.edges.resize(2 * edges_.size());
        std::vector<int> next(graph_.first.begin(), graph_.first.end() - 1);
        for (const Edge& edge : edges_) {
            const std::uint64_t label = mix(edge.label) | 1;
            graph_.edges[next[edge.a]++] = {label, edge.b};
            graph_.edges[next[edge.b]++] = {label, edge.a};
        }
    }

    const Problem& problem_;
    Graph graph_;
    std::vector<Edge> edges_;
};

// An ordered partition of the graph's vertices, refined until every member of a cell has the same edges into every cell.
// Source: Paige, Tarjan 1987; Berkholz, Bonsma, Grohe 2017 (all but the largest fragment wait to split others).
class Partition {
public:
    explicit Partition(const Graph& graph)
        : graph_(graph), vertices_(graph.look.size()), order_(graph.look.size()), end_(order_.size()), waiting_(order_.size(), 0) {
        std::vector<std::pair<std::uint64_t, int>> looks(order_.size());
        for (int v = 0; v < graph.vertices(); ++v) looks[v] = {graph.look[v], v};
        std::sort(looks.begin(), looks.end());
        for (int i = 0; i < graph.vertices(); ++i) order_[i] = looks[i].second;
        for (int at = 0; at < graph.vertices();) {
            int end = at;
            while (end < graph.vertices() && looks[end].first == looks[at].first) ++end;
            make_cell(at, end);
            wait(at);
            at = end;
        }
    }

    // False as soon as a cell holds more of one side than of the other.
    bool refine() {
        while (balanced_ && !queue_.empty()) {
            const int start = queue_.back();
            queue_.pop_back();
            waiting_[start] = 0;
            split_by(start);
        }
        return balanced_;
    }

    int cell_end(int start) const { return end_[start]; }
    int at(int place) const { return order_[place]; }
    int cell_of(int v) const { return vertices_[v].cell; }
    long splits() const { return splits_; }

    // Sets one member of each side apart from the rest of their cell, at its end; both are queued unless `quietly`.
    void set_apart(int drawn, int found, bool quietly) {
        const int start = vertices_[drawn].cell, end = end_[start];
        move_to(drawn, end - 2);
        move_to(found, end - 1);
        make_cell(start, end - 2);
        make_cell(end - 2, end);
        if (!quietly) wait(end - 2);
    }

private:
    void make_cell(int start, int end) {
        int drawn = 0;
        for (int i = start; i < end; ++i) {
            vertices_[order_[i]].place = i;
            vertices_[order_[i]].cell = start;
            drawn += order_[i] < graph_.drawn_vertices;
        }
        end_[start] = end;
        if (2 * drawn != end - start) balanced_ = false;
    }
    void move_to(int v, int place) {
        const int other = order_[place], from = vertices_[v].place;
        std::swap(order_[from], order_[place]);
        vertices_[other].place = from;
        vertices_[v].place = place;
    }
    void wait(int start) {
        if (waiting_[start]) return;
        waiting_[start] = 1;
        queue_.push_back(start);
    }

    void split_by(int start) {
        touched_.clear();
        for (int i = start; i < end_[start]; ++i)
            for (int v = order_[i], e = graph_.first[v]; e < graph_.first[v + 1]; ++e) {
                const Graph::Edge& edge = graph_.edges[e];
                Vertex& w = vertices_[edge.to];
                if (w.sum == 0) touched_.push_back({w.cell, 0, edge.to});
                w.sum += edge.label;
            }
        for (Touched& t : touched_) {
            t.sum = vertices_[t.vertex].sum;
            vertices_[t.vertex].sum = 0;
        }
        std::sort(touched_.begin(), touched_.end());
        for (std::size_t i = 0; i < touched_.size() && balanced_;) {
            std::size_t end = i;
            while (end < touched_.size() && touched_[end].cell == touched_[i].cell) ++end;
            split_cell(i, end);
            i = end;
        }
    }

    // touched_[from, to) are those members of one cell that the splitter reaches, by rising sum.
    void split_cell(std::size_t from, std::size_t to) {
        const int start = touched_[from].cell, end = end_[start];
        const int reached = static_cast<int>(to - from);
        if (reached == end - start && touched_[from].sum == touched_[to - 1].sum) return;
        ++splits_;
        int place = end - reached;
        for (std::size_t i = from; i < to; ++i) move_to(touched_[i].vertex, place++);
        fragments_.clear();
        if (reached < end - start) fragments_.push_back(start);
        place = end - reached;
        for (std::size_t i = from; i < to; ++i, ++place)
            if (i == from || touched_[i].sum != touched_[i - 1].sum) fragments_.push_back(place);
        fragments_.push_back(end);
        std::size_t largest = 0;
        for (std::size_t f = 0; f + 1 < fragments_.size(); ++f)
            if (fragments_[f + 1] - fragments_[f] > fragments_[largest + 1] - fragments_[largest]) largest = f;
        const bool all = waiting_[start] != 0;
        for (std::size_t f = 0; f + 1 < fragments_.size(); ++f) {
            // What stays where it was keeps its number; it is balanced if the others are.
            if (fragments_[f] == start) end_[start] = fragments_[f + 1];
            else make_cell(fragments_[f], fragments_[f + 1]);
            if (all || f != largest) wait(fragments_[f]);
        }
    }

    struct Vertex { std::uint64_t sum = 0; int cell = 0, place = 0; };
    struct Touched {
        int cell;
        std::uint64_t sum;
        int vertex;
        friend auto operator<=>(const Touched&, const Touched&) = default;
    };

    const Graph& graph_;
    std::vector<Vertex> vertices_;
    std::vector<int> order_, end_;
    std::vector<char> waiting_;
    std::vector<Touched> touched_;
    std::vector<int> queue_, fragments_;
    bool balanced_ = true;
    long splits_ = 0;
};

// Which of a cell's members to set apart together: of equal reference if there are such, else the first of each side.
class Chooser {
public:
    Chooser(const Problem& problem, const Graph& graph) : graph_(graph), namesake_(graph.drawn_vertices, none) {
        std::unordered_map<std::string_view, int> found;
        for (int q = 0; q < problem.board.parts(); ++q) found.emplace(problem.board.name[q], graph.part_vertex[1][q]);
        for (int p = 0; p < problem.drawing.parts(); ++p)
            if (auto at = found.find(problem.drawing.name[p]); at != found.end()) namesake_[graph.part_vertex[0][p]] = at->second;
        name_nets(problem);
    }
    // With `by_name`: {none, none} where no two members are namesakes.
    std::pair<int, int> choose(const Partition& cells, int start, bool by_name) const {
        int drawn = none, board = none;
        for (int i = start; i < cells.cell_end(start); ++i) {
            const int v = cells.at(i);
            if (v >= graph_.drawn_vertices) {
                if (board == none || v < board) board = v;
                continue;
            }
            if (namesake_[v] != none && cells.cell_of(namesake_[v]) == start) return {v, namesake_[v]};
            if (drawn == none || v < drawn) drawn = v;
        }
        return by_name ? std::pair{none, none} : std::pair{drawn, board};
    }

private:
    void name_nets(const Problem& problem) {
        std::unordered_map<std::string_view, int> found;
        for (int n = 0; n < problem.board.nets(); ++n)
            if (graph_.net_vertex[1][n] != none)
                for (NetId net : problem.board.written[n]) found.emplace((*problem.board.circuit)[net].name, graph_.net_vertex[1][n]);
        for (int n = 0; n < problem.drawing.nets(); ++n)
            if (graph_.net_vertex[0][n] != none)
                for (NetId net : problem.drawing.written[n])
                    if (auto at = found.find((*problem.drawing.circuit)[net].name); at != found.end() && !at->first.empty())
                        namesake_[graph_.net_vertex[0][n]] = at->second;
    }
    const Graph& graph_;
    std::vector<int> namesake_;
};

enum class Walk { parts_by_name, all_by_name, parts, all };

// Sets members of those cells apart that the walk is for, until each holds one of each side.
bool tell_apart(const Graph& graph, const Chooser& chooser, Partition& cells, Walk walk) {
    const bool parts_only = walk == Walk::parts_by_name || walk == Walk::parts;
    const bool by_name = walk == Walk::parts_by_name || walk == Walk::all_by_name;
    for (int start = 0; start < graph.vertices();) {
        const bool skip = parts_only && graph.part_of[cells.at(start)] == none;
        const auto [drawn, found] = skip || cells.cell_end(start) - start == 2 ? std::pair{none, none} : chooser.choose(cells, start, by_name);
        if (drawn == none) {
            start = cells.cell_end(start);
            continue;
        }
        const long before = cells.splits();
        cells.set_apart(drawn, found, false);
        if (!cells.refine()) return false;
        // If that told nothing else apart, the rest of the cell are twins: any order will do, and none is worth a refinement.
        while (cells.splits() == before && cells.cell_end(start) - start > 2) {
            const auto [p, q] = chooser.choose(cells, start, false);
            cells.set_apart(p, q, true);
        }
    }
    return true;
}

// As the format settles ties: by equal references, then by equal names of nets, then by the order of the files.
bool tell_all_apart(const Graph& graph, const Chooser& chooser, Partition& cells) {
    for (Walk walk : {Walk::parts_by_name, Walk::all_by_name, Walk::parts, Walk::all})
        if (!tell_apart(graph, chooser, cells, walk)) return false;
    return true;
}

}  // namespace

std::optional<Solution> refine_together(const Problem& problem) {
    if (problem.drawing.parts() != problem.board.parts()) return std::nullopt;
    const Graph graph = GraphMaker(problem).graph();
    if (graph.vertices() != 2 * graph.drawn_vertices) return std::nullopt;
    Partition cells(graph);
    const Chooser chooser(problem, graph);
    if (!cells.refine() || !tell_all_apart(graph, chooser, cells)) return std::nullopt;

    // Every cell is one and one now.
    auto other = [&](int v) {
        const int start = cells.cell_of(v);
        return cells.at(start) == v ? cells.at(start + 1) : cells.at(start);
    };
    std::vector<int> net_of(problem.drawing.nets(), none), net_at(graph.vertices(), none);
    for (int n = 0; n < problem.board.nets(); ++n)
        if (const int v = graph.net_vertex[1][n]; v != none) net_at[v] = n;
    for (int n = 0; n < problem.drawing.nets(); ++n)
        if (const int v = graph.net_vertex[0][n]; v != none) net_of[n] = net_at[other(v)];

    Pairing pairing(problem);
    for (int p = 0; p < problem.drawing.parts(); ++p) {
        const int q = graph.part_of[other(graph.part_vertex[0][p])];
        if (q == none || problem.pair_cost(p, q) == none) return std::nullopt;
        const PinMaps& maps = problem.maps_of(p, q);
        int best = 0, most = -1;
        for (int k = 0; k < maps.count && most < maps.terminals; ++k) {
            int agreeing = 0;
            for (int i = 0; i < maps.terminals; ++i) {
                const int to = maps.map(k)[i], n = net_of[problem.drawing.net[problem.drawing.first[p] + i]];
                agreeing += to == none || n == none || problem.board.net[problem.board.first[q] + to] == n;
            }
            if (agreeing > most) most = agreeing, best = k;
        }
        pairing.pair(p, q, best);
    }
    return pairing.solution();
}

}  // namespace tallyboard::detail
