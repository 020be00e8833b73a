#include "compare/equal_graphs.h"

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <map>
#include <memory>
#include <set>
#include <string>

#include "circuit/packages.h"
#include "circuit/symmetry.h"

#ifdef TALLYBOARD_BLISS
#include <bliss/graph.hh>
#endif
#ifdef TALLYBOARD_NAUTY
#include <nauty/nausparse.h>
#endif

namespace tallyboard::test {
namespace {

class Maker {
public:
    ColouredGraph make(const Circuit& circuit) {
        ColouredGraph graph;
        const auto vertex = [&](const std::string& says) {
            graph.colour.push_back(colours_.emplace(says, static_cast<unsigned>(colours_.size())).first->second);
            return static_cast<unsigned>(graph.colour.size() - 1);
        };
        std::vector<unsigned> nets;
        for (const Net& net : circuit.nets) nets.push_back(net.pins.empty() ? 0 : vertex("net"));
        std::map<std::string, unsigned> packages;
        for (const Section& section : sections_of(circuit)) {
            const Part& part = circuit[section.part];
            const std::string& kind = circuit.kinds[section.kind].name;
            const Value* value = part.nominal();
            const unsigned at = vertex(kind + "|" + (value ? value->number.to_text() : "") + "|" + part.model);
            const bool is_whole = section.kind != part.kind;
            if (const std::string package = is_whole ? part.ref : part.package; !package.empty()) {
                if (!packages.contains(package)) packages[package] = vertex("package");
                join(graph, at, packages[package]);
            }
            add_pins(graph, circuit, section, at, nets, vertex);
        }
        std::sort(graph.edges.begin(), graph.edges.end());
        graph.edges.erase(std::unique(graph.edges.begin(), graph.edges.end()), graph.edges.end());
        return graph;
    }

private:
    std::map<std::string, unsigned> colours_;
    std::map<std::string, std::vector<std::uint32_t>> classes_;   // kind and pins -> the first pin each may take the place of

    static void join(ColouredGraph& graph, unsigned a, unsigned b) { graph.edges.emplace_back(std::min(a, b), std::max(a, b)); }

    template <class Vertex>
    void add_pins(ColouredGraph& graph, const Circuit& circuit, const Section& section, unsigned at, const std::vector<unsigned>& nets,
                  Vertex vertex) {
        std::vector<std::string> names;
        std::string key = circuit.kinds[section.kind].name;
        for (const SectionPin& pin : section.pins) { names.push_back(pin.name); key += " " + pin.name; }
        std::vector<std::uint32_t>& classes = classes_[key];
        if (classes.empty()) {
            for (std::uint32_t i = 0; i < names.size(); ++i) classes.push_back(i);
            for (const auto& order : allowed_orders(circuit.kinds, section.kind, names))
                for (std::uint32_t i = 0; i < order.size(); ++i)   // by name: the order in the file says nothing
                    if (names[order[i]] < names[classes[i]]) classes[i] = order[i];
        }
        const bool all_alike = std::all_of(classes.begin(), classes.end(), [&](std::uint32_t c) { return c == classes[0]; });
        for (std::uint32_t i = 0; i < section.pins.size(); ++i) {
            if (section.pins[i].state != PinState::traced) continue;
            if (all_alike) { join(graph, at, nets[section.pins[i].net.index]); continue; }
            const unsigned pin = vertex(circuit.kinds[section.kind].name + "." + names[classes[i]]);
            join(graph, at, pin);
            join(graph, pin, nets[section.pins[i].net.index]);
        }
    }
};

}  // namespace

double processor_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

std::pair<ColouredGraph, ColouredGraph> coloured_graphs(const Circuit& a, const Circuit& b) {
    Maker maker;
    ColouredGraph first = maker.make(a);
    return {std::move(first), maker.make(b)};
}

#ifdef TALLYBOARD_BLISS
std::optional<Verdict> bliss_says(const ColouredGraph& a, const ColouredGraph& b) {
    const auto loaded = [](const ColouredGraph& graph) {
        auto result = std::make_unique<bliss::Graph>();
        for (unsigned colour : graph.colour) result->add_vertex(colour);
        for (const auto& [from, to] : graph.edges) result->add_edge(from, to);
        return result;
    };
    const auto first = loaded(a), second = loaded(b);
    const double start = processor_seconds();
    const auto canonical = [](bliss::Graph& graph) {
        bliss::Stats stats;
        return std::unique_ptr<bliss::Graph>(graph.permute(graph.canonical_form(stats, nullptr, nullptr)));
    };
    const auto one = canonical(*first), other = canonical(*second);
    const bool equal = one->cmp(*other) == 0;
    return Verdict{processor_seconds() - start, equal};
}
#else
std::optional<Verdict> bliss_says(const ColouredGraph&, const ColouredGraph&) { return {}; }
#endif

#ifdef TALLYBOARD_NAUTY
namespace {

// nauty's sparse form, with the vertices in the order of their colours.
struct NautyGraph {
    std::vector<std::size_t> v;
    std::vector<int> d, e, lab, ptn, orbits;
    sparsegraph graph{};

    explicit NautyGraph(const ColouredGraph& from) {
        const int n = static_cast<int>(from.colour.size());
        v.resize(n), d.assign(n, 0), e.resize(2 * from.edges.size()), lab.resize(n), ptn.assign(n, 1), orbits.resize(n);
        for (const auto& [a, b] : from.edges) ++d[a], ++d[b];
        for (int i = 1; i < n; ++i) v[i] = v[i - 1] + static_cast<std::size_t>(d[i - 1]);
        std::vector<std::size_t> next = v;
        for (const auto& [a, b] : from.edges) {
            e[next[a]++] = static_cast<int>(b);
            e[next[b]++] = static_cast<int>(a);
        }
        for (int i = 0; i < n; ++i) lab[i] = i;
        std::stable_sort(lab.begin(), lab.end(), [&](int a, int b) { return from.colour[a] < from.colour[b]; });
        for (int i = 0; i < n; ++i)
            if (i + 1 == n || from.colour[lab[i]] != from.colour[lab[i + 1]]) ptn[i] = 0;
        graph.nde = e.size(), graph.v = v.data(), graph.nv = n, graph.d = d.data(), graph.e = e.data();
        graph.vlen = graph.dlen = static_cast<std::size_t>(n), graph.elen = e.size();
    }
};

}  // namespace

std::optional<Verdict> nauty_says(const ColouredGraph& a, const ColouredGraph& b) {
    NautyGraph first(a), second(b);
    const double start = processor_seconds();
    const auto canonical = [](NautyGraph& graph) {
        DEFAULTOPTIONS_SPARSEGRAPH(options);
        options.getcanon = TRUE;
        options.defaultptn = FALSE;
        options.schreier = TRUE;   // McKay's advice for large graphs with many automorphisms
        statsblk stats;
        sparsegraph result{};
        sparsenauty(&graph.graph, graph.lab.data(), graph.ptn.data(), graph.orbits.data(), &options, &stats, &result);
        sortlists_sg(&result);
        return result;
    };
    sparsegraph one = canonical(first), other = canonical(second);
    const bool equal = aresame_sg(&one, &other);
    const double seconds = processor_seconds() - start;
    SG_FREE(one);
    SG_FREE(other);
    return Verdict{seconds, equal};
}
#else
std::optional<Verdict> nauty_says(const ColouredGraph&, const ColouredGraph&) { return {}; }
#endif

}  // namespace tallyboard::test
