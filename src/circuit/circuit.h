// circuit: one circuit as a file tells it: kinds, parts, pins, nets, what was found, set up and measured. Built once by the
// builder, const afterwards. It knows nothing of XML, of comparing or of drawing.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostic.h"
#include "base/source_text.h"
#include "circuit/ids.h"
#include "circuit/kind.h"
#include "circuit/setup.h"
#include "values/date.h"
#include "values/value.h"

namespace tallyboard {

enum class NetRole { unsaid, ground, earth, supply, mains, heater, signal, other };

struct Net {
    std::string name;                 // empty where tracing joined pins that no one has named
    NetRole role = NetRole::unsaid;
    std::vector<PinId> pins;          // in file order; without those of fit="no" parts, so it may be empty
    Span span;                        // its <net>, or where it is first named
    bool declared = false;            // has a <net> element
};

// traced: on a net (Pin::net). untraced: `?`. nowhere: `-`. undrawn: not mentioned on a drawing.
enum class PinState { traced, untraced, nowhere, undrawn };

struct Pin {
    std::string name;                 // the kind's own name of it
    PinState state = PinState::untraced;
    NetId net;                        // where traced
    std::uint32_t kind_pin = 0;       // index in Kind::pins; for open patterns its own index
    Span span;                        // of its item in the pins attribute; empty where not mentioned
};

enum class Fit { yes, no, optional };
enum class FoundWhere { unsaid, out, lifted, in };          // unsaid counts as `in`
enum class FoundStatus { unsaid, original, replaced, added, unknown };

struct Found {
    std::string marking, condition, date_code, meter, note;
    std::optional<Value> marked;      // the marking decoded, where the kind has a quantity and it can be
    std::optional<double> measured;   // SI
    std::string measured_text;
    FoundWhere where = FoundWhere::unsaid;
    FoundStatus status = FoundStatus::unsaid;
    Span span;
};
enum class DoneWhat { replaced, removed, added, adjusted, cleaned };
struct Done { DoneWhat what = DoneWhat::replaced; std::string with, on, why, by; std::optional<Value> value; Span span; };
struct Stands { double x = 0, y = 0; int quarter = 0; bool flipped = false; int sheet = 1; Span span; };
struct OnScan { double x = 0, y = 0; std::string scan; Span span; };
struct Winding {
    std::string name;
    std::vector<double> turns;        // between each two neighbouring taps
    std::vector<double> ohms;         // likewise; empty where not given
    std::optional<double> henries;
    Span span;
};

struct Part {
    std::string ref;
    KindId kind;
    std::optional<Value> value;       // as written in `value`; none: absent or "?", or the kind has none
    std::string model;                // type number; empty: not known
    std::optional<Tolerance> tol;
    std::string package;
    Fit fit = Fit::yes;
    std::string on;                   // the board of several it stands on ("replay"); drawings only
    std::string taper;                // linear log reverse-log; empty: not said
    std::optional<double> half;       // share of the track at half turn
    std::optional<Value> resistance, inductance, capacitance;  // beside `value`: coils, heads, speakers, lamps, batteries
    std::vector<Winding> windings;
    std::vector<Pin> pins;            // fixed kinds: every pin of the kind, in its order; open kinds: those mentioned, in order
    std::vector<Found> found;
    std::vector<Done> done;
    std::optional<Stands> stands;
    std::vector<OnScan> on_scan;
    std::string note;
    Span span;                        // the whole element
    Span ref_span, value_span, model_span, kind_span, pins_span;  // attribute values, without quotes; empty where absent

    // The nominal value: `value`, else the first decoded marking; nothing where unknown.
    const Value* nominal() const;
};

struct About {
    std::string title, maker, model, serial, source, by, date, note;
    std::optional<Date> made;
};
struct Scan { std::string file; Span span; };
struct Revision { std::string letter, date, by, text; Span span; };
struct Defaults {
    CapacitorHabit capacitor = CapacitorHabit::mixed;
    std::optional<Tolerance> resistor_tol, capacitor_tol;
};

enum class CircuitRole { drawing, board };

// One <circulated> or <as-found> file. Continuity is already carried out: pins joined by tests share a net.
struct Circuit {
    SourceText source;
    CircuitRole role = CircuitRole::drawing;
    KindTable kinds;                  // built in, --kinds and the file's own
    About about;
    Defaults defaults;
    bool complete = true;             // boards
    std::string on;                   // boards: compare with the drawn parts of this board alone
    std::vector<Net> nets;            // in the order first met
    std::vector<Part> parts;          // in file order, fit="no" among them
    std::optional<Setup> setup;
    Bench bench;
    std::vector<ContinuityTest> continuity;
    Span continuity_span;             // the first <continuity>; empty: there is none
    std::vector<Device> devices;
    std::vector<Scan> scans;
    std::vector<Revision> revisions;
    std::vector<Diagnostic> remarks;  // warnings and assumptions made on reading, in the order of the text
    Span root_span;
    std::size_t children_end = 0;     // offset of the root's end tag: where a new child is inserted

    const Kind& kind_of(const Part& part) const { return kinds[part.kind]; }
    const Part& operator[](PartId id) const { return parts[id.index]; }
    const Net& operator[](NetId id) const { return nets[id.index]; }
    const Pin& operator[](PinId id) const { return parts[id.part.index].pins[id.pin]; }
    std::optional<PartId> part(std::string_view ref) const;   // linear in parts
    std::optional<NetId> net(std::string_view name) const;    // linear in nets
    std::optional<NetId> ground() const;  // the first net with role ground, else the first supply's minus
};

// The net's name, or its first pin as REF.PIN where it has none.
std::string net_name(const Circuit& circuit, NetId net);
// "R1.a", with the kind's own pin name.
std::string pin_name(const Circuit& circuit, PinId pin);

std::string_view role_word(NetRole role);
std::string_view status_word(FoundStatus status);
std::string_view where_word(FoundWhere where);
// Whether anything drives the circuit: a supply of its set-up, or a battery.
bool is_powered(const Circuit& circuit);
// How a part was measured, in words: "in circuit", "with a leg lifted", "out of circuit".
std::string_view measured_how(FoundWhere where);
std::string_view done_word(DoneWhat what);

}  // namespace tallyboard
