#include <catch2/catch.hpp>

#include <cmath>

#include "draw/furniture.h"
#include "draw/symbol.h"
#include "pictures.h"
#include "support/text_circuit.h"

namespace tallyboard {
namespace {

Circuit amplifier() {
    return test::drawing(R"(<net name="0V" role="ground"/><net name="+24V" role="supply"/>
        <part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/><part ref="R1" kind="resistor" value="1k" pins="IN A"/>
        <part ref="C1" kind="electrolytic" value="10u" pins="plus=A minus=B"/><part ref="R2" kind="resistor" value="470k" pins="+24V B"/>
        <part ref="Q1" kind="npn" model="BC109" pins="c=C b=B e=E"/><part ref="R3" kind="resistor" value="4k7" pins="+24V C"/>
        <part ref="R4" kind="resistor" value="1k" pins="E 0V"/><part ref="C3" kind="electrolytic" value="47u" pins="plus=E minus=0V"/>
        <part ref="C2" kind="electrolytic" value="10u" pins="plus=C minus=OUT"/><part ref="R5" kind="resistor" value="100k" pins="OUT 0V"/>
        <part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>)");
}

// One mark of every kind, numbered in turn.
Annotations one_of_each() {
    Annotations all;
    const auto mark = [&](MarkKind kind, const std::string& ref) -> Mark& {
        Mark one;
        one.number = static_cast<int>(all.marks.size()) + 1;
        one.kind = kind;
        one.ref = ref;
        one.anchor = "mark " + std::to_string(one.number);
        one.to = "row " + std::to_string(one.number);
        all.marks.push_back(one);
        return all.marks.back();
    };
    Mark& value = mark(MarkKind::value, "R3");
    value.old_text = "4k7";
    value.new_text = "5k6";
    Mark& kind = mark(MarkKind::kind, "C2");
    kind.old_text = "electrolytic";
    kind.new_text = "capacitor";
    mark(MarkKind::reversed, "C1");
    mark(MarkKind::missing, "C3");
    all.extras.push_back({"C9", "capacitor", "100p", "", {{"a", "C"}, {"b", "0V"}}});
    mark(MarkKind::extra, "C9");
    Mark& moved = mark(MarkKind::moved, "R5");
    moved.pins = {"R5.a"};
    moved.net = "OUT";
    moved.other_net = "C";
    Mark& split = mark(MarkKind::split, "");
    split.pins = {"R4.a"};
    split.net = "E";
    split.other_net = "E'";
    Mark& joined = mark(MarkKind::joined, "");
    joined.net = "IN";
    joined.other_net = "B";
    all.extras.push_back({"R9", "resistor", "100", "", {{"a", "OUT"}, {"b", "OUT'"}}});
    Mark& inserted = mark(MarkKind::inserted, "R9");
    inserted.pins = {"J2.tip"};
    inserted.net = "OUT";
    inserted.other_net = "OUT'";
    mark(MarkKind::bypassed, "R1");
    Mark& unverified = mark(MarkKind::unverified, "");
    unverified.number = 0;
    unverified.anchor.clear();
    unverified.pins = {"R2.b"};
    return all;
}

Picture annotated(const Circuit& circuit, const Annotations& annotations) {
    DrawOptions options;
    options.draft = true;
    for (const Mark& mark : annotations.marks)
        if (mark.number > 0) options.fields.revisions.push_back({std::to_string(mark.number), "", "a change", "2026-03-02", ""});
    return draw_annotated(circuit, annotations, options);
}

const PartFigure& part(const Sheet& sheet, const std::string& ref) {
    for (const PartFigure& figure : sheet.parts)
        if (figure.ref == ref) return figure;
    throw std::logic_error("no " + ref);
}
bool has_ink(const std::vector<Item>& items, Ink ink) {
    return std::any_of(items.begin(), items.end(), [&](const Item& item) {
        return std::visit([&](const auto& shape) {
            if constexpr (requires { shape.pen; }) return shape.pen.ink == ink;
            else return shape.ink == ink;
        }, item);
    });
}
const Label* label(const Sheet& sheet, const std::string& text) {
    for (const Label& one : sheet.labels)
        if (one.text.text == text) return &one;
    return nullptr;
}

bool are_joined(const Picture& picture, const std::string& one, const std::string& other) {
    const auto nets = nets_read_back(picture.sheets);
    return std::any_of(nets.begin(), nets.end(), [&](const auto& net) {
        return std::binary_search(net.begin(), net.end(), one) && std::binary_search(net.begin(), net.end(), other);
    });
}

}  // namespace

TEST_CASE("every kind of mark is drawn and its number is in the revision block's zone") {
    const Annotations all = one_of_each();
    const Picture picture = annotated(amplifier(), all);
    CHECK(measure(picture).faultless());
    REQUIRE(picture.sheets.size() == 1);
    const Sheet& sheet = picture.sheets[0];
    for (const Mark& mark : all.marks) {
        if (mark.number == 0) continue;
        INFO(mark_word(mark.kind));
        const auto at = std::find_if(sheet.anchors.begin(), sheet.anchors.end(), [&](const Anchor& anchor) { return anchor.name == mark.anchor; });
        REQUIRE(at != sheet.anchors.end());
        CHECK(std::any_of(sheet.links.begin(), sheet.links.end(), [&](const Link& link) { return link.to == mark.to; }));
        const Paper paper = paper_named(sheet.width < 300 ? "A4" : "A3");
        const std::string zone = zone_of(paper, at->at);
        CHECK(std::any_of(sheet.furniture.begin(), sheet.furniture.end(), [&](const Item& item) {
            const auto* text = std::get_if<Text>(&item);
            return text && text->text == zone;
        }));
    }
}

TEST_CASE("a corrected value stands struck beside the one found") {
    const Picture picture = annotated(amplifier(), one_of_each());
    const Label* old = label(picture.sheets[0], "4k7");
    const Label* found = label(picture.sheets[0], "5k6");
    REQUIRE(old);
    REQUIRE(found);
    CHECK(old->struck);
    CHECK_FALSE(found->struck);
    CHECK(found->text.heavy);
    CHECK(found->text.ink == Ink::added);
    CHECK(found->box.x > old->box.x + old->box.w);
    CHECK(found->box.y == old->box.y);
}

TEST_CASE("missing parts are dashed and struck, added parts heavy") {
    const Picture picture = annotated(amplifier(), one_of_each());
    const Sheet& sheet = picture.sheets[0];
    CHECK(has_ink(part(sheet, "C3").items, Ink::removed));
    CHECK(has_ink(part(sheet, "R1").items, Ink::removed));
    CHECK(has_ink(part(sheet, "C9").items, Ink::added));
    CHECK(has_ink(part(sheet, "R9").items, Ink::added));
    CHECK_FALSE(has_ink(part(sheet, "R2").items, Ink::added));
    CHECK_FALSE(has_ink(part(sheet, "R2").items, Ink::removed));
    REQUIRE(label(sheet, "C3"));
    CHECK(label(sheet, "C3")->struck);
    CHECK(std::any_of(sheet.wires.begin(), sheet.wires.end(), [](const Wire& wire) { return wire.pen.dash == Dash::dashed; }));
    CHECK(std::any_of(sheet.wires.begin(), sheet.wires.end(), [](const Wire& wire) { return wire.pen.ink == Ink::added; }));
}

TEST_CASE("the picture's nets are those of the board where a pin goes elsewhere") {
    const Picture picture = annotated(amplifier(), one_of_each());
    const auto nets = nets_read_back(picture.sheets);
    const auto net_of = [&](const std::string& pin) {
        for (const auto& net : nets)
            if (std::binary_search(net.begin(), net.end(), pin)) return net;
        return std::vector<std::string>{};
    };
    CHECK(net_of("R5.a") == net_of("Q1.collector"));
    CHECK(net_of("J2.tip") == std::vector<std::string>{"J2.tip", "R9.b"});
    CHECK(net_of("R4.a") == std::vector<std::string>{"R4.a"});
    CHECK(net_of("C9.a") == net_of("Q1.collector"));
}

TEST_CASE("a part that is reversed stands as found") {
    Annotations all;
    Mark mark;
    mark.number = 1;
    mark.kind = MarkKind::reversed;
    mark.ref = "C1";
    all.marks.push_back(mark);
    all.as_found.push_back({"C1", "", {{"plus", "minus"}, {"minus", "plus"}}});
    const Picture picture = annotated(amplifier(), all);
    CHECK(measure(picture).faultless());
    CHECK(has_ink(part(picture.sheets[0], "C1").items, Ink::added));
    CHECK(are_joined(picture, "C1.minus", "R1.b"));
    CHECK(are_joined(picture, "C1.plus", "Q1.base"));
}

TEST_CASE("a part of another kind than drawn stands as the kind found, and pins that went elsewhere go by their found names") {
    Annotations all;
    Mark kind;
    kind.number = 1;
    kind.kind = MarkKind::kind;
    kind.ref = "C2";
    kind.old_text = "electrolytic";
    kind.new_text = "capacitor";
    all.marks.push_back(kind);
    Mark moved;
    moved.number = 2;
    moved.kind = MarkKind::moved;
    moved.ref = "C2";
    moved.pins = {"C2.plus"};
    moved.net = "C";
    moved.other_net = "E";
    all.marks.push_back(moved);
    all.as_found.push_back({"C2", "capacitor", {{"plus", "a"}, {"minus", "b"}}});
    const Picture picture = annotated(amplifier(), all);
    CHECK(measure(picture).faultless());
    CHECK(part(picture.sheets[0], "C2").kind == "capacitor");
    CHECK_FALSE(label(picture.sheets[0], "electrolytic"));
    CHECK(are_joined(picture, "C2.a", "Q1.emitter"));
    all.as_found[0].kind = "flux-capacitor";
    CHECK_THROWS_AS(annotated(amplifier(), all), std::logic_error);
}

TEST_CASE("in grey what is removed and what is new are told by form") {
    const Picture picture = annotated(amplifier(), one_of_each());
    const Sheet& sheet = picture.sheets[0];
    const double normal = line_width(Weight::normal, picture.modules[0]);
    for (const Wire& wire : sheet.wires) {
        if (wire.pen.ink == Ink::removed) CHECK(wire.pen.dash == Dash::dashed);
        if (wire.pen.ink == Ink::added) CHECK(wire.pen.width > 1.5 * normal);
    }
    for (const Label& one : sheet.labels) {
        CHECK(one.struck == (one.text.ink == Ink::removed || (one.text.text == "4k7" || one.text.text == "electrolytic")));
        if (one.text.ink == Ink::added) CHECK(one.text.heavy);
    }
    for (const PartFigure& figure : sheet.parts)
        for (const Item& item : figure.items) {
            const auto* line = std::get_if<Line>(&item);
            if (!line) continue;
            INFO(figure.ref);
            if (line->pen.ink == Ink::removed) CHECK(line->pen.dash == Dash::dashed);
            // Heavy beside what the same line of a part as drawn would be: plates are heavy anyway.
            if (line->pen.ink == Ink::added && !line->fill) CHECK(line->pen.width > 1.5 * normal);
        }
}

TEST_CASE("numbered triangles cover neither symbols nor lettering") {
    const Picture picture = annotated(amplifier(), one_of_each());
    const Sheet& sheet = picture.sheets[0];
    const auto overlap = [](const Box& a, const Box& b) {
        return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
    };
    for (const Anchor& anchor : sheet.anchors) {
        if (anchor.name.rfind("mark ", 0) != 0) continue;
        INFO(anchor.name);
        const Box triangle{anchor.at.x - 2.6, anchor.at.y - 2.6, 5.2, 4.4};
        for (const PartFigure& figure : sheet.parts) CHECK_FALSE(overlap(triangle, figure.box));
        for (const Label& one : sheet.labels) CHECK_FALSE(overlap(triangle, one.box));
        for (const TieFigure& tie : sheet.ties) CHECK_FALSE(overlap(triangle, tie.box));
    }
}

TEST_CASE("the marked sheet is known again: its parts stand where the drawing's do, or near") {
    const Circuit circuit = amplifier();
    Annotations value;
    Mark mark;
    mark.number = 1;
    mark.ref = "R3";
    mark.old_text = "4k7";
    mark.new_text = "5k6";
    value.marks.push_back(mark);
    value.extras.push_back({"C9", "capacitor", "100p", "", {{"a", "C"}, {"b", "0V"}}});
    DrawOptions options;
    options.draft = true;
    const Picture plain = draw_picture(circuit, options), marked = draw_annotated(circuit, value, options);
    int far = 0;
    for (const Standing& before : plain.placing)
        for (const Standing& after : marked.placing)
            if (after.ref == before.ref) {
                // Both sheets are centred by themselves: places count from the first part's.
                const double dx = (after.stands.x - marked.placing[0].stands.x) - (before.stands.x - plain.placing[0].stands.x);
                const double dy = (after.stands.y - marked.placing[0].stands.y) - (before.stands.y - plain.placing[0].stands.y);
                far += std::abs(dx) + std::abs(dy) > 4;
            }
    CHECK(far <= 2);
}

TEST_CASE("a mark on a part the drawing has not is refused") {
    Annotations wrong;
    Mark mark;
    mark.kind = MarkKind::moved;
    mark.pins = {"R99.a"};
    mark.other_net = "A";
    wrong.marks.push_back(mark);
    CHECK_THROWS_AS(annotated(amplifier(), wrong), std::logic_error);
}

TEST_CASE("the six circuits take marks on every part") {
    for (const char* name : {"a", "c"}) {
        const Circuit circuit = test::measured_circuit(name);
        Annotations all;
        for (const Part& part : circuit.parts) {
            if (!part.value) continue;
            Mark mark;
            mark.number = static_cast<int>(all.marks.size()) + 1;
            mark.kind = all.marks.size() % 3 == 2 ? MarkKind::missing : MarkKind::value;
            mark.ref = part.ref;
            mark.old_text = part.value->text;
            mark.new_text = "123k";
            all.marks.push_back(mark);
        }
        INFO(name);
        CHECK(measure(annotated(circuit, all)).faultless());
    }
}

}  // namespace tallyboard
