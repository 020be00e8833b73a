#include <algorithm>

#include "base/embedded.h"
#include "base/text.h"
#include "circuit/circuit_builder.h"
#include "xml/document.h"
#include "xml/read.h"
#include "xml/read_kinds.h"
#include "xml/schema.h"

TALLYBOARD_EMBEDDED(kinds_xml)
TALLYBOARD_EMBEDDED(devices_xml)

namespace tallyboard {
namespace {

void require_root(const Element& root, std::string_view wanted, const SourceText& text) {
    if (root.name == wanted) return;
    Diagnoses diagnoses(text);
    diagnoses.error(root.span.begin, "a <" + std::string(wanted) + "> file is needed here, and this is <" +
                                         std::string(root.name) + ">");
    diagnoses.throw_errors();
}

std::string role_words(CircuitRole role) {
    return role == CircuitRole::drawing ? "a drawing (<circulated>)" : "a board (<as-found>)";
}

// The root must be a circuit's, and of the side that is wanted.
CircuitRole role_of(const Element& root, std::optional<CircuitRole> expected, Diagnoses& diagnoses) {
    std::optional<CircuitRole> role;
    if (root.name == "circulated") role = CircuitRole::drawing;
    if (root.name == "as-found") role = CircuitRole::board;
    std::string name(root.name);
    if (!role) {
        bool known = std::find(root_names().begin(), root_names().end(), name) != root_names().end();
        std::string nearest = nearest_word(name, root_names());
        diagnoses.error(root.span.begin,
                        known ? "a circuit is needed here, <circulated> or <as-found>, and this is <" + name + ">"
                              : "unknown root <" + name + ">" +
                                    (nearest.empty() ? "; a circuit's is <circulated> or <as-found>" : "; did you mean <" + nearest + ">?"));
    } else if (expected && *expected != *role) {
        diagnoses.error(root.span.begin, role_words(*expected) + " is needed here, and this is " + role_words(*role) +
                                             "; are the two files exchanged?");
    }
    diagnoses.throw_errors();
    return *role;
}

class CircuitReader {
public:
    CircuitReader(const Element& root, CircuitBuilder& builder) : root_(root), builder_(builder) {}

    // What parts depend on comes first, wherever it stands.
    BenchRows read() {
        builder_.expect(root_.children.size());
        builder_.board_is(root_["complete"], root_["on"]);
        each(root_, "about", [&](const Element& e) { about(e); });
        each(root_, "defaults", [&](const Element& e) {
            builder_.defaults({e["capacitor"], e["resistor-tol"], e["capacitor-tol"]});
        });
        each(root_, "scan", [&](const Element& e) { builder_.scan(e["file"], e.span); });
        each(root_, "revision", [&](const Element& e) {
            builder_.revision({std::string(e["letter"].text), std::string(e["date"].text), std::string(e["by"].text),
                               collapsed(e.text), e.span}, e["date"]);
        });
        each(root_, "part", [&](const Element& e) { builder_.look_at_commas(e["value"].text); });
        for (const Element& e : root_.children) {
            if (e.name == "net") builder_.net({e["name"], e["role"], e.span});
            else if (e.name == "part") part(e);
        }
        each(root_, "setup", [&](const Element& e) { setup(e); });
        each(root_, "bench", [&](const Element& e) { bench(e); });
        each(root_, "continuity", [&](const Element& c) {
            each(c, "test", [&](const Element& e) { rows_.tests.push_back({e["from"], e["to"], e["beeps"], e["note"], e.span}); });
        });
        return std::move(rows_);
    }

private:
    template <class Do>
    static void each(const Element& parent, std::string_view name, Do&& read) {
        for (const Element& child : parent.children)
            if (child.name == name) read(child);
    }

    void about(const Element& e) {
        AboutRow row;
        const std::pair<std::string_view, Written*> lines[] = {
            {"title", &row.title}, {"maker", &row.maker}, {"model", &row.model}, {"serial", &row.serial}, {"made", &row.made},
            {"source", &row.source}, {"by", &row.by}, {"date", &row.date}, {"note", &row.note}};
        for (const auto& [name, field] : lines)
            each(e, name, [&, to = field](const Element& line) { *to = line.content(); });
        builder_.about(row);
    }

    void part(const Element& e) {
        PartRow row{e["ref"], e["kind"], e["value"], e["model"], e["tol"], e["package"], e["fit"], e["on"], e["taper"], e["half"],
                    e["resistance"], e["inductance"], e["capacitance"], e["pins"], e["note"], {}, {}, {}, {}, {}, e.span};
        for (const Element& c : e.children) {
            if (c.name == "found")
                row.found.push_back({c["marking"], c["measured"], c["where"], c["status"], c["condition"], c["date-code"],
                                     c["meter"], c["note"], c.span});
            else if (c.name == "done")
                row.done.push_back({c["what"], c["with"], c["on"], c["why"], c["by"], c.span});
            else if (c.name == "winding")
                row.windings.push_back({c["name"], c["turns"], c["resistance"], c["inductance"], c.span});
            else if (c.name == "stands")
                row.stands = StandsRow{c["x"], c["y"], c["quarter"], c["flipped"], c["sheet"], c.span};
            else if (c.name == "on-scan")
                row.on_scan.push_back({c["x"], c["y"], c["scan"], c.span});
        }
        builder_.part(row);
    }

    void setup(const Element& s) {
        rows_.has_setup = true;
        each(s, "supply", [&](const Element& e) {
            rows_.supplies.push_back({e["name"], e["plus"], e["minus"], e["voltage"], e["resistance"], e.span});
        });
        each(s, "source", [&](const Element& e) { rows_.source = EndRow{e["net"], e["return"], e["resistance"], e.span}; });
        each(s, "load", [&](const Element& e) { rows_.load = EndRow{e["net"], e["return"], e["resistance"], e.span}; });
        each(s, "control", [&](const Element& e) { rows_.controls.push_back({e["ref"], e["at"], e.span}); });
    }

    void bench(const Element& b) {
        each(b, "meter", [&](const Element& e) {
            rows_.meters.push_back({e["id"], e["input"], e["error"], e["burden"], e["test"], e.span});
        });
        each(b, "reading", [&](const Element& e) {
            rows_.readings.push_back({e["what"], e["at"], e["to"], e["through"], e["is"], e["meter"], e["range"], e["within"],
                                      e["without"], e["when"], e["note"], e.span});
        });
    }

    const Element& root_;
    CircuitBuilder& builder_;
    BenchRows rows_;
};

}  // namespace

Circuit read_circuit(SourceText text, const KindTable& kinds, std::optional<CircuitRole> expected) {
    XmlDocument document = read_document(text);
    Diagnoses diagnoses(text);
    CircuitRole role = role_of(document.root, expected, diagnoses);
    check_structure(document.root, diagnoses);
    KindTable all = kinds;
    read_kinds(document.root, all, diagnoses);
    std::vector<Device> devices = read_devices(document.root, all, diagnoses);
    CircuitBuilder builder(text, role, std::move(all), diagnoses);
    Circuit circuit = builder.finish(CircuitReader(document.root, builder).read());
    diagnoses.throw_errors();
    circuit.devices = std::move(devices);
    circuit.root_span = document.root.span;
    circuit.children_end = document.root.content_end;
    for (const Element& child : document.root.children)
        if (child.name == "continuity" && circuit.continuity_span.end == 0) circuit.continuity_span = child.span;
    circuit.source = std::move(text);
    return circuit;
}

void add_kinds(const SourceText& text, KindTable& kinds) {
    XmlDocument document = read_document(text);
    require_root(document.root, "kinds", text);
    Diagnoses diagnoses(text);
    check_structure(document.root, diagnoses);
    KindTable all = kinds;
    read_kinds(document.root, all, diagnoses);
    diagnoses.throw_errors();
    kinds = std::move(all);
}

void add_devices(const SourceText& text, std::vector<Device>& devices) {
    XmlDocument document = read_document(text);
    require_root(document.root, "devices", text);
    Diagnoses diagnoses(text);
    check_structure(document.root, diagnoses);
    std::vector<Device> more = read_devices(document.root, built_in_kinds(), diagnoses);
    diagnoses.throw_errors();
    devices.insert(devices.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

const KindTable& built_in_kinds() {
    static const KindTable kinds = [] {
        KindTable table;
        add_kinds(SourceText("schema/kinds.xml", std::string(kinds_xml())), table);
        return table;
    }();
    return kinds;
}

const std::vector<Device>& built_in_devices() {
    static const std::vector<Device> devices = [] {
        std::vector<Device> list;
        add_devices(SourceText("schema/devices.xml", std::string(devices_xml())), list);
        return list;
    }();
    return devices;
}

std::string root_of(const SourceText& text) {
    XmlDocument document = read_document(text);
    std::string name(document.root.name);
    if (std::find(root_names().begin(), root_names().end(), name) != root_names().end()) return name;
    Diagnoses diagnoses(text);
    std::string nearest = nearest_word(name, root_names());
    diagnoses.error(document.root.span.begin, "unknown root <" + name + ">" +
                                                  (nearest.empty() ? "" : "; did you mean <" + nearest + ">?"));
    diagnoses.throw_errors();
    return name;
}

}  // namespace tallyboard
