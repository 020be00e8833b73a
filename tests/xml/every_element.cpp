#include "xml/every_element.h"

namespace tallyboard::test {

const std::string full_drawing = R"(<?xml version="1.0" encoding="UTF-8"?>
<circulated xmlns="urn:tallyboard:circuit:1" xmlns:pencil="urn:someone:else" pencil:page="2">
  <about>
    <title>Tern T-12 erase &amp; replay</title> <maker>Oakhollow Audio Works</maker> <model>T-12</model> <serial>no</serial>
    <made>1971/1974</made> <source>second-hand copy</source> <by>M. Fen</by> <date>2026-03</date> <note>page 2 of 3</note>
  </about>
  <pencil:margin>anything <pencil:at/> all</pencil:margin>
  <defaults capacitor="uF" resistor-tol="10%" capacitor-tol="-20/+80%"/>
  <scan file="t12.png" note="page 2"/>
  <kind name="ptc" says="a PTC resistor" quantity="resistance" value-or-model="yes" polarised="no" conductor="no" letters="TH"
        pattern="fixed">
    <pin name="a" others="1 x" role="plain" may-be-left-out="no"/>
    <pin name="b"/>
    <exchange pins="a b"/>
    <synonyms>PT1 PT-ONE</synonyms>
    <symbol habit="boxed">
      <at pin="a" x="-2" y="0" leaves="l"/> <at pin="b" x="2" y="0" leaves="r"/>
      <line points="-2,0 -1,0" weight="thin" closed="no" filled="no"/>
      <line points="-1,-0.5 1,-0.5 1,0.5 -1,0.5" weight="heavy" closed="yes" filled="yes"/>
      <circle x="0" y="0" r="0.25" weight="normal" filled="yes"/>
      <arc x="0" y="0" r="0.5" from="0" to="180" weight="normal"/>
      <text x="0" y="-1" size="0.8" says="+t°"/>
    </symbol>
    <symbol like="resistor"/>
  </kind>
  <kind name="relay-pair" says="two contacts" letters="K">
    <pin name="1"/> <pin name="2"/> <pin name="3"/> <pin name="4"/>
    <exchange pins="1 2" with="3 4"/>
    <section kind="switch" pins="a=1 b=2"/>
    <section kind="switch" of="2" pins="a=3 b=4"/>
  </kind>
  <device model="BC109C" kind="npn" is="1e-14" beta-f="500" beta-r="4" spread-low="0.8" spread-high="1.5" spread-vbe="0.02" source="typical" note="high group"/>
  <device kind="diode" is="2.5n" n="1.75"/>
  <net name="0V" role="ground" note="chassis"/>
  <net name="E" role="earth"/> <net name="HT" role="supply"/> <net name="L" role="mains"/> <net name="H" role="heater"/>
  <net name="S" role="signal"/> <net name="X" role="other"/>
  <part ref="R1" kind="resistor" value="47k ½W" tol="5%" fit="optional" on="replay" pins="HT S" note="hot"/>
  <part ref="R2" kind="resistor" value="?" model="CR25" fit="yes" pins="S X"/>
  <part ref="R3" kind="resistor" value="10k" fit="no" pins="S X"/>
  <part ref="RT1" kind="ptc" value="PT1" pins="X 0V"/>
  <part ref="C1" kind="capacitor" value=".047" pins="S 0V">
    <stands x="3.5" y="-2" quarter="3" flipped="yes" sheet="2"/>
    <on-scan x="812" y="440" scan="t12.png"/>
  </part>
  <part ref="VR1" kind="potentiometer" value="10k" taper="reverse-log" half="15%" pins="ccw=0V wiper=S cw=X"/>
  <part ref="L1" kind="coil" value="2H" resistance="110" capacitance="100p" pins="X 0V"/>
  <part ref="HD1" kind="head" inductance="400m" resistance="220" pins="S 0V"/>
  <part ref="T1" kind="transformer" pins="p1=L p2=E p3=X s1=H s2=0V">
    <winding name="p" turns="1500 1500" resistance="110 120" inductance="12H"/>
    <winding name="s" turns="300"/>
  </part>
  <part ref="V1A" package="V1" kind="triode" model="ECC83" pins="k=X g=S a=HT"/>
  <part ref="V1B" package="V1" kind="triode" value="12AX7" pins="cathode=X grid=- anode=HT"/>
  <part ref="V1H" package="V1" kind="heater" value="6.3V" pins="H 0V"/>
  <part ref="Q1" kind="npn" model="BC109C" pins="c=HT b=S e=X"/>
  <part ref="S1" kind="selector" pins="common=S 1=X 2=HT"/>
  <part ref="S2" kind="changeover" pins="c=S a=X b=-"/>
  <part ref="S3" kind="switch" pins="X HT"/>
  <part ref="B1" kind="battery" value="9V" resistance="2" pins="plus=HT minus=0V"/>
  <part ref="K1" kind="relay-pair" pins="S X HT 0V"/>
  <part ref="IC1" kind="ic" model="TDA 1" pins="in=S out=X 8=HT"/>
  <revision letter="A" date="2026-03-04" by="M. Fen">R1 was 56k; marked 47k, original solder</revision>
  <setup>
    <supply name="main" plus="HT" minus="0V" voltage="24V" resistance="1"/>
    <supply plus="0V" minus="X" voltage="12V"/>
    <source net="S" return="0V" resistance="600"/>
    <load net="X" return="0V" resistance="47k"/>
    <control ref="VR1" at="0.25"/> <control ref="S1" at="2"/> <control ref="S2" at="b"/> <control ref="S3" at="closed"/>
  </setup>
  <bench note="with the cover off"><meter id="m" input="20k/V" error="2%" burden="100mV" test="200mV" note="old"/></bench>
</circulated>
)";

const std::string full_board = R"(<?xml version="1.0" encoding="UTF-8"?>
<?xml-model href="tallyboard-circuit-1.xsd"?>
<as-found xmlns="urn:tallyboard:circuit:1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
          xsi:schemaLocation="urn:tallyboard:circuit:1 tallyboard-circuit-1.xsd" complete="no" on="replay">
  <about><title>Tern T-12</title><made>1972?</made></about>
  <net name="0V" role="ground"/>
  <part ref="R1" kind="resistor" pins="A 0V">
    <found marking="yellow violet orange silver" measured="51.2k" where="lifted" status="original" condition="dark"
           date-code="7212" meter="dmm" note="hot side"/>
    <found measured="50.9k" where="out" status="unknown"/>
    <done what="replaced" with="47k" on="2026-03-04" why="drifted" by="M. Fen"/>
    <done what="cleaned"/>
  </part>
  <part ref="R2" kind="resistor" value="10k" pins="A ?"><found where="in" status="added"/><done what="adjusted" with="9k1"/></part>
  <part ref="R3" kind="resistor" value="10k" pins="? ?"><found status="replaced"/><done what="removed"/><done what="added"/></part>
  <part ref="C1" kind="electrolytic" value="10u" pins="plus=A minus=-"/>
  <part ref="B1" kind="battery" value="9V" pins="+=A -=0V"/>
  <part ref="Q1" kind="npn" model="BC109C"/>
  <bench>
    <meter id="dmm" input="10M" error="1%" test="1mA"/>
    <reading what="voltage" at="A" to="0V" is="3.92V" meter="dmm" when="found" note="steady"/>
    <reading what="voltage" at="R1.a" is="-12mV" within="5mV" when="left"/>
    <reading what="resistance" at="R1.a" to="0V" is="45k" without="Q1 R2"/>
    <reading what="current" through="B1" is="8.1mA" range="10mA"/>
    <reading what="current" through="R1.a" is="80u"/>
  </bench>
  <continuity>
    <test from="R2.b" to="R3.a" beeps="yes" note="copper side"/>
    <test from="R3.b" to="A" beeps="no"/>
    <test from="R1.a" to="0V" beeps="part"/>
    <test from="Q1.base" to="A" beeps="yes"/>
  </continuity>
</as-found>
)";

const std::string full_review = R"(<review xmlns="urn:tallyboard:circuit:1" drawing="d.xml" board="b.xml">
  <decision finding="value@R3" is="drawing" by="M. Fen" on="2026-03-04">marked 56k, original solder</decision>
  <decision finding="moved@C3.a" is="specimen"/> <decision finding="split@R2.b#2" is="repair"/>
  <decision finding="kind@C1" is="modification"/> <decision finding="extra@R9" is="production"/>
  <decision finding="missing@R8" is="tracing"/> <decision finding="drift@R1" is="rejected"/>
  <decision finding="unverified@Q1" is="open"/>
  <pair drawing="R7" board="R12"/>
</review>
)";

const std::string full_family = R"(<family xmlns="urn:tallyboard:circuit:1">
  <about><title>Tern T-12</title></about>
  <base file="t12.drawing.xml"/>
  <member file="00731.xml" review="00731.review.xml" made="1972?" serial="00731" seen="workshop" note="first seen"/>
  <member file="00802.xml"/>
</family>
)";

const std::string full_kinds = R"(<kinds xmlns="urn:tallyboard:circuit:1">
  <kind name="posistor"><pin name="a"/><pin name="b"/><exchange pins="a b"/><symbol like="resistor"/></kind>
</kinds>
)";

const std::string full_devices = R"(<devices xmlns="urn:tallyboard:circuit:1">
  <device model="Z1" kind="zener" is="1e-14" n="1" vz="6.2" izt="5m" nz="4"/>
  <device model="F1" kind="njfet" idss="5mA" vp="-2.5" igs="10f"/> <device model="M1" kind="nmos" k="0.05" vth="2V"/>
  <device model="ECC83" kind="triode" mu="100" ex="1.4" kg1="1060" kp="600" kvb="300" source="Koren 1996"/>
  <device kind="pentode" mu="10" ex="1.35" kg1="600" kg2="4500" kp="60" kvb="24"/>
  <device model="TL072" kind="opamp" a0="200k" gbw="3MHz" vos="3m" ib="65p" headroom-high="1.5" headroom-low="1.5" iout="0.02"
          rout="100" isupply="1.4mA" set-supply="20" set-gbw="1e10" rset="1M"/>
  <device kind="lamp" r="40"/>
</devices>
)";

}  // namespace tallyboard::test
