#include "xml/templates.h"

#include <utility>

namespace tallyboard {
namespace {

constexpr std::string_view circulated = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- The drawing: a circulated schematic, copied as it is drawn, slips and all. -->
<circulated xmlns="urn:tallyboard:circuit:1">
  <about>
    <title>Name of the circuit</title>
    <maker>Who made it</maker> <model>Type of the unit</model>
    <source>which scan, which page, who gave it</source>
  </about>

  <!-- The sheet's own note on how it writes values. capacitor: uF, pF, or mixed (below 1 µF, from 1 pF). -->
  <defaults capacitor="mixed" resistor-tol="10%" capacitor-tol="20%"/>

  <!-- A net exists as soon as a pin names it. Write those that have a role:
       ground earth supply mains heater signal other. -->
  <net name="0V" role="ground"/>
  <net name="+24V" role="supply"/>

  <!-- ref: as on the drawing. kind: resistor capacitor electrolytic npn triode opamp … (tallyboard check names the nearest
       when one is not known). value: as drawn. pins: the nets of the pins, in order where they may be exchanged, else PIN=NET. -->
  <part ref="R1" kind="resistor" value="47k" pins="BASE 0V"/>
  <part ref="R2" kind="resistor" value="4k7" pins="+24V OUT"/>
  <part ref="Q1" kind="npn" model="BC109" pins="emitter=0V base=BASE collector=OUT"/>
  <part ref="C1" kind="electrolytic" value="10u" pins="plus=BASE minus=IN"/>
  <part ref="J1" kind="jack" pins="tip=IN sleeve=0V"/>
  <part ref="J2" kind="jack" pins="tip=OUT sleeve=0V"/>

  <!-- What the circuit is worked with, for voltages and response. Take the marks away and fill in.
  <setup>
    <supply plus="+24V" minus="0V" voltage="24V"/>
    <source net="IN" return="0V" resistance="600"/>
    <load net="OUT" return="0V" resistance="47k"/>
    <control ref="VR1" at="0.5"/>
  </setup>
  -->
</circulated>
)";

constexpr std::string_view as_found = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- The board: one specimen, as found on the bench. Leave out complete="no" when every drawn part has been looked for. -->
<as-found xmlns="urn:tallyboard:circuit:1" complete="no">
  <about>
    <title>Name of the circuit</title>
    <maker>Who made it</maker> <model>Type of the unit</model> <serial>00000</serial>
    <!-- made: 1972, 1972? (not sure), 1972~ (about), 197X, 1972/1974 (from, to) -->
    <made>197X</made>
    <source>traced from the copper side, by whom, when</source>
  </about>

  <net name="0V" role="ground"/>
  <net name="+24V" role="supply"/>

  <!-- References and net names are this file's own; they need not be the drawing's.
       In pins: ? is a pin not traced yet, - a pin known to go nowhere. A pin not written is ?. -->
  <part ref="R1" kind="resistor" value="47k" pins="BASE 0V">
    <!-- marking: as printed, or the bands. measured: by the meter. where: out, lifted or in. status: original replaced added unknown. -->
    <found marking="yellow violet orange silver" measured="51.2k" where="lifted" status="original"/>
  </part>
  <part ref="Q1" kind="npn" model="BC109C" pins="emitter=0V base=BASE collector=?"/>
  <part ref="C1" kind="electrolytic" pins="plus=BASE minus=?">
    <found marking="10/25" status="original" condition="dry"/>
    <!-- what was done about it, for when the unit leaves:
    <done what="replaced" with="10u 63V" on="2026-03-04" why="dry"/> -->
  </part>

  <!-- Meters and readings. when: found (as it came) or left (as it went).
  <bench>
    <meter id="dmm" input="10M" error="1%"/>
    <reading what="voltage" at="BASE" to="0V" is="3.92V" meter="dmm"/>
    <reading what="resistance" at="R1.a" to="0V" is="45k" without="Q1"/>
  </bench>
  -->

  <!-- Continuity tests with the power off. beeps: yes (copper), part (through a low part), no.
  <continuity>
    <test from="R1.a" to="Q1.base" beeps="yes"/>
  </continuity>
  -->
</as-found>
)";

constexpr std::string_view review = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- What is decided on each finding of a comparison. The ids are those that tallyboard compare prints. -->
<review xmlns="urn:tallyboard:circuit:1" drawing="drawing.xml" board="board.xml">
  <!-- is: drawing (the drawing is wrong: correct it), specimen (a drifted or failed part), repair, modification,
       production (a change in production), tracing (look again), rejected, open. -->
  <decision finding="value@R3" is="open">why, and what speaks for it</decision>

  <!-- To bind two parts to each other in every comparison made with this review:
  <pair drawing="R7" board="R12"/> -->
</review>
)";

constexpr std::string_view family = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- The boards of one design across its production years. Paths are relative to this file. -->
<family xmlns="urn:tallyboard:circuit:1">
  <about><title>Name of the design</title></about>
  <base file="drawing.xml"/>
  <!-- made and serial go before what the board's own file says. seen: where the unit is. -->
  <member file="board-00001.xml" made="197X" serial="00001"/>
  <member file="board-00002.xml" review="board-00002.review.xml" made="1974/1975" serial="00002" seen="workshop"/>
</family>
)";

constexpr std::pair<std::string_view, std::string_view> templates[] = {
    {"circulated", circulated}, {"as-found", as_found}, {"review", review}, {"family", family}};

}  // namespace

const std::vector<std::string>& template_names() {
    static const std::vector<std::string> names = [] {
        std::vector<std::string> out;
        for (const auto& [name, text] : templates) out.emplace_back(name);
        return out;
    }();
    return names;
}

std::optional<std::string> template_text(std::string_view name) {
    for (const auto& [known, text] : templates)
        if (known == name) return std::string(text);
    return std::nullopt;
}

}  // namespace tallyboard
