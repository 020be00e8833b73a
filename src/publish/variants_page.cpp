#include "publish/variants_page.h"

#include "base/text.h"
#include "publish/text_pages.h"

#include <fmt/format.h>

#include <algorithm>

namespace tallyboard {
namespace {

constexpr std::size_t units_a_table = 9;

std::string made_text(const Unit& unit) { return unit.made ? unit.made->text : "undated"; }

std::string unit_words(const GatheredFamily& family, std::size_t unit) { return family.units[unit].label() + " (" + made_text(family.units[unit]) + ")"; }

std::string place_words(const GatheredFamily& family, const PlaceChange& place) {
    return fmt::format("{}: {} to {}", family.rows[place.row].place, place.from, place.to);
}

// ---- what changed ----

std::string days_words(const Bounds& bounds) {
    if (bounds.not_before && bounds.not_after) return bounds.not_before->to_text() + " and " + bounds.not_after->to_text();
    if (bounds.not_before) return bounds.not_before->to_text() + " or later";
    return bounds.not_after ? bounds.not_after->to_text() + " or earlier" : "no date bounds it";
}

void add_changes(TextPages& pages, const GatheredFamily& family, const FamilyHistory& history) {
    pages.subheading("Changes in production");
    if (history.changes.empty()) {
        pages.paragraph("None that the units support.");
        return;
    }
    Table table{{{"No", 8, Align::left}, {"What changed", 74, Align::left}, {"Last unit with the old", 40, Align::left}, {"First with the new", 40, Align::left},
                 {"Came in between", 46, Align::left}, {"Units before", 23, Align::right}, {"Units after", 21, Align::right}, {"Drawing shows", 26, Align::left}}, {}};
    int number = 0;
    for (const ProductionChange& change : history.changes) {
        std::vector<Words> places;
        for (const PlaceChange& place : change.places) places.emplace_back(place_words(family, place));
        TableRow row;
        row.anchor = fmt::format("change {}", number + 1);
        row.cells = {TableCell(Words(std::to_string(++number), true)), TableCell(places), unit_words(family, change.last_old), unit_words(family, change.first_new),
                     days_words(change.bounds), std::to_string(change.old_units), std::to_string(change.new_units), change.drawn_old ? "the old" : "the new"};
        table.rows.push_back(std::move(row));
    }
    pages.table(table);
}

void add_sentences(TextPages& pages, const std::string& heading, const std::vector<std::string>& sentences) {
    if (sentences.empty()) return;
    pages.subheading(heading);
    for (const std::string& sentence : sentences) pages.paragraph(sentence);
}

void add_other_statements(TextPages& pages, const GatheredFamily& family, const FamilyHistory& history) {
    std::vector<std::string> common, own, undecided, misdated;
    for (const PlaceChange& change : history.common)
        common.push_back(fmt::format("{}: {} on every unit, drawn {}.", family.rows[change.row].place, change.to, change.from));
    for (const OwnDifference& difference : history.own) own.push_back(difference.says);
    for (const Undecided& row : history.undecided) undecided.push_back(row.says);
    for (const Misdated& unit : history.misdated) misdated.push_back(unit.says);
    add_sentences(pages, "On every unit otherwise than drawn", common);
    add_sentences(pages, "One unit's own: repairs and the like", own);
    add_sentences(pages, "Not decidable from these units", undecided);
    add_sentences(pages, "Dates that contradict the serial numbers", misdated);
    add_sentences(pages, "Remarks", family.remarks);
}

// ---- timeline ----

// The years on the axis: those the units' and the changes' dates span.
struct Years { int first = 0, last = 0; bool known = false; };
Years years_of(const GatheredFamily& family, const FamilyHistory& history) {
    Years years;
    const auto take = [&](const std::optional<Day>& day) {
        if (!day) return;
        const int year = day->year();
        years.first = years.known ? std::min(years.first, year) : year;
        years.last = years.known ? std::max(years.last, year) : year;
        years.known = true;
    };
    for (const Unit& unit : family.units)
        if (unit.made) {
            take(unit.made->earliest);
            take(unit.made->latest);
        }
    for (const ProductionChange& change : history.changes) {
        take(change.bounds.not_before);
        take(change.bounds.not_after);
    }
    return years;
}

// Rows from the top: one a change, then one a unit, over an axis of years.
class Timeline {
public:
    Timeline(Page& page, const Box& box, const Years& years) : page_(page), box_(box) {
        from_ = Day::of(years.first, 1, 1).number;
        to_ = Day::of(years.last + 1, 1, 1).number;
    }
    static double height(std::size_t rows) { return head + row_height * static_cast<double>(rows) + 2; }

    void draw_axis(const Years& years, std::size_t rows) {
        const int step = years.last - years.first > 20 ? 5 : 1;
        for (int year = years.first; year <= years.last + 1; year += step) {
            const double at = x(Day::of(year, 1, 1));
            // Light, since words cross it.
            const double top = box_.y + head - 1, foot = y(rows - 1) + row_height / 2, half = 0.08;
            page_.items.push_back(Shade{{{at - half, top}, {at + half, top}, {at + half, foot}, {at - half, foot}}, 0.75});
            if (year <= years.last) page_.items.push_back(page_text(std::to_string(year), {at + 1, box_.y + head - 2}, page_style::small_size));
        }
    }

    // The days between which a change came in; open towards a side where nothing bounds it.
    void draw_change(const ProductionChange& change, std::size_t number, std::size_t row, const std::string& says) {
        Text label = page_text(fmt::format("change {}", number), {box_.x, y(row) + 1}, page_style::small_size, true);
        label.link = fmt::format("change {}", number);
        page_.items.push_back(label);
        const Bounds& bounds = change.bounds;
        if (!bounds.not_before && !bounds.not_after) {
            page_.items.push_back(page_text(says + ", no date bounds it", {box_.x + label_width + 1, y(row) + 1}, page_style::small_size));
            return;
        }
        const double left = bounds.not_before ? x(*bounds.not_before) : begin(), right = bounds.not_after ? x(Day{bounds.not_after->number + 1}) : end();
        const double half = 1.7;
        page_.items.push_back(Shade{{{left, y(row) - half}, {right, y(row) - half}, {right, y(row) + half}, {left, y(row) + half}}, 0.85});
        if (bounds.not_before) tick(left, row);
        if (bounds.not_after) tick(right, row);
        write_beside(says + (bounds.not_before && bounds.not_after ? "" : bounds.not_before ? ", or later" : ", or earlier"), left, right, row);
    }

    // `trusted`: whether its date is used; one that is not is drawn thin, and said so.
    void draw_unit(const Unit& unit, std::size_t row, const std::string& version, bool trusted) {
        page_.items.push_back(page_text(unit.label(), {box_.x, y(row) + 1}, page_style::small_size, true));
        page_.items.push_back(page_text(version, {box_.x + 22, y(row) + 1}, page_style::small_size));
        if (!unit.made || (!unit.made->earliest && !unit.made->latest)) {
            page_.items.push_back(page_text("undated", {begin() + 1, y(row) + 1}, page_style::small_size));
            return;
        }
        const Date& made = *unit.made;
        const double left = made.earliest ? x(*made.earliest) : begin(), right = made.latest ? x(Day{made.latest->number + 1}) : end();
        const Dash dash = made.uncertain || made.approximate ? Dash::dashed : Dash::solid;
        page_.items.push_back(Line{{{left + 0.4, y(row)}, {std::max(right - 0.4, left + 0.8), y(row)}}, {trusted ? 1.1 : 0.4, trusted ? Ink::added : Ink::faint, dash}, false, {}});
        tick(left, row);
        tick(std::max(right, left + 1.2), row);
        write_beside(trusted ? made.text : made.text + ", contradicts its number; not used", left, right, row);
    }

private:
    static constexpr double label_width = 50, head = 8, row_height = 5.2;

    double begin() const { return box_.x + label_width; }
    double end() const { return box_.x + box_.w - 2; }
    double x(Day day) const { return begin() + std::clamp(static_cast<double>(day.number - from_) / (to_ - from_), 0.0, 1.0) * (end() - begin()); }
    double y(std::size_t row) const { return box_.y + head + row_height * (static_cast<double>(row) + 0.5); }
    void tick(double at, std::size_t row) {
        page_.items.push_back(Line{{{at, y(row) - 1.7}, {at, y(row) + 1.7}}, {0.35, Ink::normal, Dash::solid}, false, {}});
    }
    // Right of the bar where there is room, else left of it.
    void write_beside(const std::string& words, double left, double right, std::size_t row) {
        const bool fits = right + 2 + text_width(words, Face::text, page_style::small_size) < end();
        page_.items.push_back(page_text(words, {fits ? right + 1.5 : left - 1.5, y(row) + 1}, page_style::small_size, false, fits ? Align::left : Align::right));
    }

    Page& page_;
    Box box_;
    int from_, to_;
};

std::vector<std::string> versions_of(const GatheredFamily& family, const FamilyHistory& history) {
    std::vector<std::string> versions(family.units.size());
    for (const Variant& variant : history.variants)
        for (const std::size_t unit : variant.units) versions[unit] = variant.name;
    return versions;
}

std::string change_words(const GatheredFamily& family, const ProductionChange& change) {
    std::vector<std::string> places;
    for (const PlaceChange& place : change.places) places.push_back(fmt::format("{} {} to {}", family.rows[place.row].place, place.from, place.to));
    return join_words(places);
}

void add_timeline(TextPages& pages, const GatheredFamily& family, const FamilyHistory& history) {
    const Years years = years_of(family, history);
    if (!years.known || family.units.empty()) return;
    const auto versions = versions_of(family, history);
    constexpr std::size_t units_a_page = 18;
    const std::size_t changes = history.changes.size();
    for (std::size_t first = 0; first < family.units.size(); first += units_a_page) {
        const std::size_t units = std::min(units_a_page, family.units.size() - first), rows = changes + units;
        if (pages.room_left() < Timeline::height(rows) + 16) pages.new_page();
        pages.subheading(first == 0 ? "Timeline" : "Timeline, continued");
        if (first == 0) pages.paragraph("Grey: between which days each change came in. Bars: the days on which a unit can have been made, dashed where its date is uncertain.");
        const Box box = pages.figure(Timeline::height(rows));
        Timeline timeline(pages.page(), box, years);
        timeline.draw_axis(years, rows);
        for (std::size_t i = 0; i < changes; ++i) timeline.draw_change(history.changes[i], i + 1, i, change_words(family, history.changes[i]));
        for (std::size_t i = 0; i < units; ++i) {
            const bool trusted = std::none_of(history.misdated.begin(), history.misdated.end(), [&](const Misdated& m) { return m.unit == first + i; });
            timeline.draw_unit(family.units[first + i], changes + i, versions[first + i], trusted);
        }
    }
}

void add_lineage(TextPages& pages, const GatheredFamily& family, const FamilyHistory& history) {
    const Graph graph = lineage_graph(family, history);
    const GraphPlaces places = place_graph(graph);
    if (places.boxes.empty()) return;
    const double scale = std::min({1.0, pages.width() / places.width, 120 / places.height});
    pages.subheading("Versions");
    const Box box = pages.figure(places.height * scale + 2);
    draw_graph(pages.page(), graph, places, {box.x, box.y}, pages.width(), 120);
}

// ---- the table of places ----

TableCell printed(const Cell& cell) {
    if (cell.state == CellState::same) return {"·"};
    if (cell.state == CellState::untraced) return {"?"};
    return Words(cell.text + (cell.later ? " *" : ""), !cell.later);
}

void add_table(TextPages& pages, const GatheredFamily& family) {
    pages.heading("Places that vary, by unit", "table");
    pages.paragraph("· as drawn; ? not traced; bold: otherwise than drawn; * later work by its own evidence: replaced, added, decided a repair.");
    for (std::size_t begin = 0; begin < family.units.size(); begin += units_a_table) {
        const std::size_t count = std::min(units_a_table, family.units.size() - begin);
        Table table{{{"Place", 34, Align::left}, {"Drawn", 24, Align::left}}, {}};
        TableRow dates;
        dates.cells = {"", "made"};
        dates.grey = 0.95;
        for (std::size_t i = 0; i < count; ++i) {
            table.columns.push_back({family.units[begin + i].label(), 22, Align::left});
            dates.cells.emplace_back(made_text(family.units[begin + i]));
        }
        table.rows.push_back(dates);
        for (const PlaceRow& row : family.rows) {
            TableRow line;
            line.cells = {TableCell(Words(row.place, true)), row.drawn};
            for (std::size_t i = 0; i < count; ++i) line.cells.push_back(begin + i < row.cells.size() ? printed(row.cells[begin + i]) : TableCell());
            table.rows.push_back(std::move(line));
        }
        pages.table(table);
    }
}

}  // namespace

Graph lineage_graph(const GatheredFamily& family, const FamilyHistory& history) {
    Graph graph;
    graph.left_to_right = true;
    for (std::size_t v = 0; v < history.variants.size(); ++v) {
        const Variant& variant = history.variants[v];
        GraphNode node{fmt::format("version {:04}", v), {variant.name}, false, {0.4, Ink::normal, Dash::solid}};
        for (std::size_t i = 0; i < variant.units.size(); i += 3) {
            std::vector<std::string> labels;
            for (std::size_t k = i; k < std::min(i + 3, variant.units.size()); ++k) labels.push_back(family.units[variant.units[k]].label());
            node.lines.push_back(join(labels, "  "));
        }
        if (variant.units.empty()) node.lines.emplace_back("no unit surely");
        graph.nodes.push_back(std::move(node));
    }
    // What came in between two versions stands in a box of its own, on the way.
    for (std::size_t c = 0; c < history.changes.size() && c + 1 < history.variants.size(); ++c) {
        GraphNode change{fmt::format("version {:04} change", c), {fmt::format("change {}", c + 1)}, true, {0.25, Ink::added, Dash::solid}};
        for (const PlaceChange& place : history.changes[c].places)
            change.lines.push_back(place_words(family, place));
        graph.nodes.push_back(std::move(change));
        graph.edges.push_back({c, graph.nodes.size() - 1, "", {0.35, Ink::normal, Dash::solid}, false});
        graph.edges.push_back({graph.nodes.size() - 1, c + 1, "", {0.35, Ink::normal, Dash::solid}, true});
    }
    return graph;
}

Document variants_document(const GatheredFamily& family, const FamilyHistory& history, const std::string& owner, const std::string& date) {
    Document document;
    const std::string title = family.title.empty() && family.base ? family.base->about.title : family.title;
    document.title = title + ": variants";
    document.author = owner;
    document.date = date;
    TextPages pages(document, {true, title, owner.empty() ? date : owner + (date.empty() ? "" : "   " + date)});
    pages.new_page();
    pages.heading("Variants sheet", "variants");
    pages.paragraph(fmt::format("{} compared with the drawing{}; {} otherwise than drawn on some of them.", counted(family.units.size(), "unit"),
                                family.base && !family.base->about.source.empty() ? " (" + family.base->about.source + ")" : "",
                                counted(family.rows.size(), "place")));
    add_changes(pages, family, history);
    add_lineage(pages, family, history);
    add_timeline(pages, family, history);
    add_other_statements(pages, family, history);
    add_table(pages, family);
    number_pages(document);
    drop_dangling_links(document);
    return document;
}

}  // namespace tallyboard
