#include "publish/document.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace tallyboard {
namespace {

void append(Page& page, const std::vector<Item>& items) {
    for (const Item& item : items) std::visit([&](const auto& shape) { page.items.push_back(shape); }, item);
}

}  // namespace

std::string_view colour_of(Ink ink) {
    switch (ink) {  // of the set of Okabe and Ito but for the blue, which must be darker than it to survive a grey print
        case Ink::normal: return "#000000";
        case Ink::removed: return "#D55E00";
        case Ink::added: return "#00407A";
        case Ink::note: return "#009E73";
        case Ink::faint: return "#6B6B6B";
        case Ink::paper: return "#FFFFFF";
    }
    return "#000000";
}

Line strike_of(const Label& label) {
    const double y = label.text.at.y - cap_height(label.text.face, label.text.size) / 2;
    const double over = label.text.size * 0.12;
    return {{{label.box.x - over, y}, {label.box.x + label.box.w + over, y}}, {label.text.size * 0.09, Ink::removed, Dash::solid}, false, {}};
}

Page page_of(const Sheet& sheet) {
    Page page;
    page.width = sheet.width;
    page.height = sheet.height;
    append(page, sheet.furniture);
    for (const Wire& wire : sheet.wires) page.items.push_back(Line{wire.points, wire.pen, false, {}});
    for (const PartFigure& part : sheet.parts) append(page, part.items);
    for (const TieFigure& tie : sheet.ties) append(page, tie.items);
    for (const Junction& junction : sheet.junctions)
        page.items.push_back(Circle{junction.at, junction.radius, {0.1, junction.ink, Dash::solid}, junction.ink});
    for (const Label& label : sheet.labels) {
        page.items.push_back(label.text);
        if (label.struck) page.items.push_back(strike_of(label));
    }
    append(page, sheet.marks);
    page.anchors = sheet.anchors;
    page.links = sheet.links;
    return page;
}

void add_sheets(Document& document, const std::vector<Sheet>& sheets, int level, std::size_t first) {
    for (std::size_t i = 0; i < sheets.size(); ++i) {
        Page page = page_of(sheets[i]);
        const std::string anchor = fmt::format("sheet {}", first + i);
        page.anchors.push_back({anchor, {0, 0}});
        document.bookmarks.push_back({sheets[i].title.empty() ? fmt::format("Sheet {}", i + 1) : sheets[i].title, anchor, level});
        document.pages.push_back(std::move(page));
    }
}

void drop_dangling_links(Document& document) {
    std::set<std::string> places;
    for (const Page& page : document.pages)
        for (const Anchor& anchor : page.anchors) places.insert(anchor.name);
    for (Page& page : document.pages) {
        std::erase_if(page.links, [&](const Link& link) { return !places.count(link.to); });
        for (PageItem& item : page.items)
            if (auto* text = std::get_if<Text>(&item); text && !places.count(text->link)) text->link.clear();
    }
}

}  // namespace tallyboard
