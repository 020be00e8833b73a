#include "publish/pair_graph.h"

#include "base/text.h"
#include "compare/answering.h"
#include "publish/marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace tallyboard {
namespace {

const Pen agreeing{0.2, Ink::faint, Dash::solid}, changed{0.35, Ink::normal, Dash::solid}, drawn_only{0.3, Ink::removed, Dash::dashed},
    found_only{0.6, Ink::added, Dash::solid};

class Building {
public:
    Building(const Circuit& drawing, const Circuit& board, const Comparison& comparison)
        : drawing_(drawing), board_(board), comparison_(comparison), drawn_net_(drawing.nets.size(), none), found_net_(board.nets.size(), none),
          drawn_part_(drawing.parts.size(), none), found_part_(board.parts.size(), none) {}

    Graph made() {
        add_nets();
        add_parts();
        add_edges();
        untie_rails();
        point_onwards();
        graph_.left_to_right = true;
        return std::move(graph_);
    }

private:
    static constexpr std::size_t none = static_cast<std::size_t>(-1);

    std::size_t add(GraphNode node) {
        graph_.nodes.push_back(std::move(node));
        return graph_.nodes.size() - 1;
    }

    // A pair of nets is one node where it is one to one; several pieces of a net stand apart, each found one by itself.
    void add_nets() {
        for (const NetPair& pair : comparison_.nets) {
            if (pair.drawing.empty() || pair.board.empty()) continue;
            const NetId drawn = pair.drawing.front(), found = pair.board.front();
            const std::string a = net_name(drawing_, drawn), b = net_name(board_, found);
            const std::size_t node = add({"net " + a, {a == b ? a : a + " = " + b}, true, agreeing});
            drawn_net_[drawn.index] = found_net_[found.index] = node;
        }
        for (std::size_t i = 0; i < drawn_net_.size(); ++i)
            if (drawn_net_[i] == none && !drawing_.nets[i].pins.empty()) {
                const std::string name = net_name(drawing_, NetId{static_cast<std::uint32_t>(i)});
                drawn_net_[i] = add({"net " + name, {name}, true, drawn_only});
            }
        for (std::size_t i = 0; i < found_net_.size(); ++i)
            if (found_net_[i] == none && !board_.nets[i].pins.empty()) {
                const std::string name = net_name(board_, NetId{static_cast<std::uint32_t>(i)});
                found_net_[i] = add({"net of the board " + name, {name}, true, found_only});
            }
    }

    // What the findings say of a drawn part: "10k, found 12k", "reversed".
    std::vector<std::string> remarks(PartId part) const {
        std::vector<std::string> lines;
        for (const Finding& finding : comparison_.findings) {
            if (finding.cost == 0 || std::find(finding.drawing_parts.begin(), finding.drawing_parts.end(), part) == finding.drawing_parts.end()) continue;
            if (finding.what == What::value || finding.what == What::kind) lines.push_back(fmt::format("{}, found {}", finding.drawn, found_text(board_, finding)));
            else if (finding.what == What::reversed) lines.emplace_back("the other way about");
        }
        return lines;
    }

    void add_parts() {
        for (const PartPair& pair : comparison_.parts) {
            if (drawn_part_[pair.drawing.index] != none) continue;
            const std::string &a = drawing_[pair.drawing].ref, &b = board_[pair.board].ref;
            GraphNode node{"part " + a, {a == b ? a : a + " = " + b}, false, agreeing};
            std::vector<std::string> lines = remarks(pair.drawing);
            if (!lines.empty()) node.pen = changed;
            else if (const std::string value = value_text(drawing_[pair.drawing]); value != "?") lines.push_back(value);
            node.lines.insert(node.lines.end(), lines.begin(), lines.end());
            drawn_part_[pair.drawing.index] = found_part_[pair.board.index] = add(std::move(node));
            for (const auto& pin : pair.board_pins)
                if (pin && found_part_[pin->part.index] == none) found_part_[pin->part.index] = drawn_part_[pair.drawing.index];
        }
        add_lonely(drawing_, drawn_part_, "part ", drawn_only);
        add_lonely(board_, found_part_, "part of the board ", found_only);
    }

    void add_lonely(const Circuit& circuit, std::vector<std::size_t>& nodes, const std::string& prefix, const Pen& pen) {
        for (std::size_t i = 0; i < nodes.size(); ++i) {
            const Part& part = circuit.parts[i];
            if (nodes[i] != none || part.fit == Fit::no || circuit.kind_of(part).conductor) continue;
            GraphNode node{prefix + part.ref, {part.ref}, false, pen};
            if (const std::string value = value_text(part); value != "?") node.lines.push_back(value);
            nodes[i] = add(std::move(node));
        }
    }

    // Nets joined or split stand for one net of the other side: edges to them agree where the pair says so.
    bool same_net(NetId drawn, NetId found) const { return answers(comparison_, drawn, found); }

    void edge(std::size_t part, std::size_t net, const std::string& pin, const Pen& pen) {
        if (part == none || net == none) return;
        graph_.edges.push_back({part, net, pen.ink == Ink::faint ? "" : pin, pen, false});
    }

    void add_edges() {
        std::set<PinId> told;
        for (const PartPair& pair : comparison_.parts) {
            const Part& drawn = drawing_[pair.drawing];
            for (std::uint32_t i = 0; i < drawn.pins.size(); ++i) {
                const Pin& pin = drawn.pins[i];
                const std::optional<PinId> answer = i < pair.board_pins.size() ? pair.board_pins[i] : std::nullopt;
                if (answer) told.insert(*answer);
                const bool drawn_on = pin.state == PinState::traced;
                const bool found_on = answer && board_[*answer].state == PinState::traced;
                const std::size_t node = drawn_part_[pair.drawing.index];
                if (drawn_on && found_on && same_net(pin.net, board_[*answer].net)) {
                    edge(node, found_net_[board_[*answer].net.index], pin.name, agreeing);
                    continue;
                }
                if (drawn_on && !(answer && !found_on)) edge(node, drawn_net_[pin.net.index], pin.name, drawn_only);
                else if (drawn_on) edge(node, drawn_net_[pin.net.index], pin.name + "?", drawn_only);
                if (found_on) edge(node, found_net_[board_[*answer].net.index], pin.name, found_only);
            }
        }
        for (std::uint32_t p = 0; p < drawing_.parts.size(); ++p)
            if (lonely(drawn_part_[p], drawn_only))
                for (const Pin& pin : drawing_.parts[p].pins)
                    if (pin.state == PinState::traced) edge(drawn_part_[p], drawn_net_[pin.net.index], pin.name, drawn_only);
        for (std::uint32_t p = 0; p < board_.parts.size(); ++p)
            for (std::uint32_t i = 0; i < board_.parts[p].pins.size(); ++i) {
                const Pin& pin = board_.parts[p].pins[i];
                if (pin.state == PinState::traced && !told.count({PartId{p}, i}) && lonely(found_part_[p], found_only))
                    edge(found_part_[p], found_net_[pin.net.index], pin.name, found_only);
            }
    }

    // A rail that half the parts hang on would pull the whole picture together: each part gets an end of it to itself, as on a
    // schematic. Rails are nets with more lines than a signal net ever has.
    void untie_rails() {
        constexpr std::size_t most_lines = 6;
        std::vector<std::set<std::size_t>> parts(graph_.nodes.size());
        for (const GraphEdge& edge : graph_.edges) parts[edge.to].insert(edge.from);
        std::map<std::pair<std::size_t, std::size_t>, std::size_t> ends;  // by part and rail
        for (GraphEdge& edge : graph_.edges) {
            const std::size_t rail = edge.to;
            if (parts[rail].size() <= most_lines) continue;
            const auto [end, is_new] = ends.try_emplace({edge.from, rail}, graph_.nodes.size());
            if (is_new) {
                GraphNode node = graph_.nodes[rail];
                node.id += " at " + graph_.nodes[edge.from].id;
                graph_.nodes.push_back(std::move(node));
            }
            edge.to = end->second;
        }
        // The rails themselves have no lines any more.
        std::vector<std::size_t> place(graph_.nodes.size(), none);
        std::vector<GraphNode> kept;
        for (std::size_t i = 0; i < graph_.nodes.size(); ++i) {
            if (i < parts.size() && parts[i].size() > most_lines) continue;
            place[i] = kept.size();
            kept.push_back(std::move(graph_.nodes[i]));
        }
        graph_.nodes = std::move(kept);
        for (GraphEdge& edge : graph_.edges) {
            edge.from = place[edge.from];
            edge.to = place[edge.to];
        }
    }

    // Lines lead away from where the signal comes in, so that the layers of the layout follow it.
    void point_onwards() {
        std::vector<std::vector<std::size_t>> next(graph_.nodes.size());
        for (const GraphEdge& edge : graph_.edges) {
            next[edge.from].push_back(edge.to);
            next[edge.to].push_back(edge.from);
        }
        std::vector<std::size_t> starts;
        if (drawing_.setup && drawing_.setup->source) {
            const std::string id = "net " + net_name(drawing_, drawing_.setup->source->net);
            for (std::size_t i = 0; i < graph_.nodes.size(); ++i)
                if (graph_.nodes[i].id == id) starts.push_back(i);
        }
        for (std::size_t i = 0; i < graph_.nodes.size(); ++i) starts.push_back(i);
        std::vector<std::size_t> reached(graph_.nodes.size(), none);
        std::size_t count = 0;
        for (const std::size_t start : starts) {
            if (reached[start] != none) continue;
            std::vector<std::size_t> queue{start};
            reached[start] = count++;
            for (std::size_t k = 0; k < queue.size(); ++k)
                for (const std::size_t node : next[queue[k]])
                    if (reached[node] == none) {
                        reached[node] = count++;
                        queue.push_back(node);
                    }
        }
        for (GraphEdge& edge : graph_.edges)
            if (reached[edge.from] > reached[edge.to]) std::swap(edge.from, edge.to);
    }

    bool lonely(std::size_t node, const Pen& pen) const { return node != none && graph_.nodes[node].pen.ink == pen.ink; }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    Graph graph_;
    std::vector<std::size_t> drawn_net_, found_net_, drawn_part_, found_part_;  // node of each; none: it has none
};

}  // namespace

Graph pair_graph(const Circuit& drawing, const Circuit& board, const Comparison& comparison) {
    return Building(drawing, board, comparison).made();
}

std::vector<std::string> pair_graph_legend() {
    return {"Boxes are parts, rounded boxes nets: the drawing's name = the board's.",
            "Grey: both sides agree. Black: paired, with another value or kind or turned about.",
            "Dashed: on the drawing alone. Heavy: on the board alone."};
}

}  // namespace tallyboard
