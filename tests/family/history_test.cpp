#include "family/history.h"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <map>

#include "known_families.h"
#include "support/program.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {

struct Checked {
    const KnownFamily& truth;
    const GatheredFamily& table;
    const FamilyHistory& history;
    std::vector<std::size_t> known_of;   // the table's units as indices of the truth's
    std::vector<std::size_t> place_of;   // the other way
    std::map<std::string, std::size_t> rows;
};

Checked checked(const KnownFamily& truth, const GatheredFamily& table, const FamilyHistory& history) {
    Checked c{truth, table, history, {}, std::vector<std::size_t>(truth.units.size()), {}};
    for (std::size_t t = 0; t < table.units.size(); ++t)
        for (std::size_t u = 0; u < truth.units.size(); ++u)
            if (table.units[t].file.ends_with("/" + truth.units[u].file)) c.known_of.push_back(u), c.place_of[u] = t;
    REQUIRE(c.known_of.size() == truth.units.size());
    for (std::size_t r = 0; r < table.rows.size(); ++r) c.rows[table.rows[r].place] = r;
    return c;
}

// Every cell of the table is what was built, and no place varies that was not made to.
void check_table(const Checked& c) {
    std::map<std::string, KnownEdit> places;
    for (const KnownRepair& repair : c.truth.repairs) places[repair.edit.place] = repair.edit;
    for (const KnownChange& change : c.truth.changes) for (const KnownEdit& edit : change.edits) places[edit.place] = edit;
    for (const PlaceRow& row : c.table.rows) {
        INFO("place " << row.place);
        REQUIRE(places.count(row.place));
        for (std::size_t t = 0; t < row.cells.size(); ++t) {
            INFO("unit " << c.truth.units[c.known_of[t]].file);
            CHECK(row.cells[t].text == c.truth.shown(c.known_of[t], places.at(row.place)));
        }
    }
}

const KnownChange* true_change(const Checked& c, const PlaceChange& place) {
    for (const KnownChange& change : c.truth.changes)
        for (const KnownEdit& edit : change.edits)
            if (edit.place == c.table.rows[place.row].place && edit.from == place.from && edit.to == place.to) return &change;
    return nullptr;
}

void check_bounds(const Checked& c) {
    for (const ProductionChange& change : c.history.changes)
        for (const PlaceChange& place : change.places) {
            INFO(change.says);
            const KnownChange* truth = true_change(c, place);
            REQUIRE(truth);   // no repair is called production, and no change is made up
            CHECK((change.bounds.after || (change.bounds.not_before && change.bounds.not_after)));
            if (change.bounds.after) CHECK(c.truth.units[c.known_of[*change.bounds.after]].serial < truth->serial);
            if (change.bounds.by) CHECK(truth->serial <= c.truth.units[c.known_of[*change.bounds.by]].serial);
            if (change.bounds.not_before) CHECK(*change.bounds.not_before <= truth->day);
            if (change.bounds.not_after) CHECK(truth->day <= *change.bounds.not_after);
        }
}

// What the units that show a place say of a change there: who shows the old and the new, by number.
struct Sides { std::vector<std::size_t> old_units, new_units, odd; };
Sides sides_of(const Checked& c, const KnownEdit& edit) {
    Sides sides;
    for (std::size_t u = 0; u < c.truth.units.size(); ++u) {
        std::string shown = c.truth.shown(u, edit);
        if (c.truth.units[u].numbered != c.truth.numbered || shown == "?" || c.truth.repaired(u, edit, true)) continue;
        (shown == edit.from ? sides.old_units : shown == edit.to ? sides.new_units : sides.odd).push_back(u);
    }
    return sides;
}

bool is_told(const Checked& c, const std::string& place, bool undecided) {
    auto row = c.rows.find(place);
    if (row == c.rows.end()) return false;
    if (undecided) return std::any_of(c.history.undecided.begin(), c.history.undecided.end(), [&](const Undecided& u) { return u.row == row->second; });
    return std::any_of(c.history.own.begin(), c.history.own.end(), [&](const OwnDifference& o) { return o.row == row->second; });
}

// Whether dates alone settle the order of the two sides, and the days that follow from them.
struct DateSides { bool settled = false; std::optional<Day> not_before, not_after; };
DateSides dates_of(const Checked& c, const Sides& sides) {
    DateSides out;
    const auto made = [&](std::size_t unit) { return c.truth.units[unit].made.empty() ? Date{} : read_date(c.truth.units[unit].made).value(); };
    for (std::size_t o : sides.old_units)
        for (std::size_t n : sides.new_units) {
            const Date old_date = made(o), new_date = made(n);
            if (old_date.earliest && (!out.not_before || *old_date.earliest > *out.not_before)) out.not_before = old_date.earliest;
            if (new_date.latest && (!out.not_after || *new_date.latest < *out.not_after)) out.not_after = new_date.latest;
            if (old_date.latest && new_date.earliest && *old_date.latest < *new_date.earliest) out.settled = true;
        }
    return out;
}

// The change list is the truth where the data allow it, with the tightest bounds, and else says that it is not decidable.
void check_changes(const Checked& c) {
    for (std::size_t t = 0; t < c.truth.changes.size(); ++t)
        for (const KnownEdit& edit : c.truth.changes[t].edits) {
            INFO("place " << edit.place << " " << edit.from << " to " << edit.to);
            Sides sides = sides_of(c, edit);
            bool drawn_old = t >= c.truth.drawn_changes;
            const ProductionChange* told = nullptr;
            for (const ProductionChange& change : c.history.changes)
                for (const PlaceChange& place : change.places) if (c.table.rows[place.row].place == edit.place) told = &change;
            std::size_t old_count = sides.old_units.size(), new_count = sides.new_units.size();
            bool odd_outside = false;   // an unmarked repair before all or behind all others
            for (std::size_t u : sides.odd)
                odd_outside |= old_count == 0 || new_count == 0 || u < sides.old_units.front() || u > sides.new_units.back();
            const bool enough = old_count >= 1 && new_count >= 2 && (old_count >= 2 || drawn_old);
            if (!c.truth.numbered) {
                const DateSides dates = dates_of(c, sides);
                CHECK((told != nullptr) == (enough && dates.settled));
                if (told) CHECK(told->bounds.not_before == dates.not_before);
                if (told) CHECK(told->bounds.not_after == dates.not_after);
                if (!told && old_count > 0 && new_count > 0) CHECK(is_told(c, edit.place, true));
            } else if (enough) {
                REQUIRE(told);
                CHECK(told->bounds.after == c.place_of[sides.old_units.back()]);
                CHECK(told->bounds.by == c.place_of[sides.new_units.front()]);
            } else if (old_count > 0 && new_count > 0) {   // else dates may tell more than numbers
                CHECK(told == nullptr);
                if (!odd_outside) CHECK(is_told(c, edit.place, true));
            }
        }
}

void check_repairs(const Checked& c) {
    for (const KnownRepair& repair : c.truth.repairs) {
        const KnownUnit& unit = c.truth.units[repair.unit];
        if (std::count(unit.hidden.begin(), unit.hidden.end(), repair.edit.ref)) continue;
        INFO("repair of " << repair.edit.place << " on " << unit.file << (repair.marked ? ", marked" : ""));
        if (repair.marked) CHECK(is_told(c, repair.edit.place, false));
        else CHECK((is_told(c, repair.edit.place, false) || is_told(c, repair.edit.place, true)));
    }
}

// Whoever is said to be of a version is of it: has the changes before it and not those from it on.
void check_versions(const Checked& c) {
    for (std::size_t k = 0; k < c.history.variants.size(); ++k)
        for (std::size_t t : c.history.variants[k].units)
            for (std::size_t i = 0; i < c.history.changes.size(); ++i)
                for (const PlaceChange& place : c.history.changes[i].places) {
                    INFO(c.history.variants[k].name << ", unit " << c.truth.units[c.known_of[t]].file << ", " << c.history.changes[i].says);
                    CHECK((c.known_of[t] >= true_change(c, place)->at) == (i < k));
                }
}

void check_family(std::uint64_t seed) {
    KnownFamily truth = known_family(seed);
    ScratchFolder folder;
    std::filesystem::path path = write_family(truth, folder.path());
    GatheredFamily table = gather(read_family(read_file(path.string())), built_in_kinds());
    FamilyHistory history = read_history(table);
    INFO("family of seed " << seed << "\n" << table_csv(table));
    Checked c = checked(truth, table, history);
    check_table(c);
    check_bounds(c);
    check_changes(c);
    check_repairs(c);
    check_versions(c);
    for (const Misdated& unit : history.misdated) CHECK(!table.units[unit.unit].serial.empty());
    bool wrong_date_used = false;
    for (std::size_t u = 0; u < truth.units.size(); ++u)
        if (truth.units[u].misdated)
            wrong_date_used |= std::none_of(history.misdated.begin(), history.misdated.end(), [&](const Misdated& m) { return m.unit == c.place_of[u]; });
    CHECK_FALSE(wrong_date_used);
}

}  // namespace

TEST_CASE("thirty families with a known history are told as they were, or as not decidable") {
    for (std::uint64_t seed = 1; seed <= 30; ++seed) check_family(seed);
}

TEST_CASE("five hundred families with a known history are told as they were, or as not decidable", "[long]") {
    for (std::uint64_t seed = 31; seed <= 530; ++seed) check_family(seed);
}

namespace {

// A family of one resistor that matters, by number, date and what is there.
struct Member { std::string serial, made, value, found; };
struct Hand { GatheredFamily table; FamilyHistory history; };

Hand hand(const std::string& drawn, const std::vector<Member>& members) {
    ScratchFolder folder;
    auto text = [](const std::string& root, const std::string& value, const std::string& found) {
        return "<" + root + " xmlns=\"urn:tallyboard:circuit:1\"><part ref=\"R1\" kind=\"resistor\" " + (value.empty() ? "" : "value=\"" + value + "\" ") +
               "pins=\"IN OUT\">" + found + "</part><part ref=\"R2\" kind=\"resistor\" value=\"1M\" pins=\"OUT 0V\"/>" +
               "<part ref=\"C1\" kind=\"capacitor\" value=\"10n\" pins=\"IN 0V\"/></" + root + ">";
    };
    auto write = [&](const std::string& name, const std::string& bytes) { write_file((folder.path() / name).string(), bytes); };
    write("base.xml", text("circulated", drawn, ""));
    std::string list;
    for (std::size_t i = 0; i < members.size(); ++i) {
        const Member& m = members[i];
        write(fmt::format("{}.xml", i), text("as-found", m.value, m.found));
        list += fmt::format("<member file=\"{}.xml\"", i) + (m.serial.empty() ? "" : " serial=\"" + m.serial + "\"") + (m.made.empty() ? "" : " made=\"" + m.made + "\"") + "/>";
    }
    write("family.xml", "<family xmlns=\"urn:tallyboard:circuit:1\"><base file=\"base.xml\"/>" + list + "</family>");
    Hand out{gather(read_family(read_file((folder.path() / "family.xml").string())), built_in_kinds()), {}};
    out.history = read_history(out.table);
    return out;
}

}  // namespace

TEST_CASE("a change is bounded by the units on either side of it, in numbers and in days") {
    Hand h = hand("47k", {{"00731", "1972?", "56k", ""}, {"00410", "1971", "47k", ""}, {"00902", "1973-05", "56k", ""}, {"00058", "1968", "47k", ""}});
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.history.changes[0].says == "R1 47k to 56k: after 00410 (1971), by 00731 (1972?); seen on 2 units before and 2 after");
    CHECK(h.history.changes[0].bounds.not_before->to_text() == "1971-01-01");
    CHECK(h.history.changes[0].bounds.not_after->to_text() == "1972-12-31");
}

TEST_CASE("one more unit tightens the bounds") {
    std::vector<Member> members{{"100", "1968", "47k", ""}, {"900", "1975", "56k", ""}, {"950", "1976", "56k", ""}};
    Hand wide = hand("47k", members);
    members.push_back({"500", "1970", "56k", ""});
    Hand narrow = hand("47k", members);
    REQUIRE(wide.history.changes.size() == 1);
    REQUIRE(narrow.history.changes.size() == 1);
    CHECK(*narrow.history.changes[0].bounds.not_after < *wide.history.changes[0].bounds.not_after);
}

TEST_CASE("a unit whose place is not traced still bounds the days by its number") {
    Hand h = hand("47k", {{"1", "1968", "47k", ""}, {"2", "1969", "", ""}, {"3", "197X", "47k", ""}, {"4", "", "56k", ""}, {"5", "1972", "56k", ""}});
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.history.changes[0].bounds.not_before->to_text() == "1970-01-01");
    CHECK(h.history.changes[0].bounds.not_after->to_text() == "1972-12-31");
}

TEST_CASE("what one unit has among others is its own, at a change too") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "47k", ""}, {"3", "", "33k", ""}, {"4", "", "56k", ""}, {"5", "", "56k", ""}});
    REQUIRE(h.history.own.size() == 1);
    CHECK(h.history.own[0].says == "R1 of 3 is 33k there, of no other unit: probably a repair");
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.history.changes[0].places[0].to == "56k");
}

TEST_CASE("a single unit at the end of the numbers is not decidable") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "47k", ""}, {"3", "", "56k", ""}});
    CHECK(h.history.changes.empty());
    REQUIRE(h.history.undecided.size() == 1);
    CHECK(h.history.undecided[0].says.find("not decidable") != std::string::npos);
}

TEST_CASE("a value that comes back is told as an order not kept, and is no change") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "56k", ""}, {"3", "", "47k", ""}, {"4", "", "56k", ""}});
    CHECK(h.history.changes.empty());
    REQUIRE(h.history.undecided.size() == 1);
    CHECK(h.history.undecided[0].says == "R1: the order of the numbers is not kept: 47k (1), 56k (2), 47k (3), 56k (4)");
}

TEST_CASE("a part marked as replaced is later work, whatever stands there") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "56k", "<found status=\"replaced\"/>"}, {"3", "", "56k", "<found status=\"replaced\"/>"}});
    CHECK(h.history.changes.empty());
    CHECK(h.history.own.size() == 2);
}

TEST_CASE("two files of one number that differ are told and count for nothing there") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "47k", ""}, {"2", "", "56k", ""}, {"3", "", "56k", ""}, {"4", "", "56k", ""}});
    CHECK(h.table.remarks.size() == 1);
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.table.units[*h.history.changes[0].bounds.after].serial == "1");
    CHECK(h.table.units[*h.history.changes[0].bounds.by].serial == "3");
}

TEST_CASE("of two dates that contradict only each other neither is used") {
    Hand h = hand("47k", {{"1", "1975", "47k", ""}, {"2", "1970", "56k", ""}, {"3", "", "56k", ""}});
    CHECK(h.history.misdated.size() == 2);
    REQUIRE(h.history.changes.size() == 1);
    CHECK_FALSE(h.history.changes[0].bounds.not_before);
    CHECK_FALSE(h.history.changes[0].bounds.not_after);
}

TEST_CASE("what every unit has otherwise than drawn is the drawing's, not a change") {
    Hand h = hand("47k", {{"1", "", "56k", ""}, {"2", "", "56k", ""}});
    CHECK(h.history.changes.empty());
    CHECK(h.history.common.size() == 1);
}

TEST_CASE("a unit without a number supports what it shows, and its date counts") {
    Hand h = hand("47k", {{"1", "", "47k", ""}, {"2", "", "47k", ""}, {"3", "1980", "56k", ""}, {"4", "", "56k", ""}, {"", "1972", "56k", ""}});
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.history.changes[0].new_units == 3);
    CHECK(h.history.changes[0].bounds.not_after->to_text() == "1972-12-31");
}

TEST_CASE("without numbers dates order the units, where they do") {
    Hand h = hand("47k", {{"", "1968", "47k", ""}, {"", "1970?", "47k", ""}, {"", "1972/1973", "56k", ""}, {"", "197X", "56k", ""}});
    REQUIRE(h.history.changes.size() == 1);
    CHECK(h.history.changes[0].says == "R1 47k to 56k: after 1.xml (1970?), by 2.xml (1972/1973); seen on 2 units before and 2 after");
    CHECK(h.history.changes[0].bounds.not_before->to_text() == "1970-01-01");
    CHECK(h.history.changes[0].bounds.not_after->to_text() == "1973-12-31");
    CHECK_FALSE(h.history.changes[0].bounds.after);
    CHECK(h.history.variants[1].units.size() == 2);
}

TEST_CASE("dates that overlap order nothing, and that is said") {
    Hand h = hand("47k", {{"", "197X", "47k", ""}, {"", "1970", "47k", ""}, {"", "197X", "56k", ""}, {"", "", "56k", ""}});
    CHECK(h.history.changes.empty());
    REQUIRE(h.history.undecided.size() == 1);
    CHECK(h.history.undecided[0].says == "R1: the dates do not say which came first: 47k (197X, 1970) and 56k (197X, undated)");
}

TEST_CASE("what dates show on one unit between others is its own, and what comes back is no change") {
    Hand own = hand("47k", {{"", "1968", "47k", ""}, {"", "1970", "33k", ""}, {"", "1972", "47k", ""}});
    CHECK(own.history.changes.empty());
    REQUIRE(own.history.own.size() == 1);
    Hand back = hand("47k", {{"", "1968", "47k", ""}, {"", "1970", "33k", ""}, {"", "1971", "33k", ""}, {"", "1972", "47k", ""}});
    CHECK(back.history.changes.empty());
    REQUIRE(back.history.undecided.size() == 1);
    CHECK(back.history.undecided[0].says.find("the order of the dates is not kept") != std::string::npos);
}

TEST_CASE("the table as CSV quotes what needs it") {
    Hand h = hand("47k", {{"1,5", "", "56k", ""}, {"2", "1970", "47k", ""}});
    CHECK(table_csv(h.table) == "place,drawn,\"1,5\",2 (1970)\r\nR1,47k,56k,47k\r\n");
}
