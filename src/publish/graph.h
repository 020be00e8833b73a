// Plain graphs: nodes in boxes, straight lines between them; Graphviz chooses the places, everything is drawn here.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "publish/document.h"

namespace tallyboard {

struct GraphNode {
    std::string id;                    // unique; the order of ids decides ties in the layout
    std::vector<std::string> lines;    // what it says
    bool round = false;                // a net: rounded ends
    Pen pen{0.25, Ink::normal, Dash::solid};
};
struct GraphEdge {
    std::size_t from = 0, to = 0;      // indices of nodes
    std::string label;
    Pen pen{0.25, Ink::normal, Dash::solid};
    bool arrow = false;
};
struct Graph {
    std::vector<GraphNode> nodes;
    std::vector<GraphEdge> edges;
    bool left_to_right = false;
};

// Where the nodes' boxes stand, in millimetres, and how large the whole is. Deterministic: nodes are laid out in the order of their ids.
// CommandError where Graphviz is installed without its layouts.
struct GraphPlaces { std::vector<Box> boxes; double width = 0, height = 0; };
GraphPlaces place_graph(const Graph& graph);

// Draws the graph at `at`, scaled down to fit `width` and `height` where it is larger (0: any size). Returns the box it takes.
Box draw_graph(Page& page, const Graph& graph, const GraphPlaces& places, Point at, double width = 0, double height = 0);

// One page as large as the graph, with its title.
Document graph_document(const std::string& title, const Graph& graph, const std::vector<std::string>& legend = {});

// The graph as Graphviz reads it, for whoever wants to lay it out otherwise.
std::string dot_text(const Graph& graph);

}  // namespace tallyboard
