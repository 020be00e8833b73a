#include "publish/graph.h"

#include "base/diagnostic.h"
#include "base/number_text.h"
#include "base/text.h"
#include "publish/text_pages.h"

#include <fmt/format.h>
#include <gvc.h>

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numeric>

namespace tallyboard {
namespace {

constexpr double text_size = 2.8, line_pitch = 3.6, label_size = 2.3;
constexpr double millimetres_a_point = 25.4 / 72;

double width_of(const GraphNode& node) {
    double width = 4;
    for (const std::string& line : node.lines) width = std::max(width, text_width(line, Face::text, text_size) + 3);
    return width + (node.round ? 2 : 0);
}
double height_of(const GraphNode& node) { return line_pitch * static_cast<double>(std::max<std::size_t>(node.lines.size(), 1)) + 1.6; }

// This Graphviz takes its constant texts as char*, and does not write to them.
char* text(const char* constant) { return const_cast<char*>(constant); }

std::vector<std::size_t> in_order(const std::vector<GraphNode>& nodes) {
    std::vector<std::size_t> order(nodes.size());
    std::iota(order.begin(), order.end(), 0);
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return natural_less(nodes[a].id, nodes[b].id); });
    return order;
}

// Edges as pairs of nodes, each once, sorted: what the layout needs of them.
std::vector<std::pair<std::size_t, std::size_t>> edges_in_order(const Graph& graph, const std::vector<std::size_t>& order) {
    std::vector<std::size_t> rank(order.size());
    for (std::size_t i = 0; i < order.size(); ++i) rank[order[i]] = i;
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    for (const GraphEdge& edge : graph.edges) pairs.emplace_back(rank[edge.from], rank[edge.to]);
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
    for (auto& [a, b] : pairs) {
        a = order[a];
        b = order[b];
    }
    return pairs;
}

// Graphviz keeps its state in one place for the whole process.
std::mutex graphviz_mutex;
GVC_t* graphviz() {
    static GVC_t* context = gvContext();
    return context;
}

std::string quoted(std::string_view words) {
    std::string result = "\"";
    for (const char c : words) {
        if (c == '"' || c == '\\') result += '\\';
        result += c;
    }
    return result + "\"";
}

// The point of the box's edge towards `to`.
Point edge_of(const Box& box, Point to) {
    const Point middle{box.x + box.w / 2, box.y + box.h / 2};
    const double dx = to.x - middle.x, dy = to.y - middle.y;
    const double t = std::min(dx == 0 ? 1e9 : box.w / 2 / std::abs(dx), dy == 0 ? 1e9 : box.h / 2 / std::abs(dy));
    return t >= 1 ? to : Point{middle.x + dx * t, middle.y + dy * t};
}

void draw_edge(Page& page, const GraphEdge& edge, const Box& from, const Box& to, double scale) {
    const Point a = edge_of(from, {to.x + to.w / 2, to.y + to.h / 2}), b = edge_of(to, {from.x + from.w / 2, from.y + from.h / 2});
    page.items.push_back(Line{{a, b}, edge.pen, false, {}});
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    if (edge.arrow && length > 0.1) {
        const double dx = (b.x - a.x) / length * scale, dy = (b.y - a.y) / length * scale;
        page.items.push_back(Line{{b, {b.x - 2.4 * dx - 0.9 * dy, b.y - 2.4 * dy + 0.9 * dx}, {b.x - 2.4 * dx + 0.9 * dy, b.y - 2.4 * dy - 0.9 * dx}},
                                  {0.1, edge.pen.ink, Dash::solid}, true, edge.pen.ink});
    }
    if (edge.label.empty()) return;
    Text label = page_text(edge.label, {(a.x + b.x) / 2, (a.y + b.y) / 2 + label_size * 0.35 * scale}, label_size * scale, false, Align::centre);
    label.halo = true;
    label.ink = edge.pen.ink;
    page.items.push_back(label);
}

void draw_node(Page& page, const GraphNode& node, const Box& box, double scale) {
    std::vector<Point> outline{{box.x, box.y}, {box.x + box.w, box.y}, {box.x + box.w, box.y + box.h}, {box.x, box.y + box.h}};
    if (node.round) {
        const double c = std::min(box.h / 2, 1.8 * scale);
        outline = {{box.x + c, box.y}, {box.x + box.w - c, box.y}, {box.x + box.w, box.y + c}, {box.x + box.w, box.y + box.h - c},
                   {box.x + box.w - c, box.y + box.h}, {box.x + c, box.y + box.h}, {box.x, box.y + box.h - c}, {box.x, box.y + c}};
    }
    page.items.push_back(Line{outline, node.pen, true, Ink::paper});
    double y = box.y + box.h / 2 - line_pitch * scale * static_cast<double>(node.lines.size()) / 2 + text_size * scale * 0.98;
    for (const std::string& line : node.lines) {
        Text words = page_text(line, {box.x + box.w / 2, y}, text_size * scale, node.pen.width > 0.4, Align::centre);
        if (words.face == Face::text_bold) words.size *= 0.93;  // as wide as the light face it was measured in
        words.ink = node.pen.ink;
        page.items.push_back(words);
        y += line_pitch * scale;
    }
}

}  // namespace

GraphPlaces place_graph(const Graph& graph) {
    GraphPlaces places;
    places.boxes.resize(graph.nodes.size());
    if (graph.nodes.empty()) return places;
    const std::vector<std::size_t> order = in_order(graph.nodes);

    const std::lock_guard lock(graphviz_mutex);
    Agraph_t* g = agopen(text("g"), Agdirected, nullptr);
    // Effort limits keep large graphs within seconds; positions alone are used, so no routes are asked for.
    for (const auto& [name, value] : {std::pair{"nslimit", "2"}, {"nslimit1", "2"}, {"mclimit", "0.1"}, {"splines", "false"}, {"nodesep", "0.16"}, {"ranksep", "0.42"}})
        agattr(g, AGRAPH, text(name), text(value));
    if (graph.left_to_right) agattr(g, AGRAPH, text("rankdir"), text("LR"));
    for (const auto& [name, value] : {std::pair{"shape", "box"}, {"fixedsize", "true"}, {"label", ""}, {"width", "1"}, {"height", "1"}})
        agattr(g, AGNODE, text(name), text(value));
    std::vector<Agnode_t*> nodes(graph.nodes.size());
    for (const std::size_t i : order) {
        nodes[i] = agnode(g, text(fmt::format("n{}", i).c_str()), 1);
        agset(nodes[i], text("width"), text(fixed_text(width_of(graph.nodes[i]) / 25.4, 4).c_str()));
        agset(nodes[i], text("height"), text(fixed_text(height_of(graph.nodes[i]) / 25.4, 4).c_str()));
    }
    for (const auto& [from, to] : edges_in_order(graph, order)) agedge(g, nodes[from], nodes[to], nullptr, 1);
    if (gvLayout(graphviz(), g, "dot") != 0) {
        agclose(g);
        throw CommandError("", "Graphviz has no layout to place a graph with; running `dot -c` once as root lists what is installed");
    }
    double top = -1e9, left = 1e9, right = -1e9, bottom = 1e9;
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const pointf at = ND_coord(nodes[i]);
        const double w = width_of(graph.nodes[i]), h = height_of(graph.nodes[i]);
        places.boxes[i] = {at.x * millimetres_a_point - w / 2, at.y * millimetres_a_point + h / 2, w, h};  // y still up: the upper edge
        left = std::min(left, places.boxes[i].x);
        right = std::max(right, places.boxes[i].x + w);
        top = std::max(top, places.boxes[i].y);
        bottom = std::min(bottom, places.boxes[i].y - h);
    }
    gvFreeLayout(graphviz(), g);
    agclose(g);
    for (Box& box : places.boxes) box = {box.x - left, top - box.y, box.w, box.h};
    places.width = right - left;
    places.height = top - bottom;
    return places;
}

Box draw_graph(Page& page, const Graph& graph, const GraphPlaces& places, Point at, double width, double height) {
    double scale = 1;
    if (width > 0 && places.width > width) scale = width / places.width;
    if (height > 0 && places.height * scale > height) scale = height / places.height;
    const auto placed = [&](std::size_t i) {
        const Box& box = places.boxes[i];
        return Box{at.x + box.x * scale, at.y + box.y * scale, box.w * scale, box.h * scale};
    };
    for (const GraphEdge& edge : graph.edges) draw_edge(page, edge, placed(edge.from), placed(edge.to), scale);
    for (std::size_t i = 0; i < graph.nodes.size(); ++i) draw_node(page, graph.nodes[i], placed(i), scale);
    return {at.x, at.y, places.width * scale, places.height * scale};
}

Document graph_document(const std::string& title, const Graph& graph, const std::vector<std::string>& legend) {
    constexpr double margin = 10, largest = 4000;  // millimetres; a PDF page may be 5 m long
    const GraphPlaces places = place_graph(graph);
    Document document;
    document.title = title;
    Page page;
    double y = margin + 4;
    page.items.push_back(page_text(title, {margin, y}, page_style::heading_size, true));
    for (const std::string& line : legend) page.items.push_back(page_text(line, {margin, y += 5}));
    const Box box = draw_graph(page, graph, places, {margin, y + 6}, largest, largest);
    double widest = text_width(title, Face::text_bold, page_style::heading_size);
    for (const std::string& line : legend) widest = std::max(widest, text_width(line, Face::text, page_style::text_size));
    page.width = std::max(box.w, widest) + 2 * margin;
    page.height = box.y + box.h + margin;
    document.pages.push_back(std::move(page));
    return document;
}

std::string dot_text(const Graph& graph) {
    std::string result = fmt::format("digraph {{\n  graph [rankdir={}]\n  node [shape=box, fontname=\"sans-serif\", fontsize=10]\n  edge [dir=none, fontsize=8]\n",
                                     graph.left_to_right ? "LR" : "TB");
    const auto style = [](const Pen& pen) {
        return fmt::format("color={}, penwidth={}, style={}", quoted(colour_of(pen.ink)), rounded_text(pen.width * 4, 2), pen.dash == Dash::solid ? "solid" : "dashed");
    };
    for (const std::size_t i : in_order(graph.nodes)) {
        const GraphNode& node = graph.nodes[i];
        result += fmt::format("  {} [label={}, shape={}, {}]\n", quoted(node.id), quoted(join(node.lines, "\n")), node.round ? "ellipse" : "box", style(node.pen));
    }
    std::vector<std::string> edges;
    for (const GraphEdge& edge : graph.edges)
        edges.push_back(fmt::format("  {} -> {} [label={}, {}{}]\n", quoted(graph.nodes[edge.from].id), quoted(graph.nodes[edge.to].id), quoted(edge.label),
                                    style(edge.pen), edge.arrow ? ", dir=forward" : ""));
    std::sort(edges.begin(), edges.end());
    for (const std::string& edge : edges) result += edge;
    return result + "}\n";
}

}  // namespace tallyboard
