#include "pictures.h"

#include <fmt/format.h>

#include "base/number_text.h"

namespace tallyboard::test {

std::string faults_of(const Circuit& circuit, const Picture& picture) {
    const std::string wrong = wrong_nets(circuit, picture.sheets);
    const Metrics m = measure(picture);
    std::string all = wrong.empty() ? "" : wrong + "; ";
    const auto count = [&](int number, const char* what) {
        if (number > 0) all += fmt::format("{} {}; ", number, what);
    };
    count(m.symbol_overlaps, "symbols on one another");
    count(m.label_overlaps, "texts on something");
    count(m.tie_overlaps, "ties on something");
    count(m.wires_through, "wires through symbols");
    count(m.slanted, "slanted wires");
    for (std::size_t s = 0; s < picture.sheets.size(); ++s) {
        const Sheet& sheet = picture.sheets[s];
        if (picture.modules[s] < 2) all += "a module below 2 mm; ";
        for (const PartFigure& part : sheet.parts)
            if (part.box.x < 20 || part.box.y < 10 || part.box.x + part.box.w > sheet.width - 10 || part.box.y + part.box.h > sheet.height - 10)
                all += part.label + " stands outside the frame; ";
    }
    return all;
}

namespace {

std::string text_of(Point p) { return shortest_text(p.x) + "," + shortest_text(p.y) + " "; }
std::string text_of(const Box& b) { return text_of(Point{b.x, b.y}) + text_of(Point{b.w, b.h}); }

}  // namespace

std::string print_of(const Picture& picture) {
    std::string all;
    for (const Sheet& sheet : picture.sheets) {
        all += fmt::format("sheet {} {}\n", sheet.width, sheet.height);
        for (const PartFigure& part : sheet.parts) {
            all += part.ref + " " + part.label + " " + text_of(part.box);
            for (const PinSpot& pin : part.pins) all += pin.name + " " + text_of(pin.at);
            all += "\n";
        }
        for (const TieFigure& tie : sheet.ties) all += "tie " + tie.net + " " + text_of(tie.box) + text_of(tie.pin) + "\n";
        for (const Wire& wire : sheet.wires) {
            all += "wire ";
            for (Point p : wire.points) all += text_of(p);
            all += "\n";
        }
        for (const Junction& junction : sheet.junctions) all += "junction " + text_of(junction.at) + "\n";
        for (const Label& label : sheet.labels) all += "text " + label.text.text + " " + text_of(label.box) + text_of(label.text.at) + "\n";
        all += fmt::format("furniture {} marks {}\n", sheet.furniture.size(), sheet.marks.size());
    }
    return all;
}

Circuit with_places(const Circuit& circuit, const Picture& picture) {
    Circuit placed = circuit;
    for (const Standing& standing : picture.placing)
        for (Part& part : placed.parts)
            if (part.ref == standing.ref) part.stands = standing.stands;
    return placed;
}

}  // namespace tallyboard::test
