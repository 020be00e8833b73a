#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "solve/models/fets.h"
#include "solve/models/junctions.h"
#include "solve/models/opamp.h"
#include "solve/models/passive.h"
#include "solve/models/valves.h"
#include "solve_support.h"

using namespace tallyboard;
using namespace tallyboard::test;

namespace {
constexpr double vt = 0.025852;
const std::string ground = R"(<net name="0V" role="ground"/>)";
std::string supply(const std::string& volts_text, const std::string& net = "V") {
    return R"(<setup><supply plus=")" + net + R"(" minus="0V" voltage=")" + volts_text + R"("/></setup>)";
}
}  // namespace

TEST_CASE("a diode's voltage is VT·n·ln(I/is + 1)") {
    const Circuit circuit = drawing(ground + supply("10V") + R"(<device model="D" kind="diode" is="2.5e-9" n="1.75"/>
        <part ref="R1" kind="resistor" value="1k" pins="V A"/><part ref="D1" kind="diode" model="D" pins="anode=A cathode=0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    const double v = volts(circuit, point, "A"), i = (10 - v) / 1e3;
    CHECK(v == exactly(1.75 * vt * std::log(i / 2.5e-9 + 1)));
    // (10 - 0.68)/1k = 9.32 mA: 1.75·25.852 mV·ln(9.32e-3/2.5e-9) = 0.6845 V
    CHECK(v == nearly(0.6845));
}

TEST_CASE("a zener holds vz at its test current, and follows its exponential beside it") {
    // -I = izt·exp((-V - vz)/(nz·VT)): 5 mA at 5.6 V; I = (15 - V)/R with R = 9.4/5 mA = 1880 Ω
    const Circuit circuit = drawing(ground + supply("15V") + R"(<device model="Z" kind="zener" is="1e-14" n="1" vz="5.6" izt="5m" nz="2"/>
        <part ref="R1" kind="resistor" value="1880" pins="V A"/><part ref="D1" kind="zener" model="Z" pins="anode=0V cathode=A"/>)");
    CHECK(volts(circuit, at_rest(circuit), "A") == exactly(5.6));
    const Circuit by_value = drawing(ground + supply("15V") + R"(<part ref="R1" kind="resistor" value="1880" pins="V A"/>
        <part ref="D1" kind="zener" value="5V6" pins="anode=0V cathode=A"/>)");
    CHECK(volts(by_value, at_rest(by_value), "A") == exactly(5.6));
}

TEST_CASE("a four-resistor stage stands where Ebers and Moll put it") {
    // Vth = 24·22/(22+150) = 3.06977 V, Rth = 19.1860k; IE = (Vth - VBE)/(RE + Rth/(β+1)); RE 1k, RC 4k7, β 400, IS 1.8e-14
    const Circuit circuit = drawing(ground + supply("24V") + R"(<device model="T" kind="npn" is="1.8e-14" beta-f="400" beta-r="5"/>
        <part ref="R1" kind="resistor" value="150k" pins="V B"/><part ref="R2" kind="resistor" value="22k" pins="B 0V"/>
        <part ref="R3" kind="resistor" value="4k7" pins="V C"/><part ref="R4" kind="resistor" value="1k" pins="E 0V"/>
        <part ref="Q1" kind="npn" model="T" pins="c=C b=B e=E"/>)");
    double vbe = 0.65, ie = 0;
    for (int i = 0; i < 50; ++i) {
        ie = (24.0 * 22 / 172 - vbe) / (1e3 + 150e3 * 22 / 172 / 401);
        vbe = vt * std::log(ie * 400 / 401 / 1.8e-14 + 1);
    }
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "E") == exactly(ie * 1e3));
    CHECK(volts(circuit, point, "C") == exactly(24 - ie * 400 / 401 * 4700));
    CHECK(into(circuit, point, "Q1", "base") == exactly(ie / 401));
}

TEST_CASE("a pnp stage is the npn one with all signs turned") {
    const auto stage = [](const std::string& kind, const std::string& sign) {
        return drawing(ground + supply(sign + "12V") + R"(<device model="T" kind=")" + kind + R"(" is="1e-14" beta-f="150" beta-r="3"/>
        <part ref="R1" kind="resistor" value="100k" pins="V B"/><part ref="R2" kind="resistor" value="22k" pins="B 0V"/>
        <part ref="R3" kind="resistor" value="3k3" pins="V C"/><part ref="R4" kind="resistor" value="680" pins="E 0V"/>
        <part ref="Q1" kind=")" + kind + R"(" model="T" pins="c=C b=B e=E"/>)");
    };
    const Circuit npn = stage("npn", ""), pnp = stage("pnp", "-");
    for (const char* net : {"B", "C", "E"})
        CHECK(volts(npn, at_rest(npn), net) == exactly(-volts(pnp, at_rest(pnp), net)));
}

TEST_CASE("a saturated transistor obeys both junctions") {
    // Base driven hard: 1 mA from 10 V through 9.3k-ish; collector 10 V through 10k. Checked against the equations themselves.
    const Circuit circuit = drawing(ground + supply("10V") + R"(<device model="T" kind="npn" is="1e-14" beta-f="100" beta-r="2"/>
        <part ref="R1" kind="resistor" value="10k" pins="V B"/><part ref="R2" kind="resistor" value="10k" pins="V C"/>
        <part ref="Q1" kind="npn" model="T" pins="c=C b=B e=0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    const double vb = volts(circuit, point, "B"), vc = volts(circuit, point, "C");
    const double f = std::expm1(vb / vt), r = std::expm1((vb - vc) / vt);
    CHECK((10 - vc) / 10e3 == exactly(1e-14 * (f - r) - 1e-14 / 2 * r));
    CHECK((10 - vb) / 10e3 == exactly(1e-14 / 100 * f + 1e-14 / 2 * r));
    CHECK(vc < 0.2);
}

TEST_CASE("a JFET biases itself by the square law") {
    // ID = IDSS(1 - ID·RS/|VP|)²: IDSS 5 mA, VP -2.5 V, RS 470: with u = ID·470/2.5, u = 0.94·(1 - u)², u = 0.382747…
    const Circuit circuit = drawing(ground + supply("24V") + R"(<device model="J" kind="njfet" idss="5m" vp="-2.5" igs="1e-14"/>
        <part ref="R1" kind="resistor" value="1M" pins="G 0V"/><part ref="R2" kind="resistor" value="470" pins="S 0V"/>
        <part ref="R3" kind="resistor" value="3k3" pins="V D"/><part ref="Q1" kind="njfet" model="J" pins="s=S g=G d=D"/>)");
    const double u = ((2 * 0.94 + 1) - std::sqrt((2 * 0.94 + 1) * (2 * 0.94 + 1) - 4 * 0.94 * 0.94)) / (2 * 0.94);
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "S") == exactly(2.5 * u));
    CHECK(volts(circuit, point, "D") == exactly(24 - 2.5 * u / 470 * 3300));
}

TEST_CASE("p-channel parameters keep their signs: vp negative and idss positive, vth negative") {
    const Circuit jfet = drawing(ground + supply("-10V") + R"(<device model="J" kind="pjfet" idss="2m" vp="-2" igs="1e-14"/>
        <part ref="R1" kind="resistor" value="1k" pins="V D"/><part ref="Q1" kind="pjfet" model="J" pins="s=0V g=0V d=D"/>)");
    CHECK(volts(jfet, at_rest(jfet), "D") == exactly(-8.0));  // 2 mA at Vgs = 0, through 1k
    // pmos, source at +10 V, gate at 7 V, vth -2: |I| = 1 mA/V²·(3 - 2)² = 1 mA through 1k
    const Circuit mos = drawing(ground + R"(<setup><supply plus="V" minus="0V" voltage="10V"/><supply plus="G" minus="0V" voltage="7V"/></setup>
        <device model="M" kind="pmos" k="1m" vth="-2"/>
        <part ref="R1" kind="resistor" value="1k" pins="D 0V"/><part ref="Q1" kind="pmos" model="M" pins="s=V g=G d=D"/>)");
    CHECK(volts(mos, at_rest(mos), "D") == exactly(1.0));
    // nmos below saturation: k(2(Vgs - vth)Vds - Vds²) = (10 - Vds)/R; k 10 mA/V², over 3 V, R 1k: 10 Vds² - 61 Vds + 10 = 0
    const Circuit low = drawing(ground + R"(<setup><supply plus="V" minus="0V" voltage="10V"/><supply plus="G" minus="0V" voltage="5V"/></setup>
        <device model="M" kind="nmos" k="10m" vth="2"/>
        <part ref="R1" kind="resistor" value="1k" pins="V D"/><part ref="Q1" kind="nmos" model="M" pins="s=0V g=G d=D"/>)");
    CHECK(volts(low, at_rest(low), "D") == exactly((61 - std::sqrt(61.0 * 61 - 400)) / 20));
}

TEST_CASE("Koren's triodes give the currents of their equation at the datasheet points") {
    // trade figures worked from the equation: ECC83 at 250 V, -2 V: 0.95 mA, 1.67 mS, 53.7 kΩ; ECC82 at 250 V, -8.5 V: 10.4 mA, 2.48 mS, 7.25 kΩ
    const detail::PlateCurrent ecc83 = detail::koren_triode({100, 1.4, 1060, 0, 600, 300}, -2, 250);
    CHECK(ecc83.current == Approx(0.95e-3).epsilon(0.005));
    CHECK(ecc83.by_grid == Approx(1.67e-3).epsilon(0.005));
    CHECK(1 / ecc83.by_plate == Approx(53.7e3).epsilon(0.005));
    const detail::PlateCurrent ecc82 = detail::koren_triode({21.5, 1.3, 1180, 0, 84, 300}, -8.5, 250);
    CHECK(ecc82.current == Approx(10.4e-3).epsilon(0.005));
    CHECK(ecc82.by_grid == Approx(2.48e-3).epsilon(0.005));
    CHECK(1 / ecc82.by_plate == Approx(7.25e3).epsilon(0.005));
}

TEST_CASE("the EL84 stands at its datasheet point: 250 V, -7.3 V, 48 mA, screen 5.5 mA, 11.3 mS, 38 to 40 kilohms") {
    const Circuit circuit = drawing(ground);
    const detail::Parameters p = detail::DeviceShelf(circuit, built_in_devices()).parameters("pentode", "6BQ5");
    const auto at = detail::koren_pentode({p.get("mu", 0), p.get("ex", 0), p.get("kg1", 0), p.get("kg2", 0), p.get("kp", 0), p.get("kvb", 0)},
                                          -7.3, 250, 250);
    CHECK(at.plate == nearly(48e-3));
    CHECK(at.screen == nearly(5.5e-3));
    CHECK(at.plate_by_grid == nearly(11.3e-3));
    CHECK(1 / at.plate_by_plate == Approx(39e3).epsilon(0.03));
}

TEST_CASE("a valve stage amplifies by its slopes, µ RA/(RA + ra) with the cathode bypassed") {
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="HT" minus="0V" voltage="250V"/>
          <source net="G" return="0V"/><load net="A" return="0V"/></setup>
        <part ref="R1" kind="resistor" value="100k" pins="HT A"/><part ref="R2" kind="resistor" value="1k5" pins="K 0V"/>
        <part ref="C1" kind="electrolytic" value="1000u" pins="plus=K minus=0V"/>
        <part ref="V1A" kind="triode" model="ECC83" pins="k=K g=G a=A"/>)");
    const OperatingPoint point = at_rest(circuit);
    const double vk = volts(circuit, point, "K"), va = volts(circuit, point, "A");
    const detail::PlateCurrent plate = detail::koren_triode({100, 1.4, 1060, 0, 600, 300}, -vk, va - vk);
    CHECK((250 - va) / 100e3 == exactly(plate.current));
    CHECK(vk / 1500 == exactly(plate.current));
    const double gain = plate.by_grid / (1 / 100e3 + plate.by_plate);
    CHECK(*solver(circuit).response(std::vector<double>{1000.0})[0].db == Approx(20 * std::log10(gain)).margin(1e-3));
}

TEST_CASE("a pentode draws what its equations say at anode and screen") {
    const detail::KorenValues el34{11, 1.35, 650, 4200, 60, 24};
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="HT" minus="0V" voltage="250V"/></setup>
        <part ref="R1" kind="resistor" value="1k" pins="HT A"/><part ref="R2" kind="resistor" value="470" pins="HT S"/>
        <part ref="R3" kind="resistor" value="130" pins="K 0V"/>
        <part ref="V2" kind="pentode" model="EL34" pins="k=K g1=0V g2=S a=A"/>)");
    const OperatingPoint point = at_rest(circuit);
    const double k = volts(circuit, point, "K");
    const auto currents = detail::koren_pentode(el34, -k, volts(circuit, point, "S") - k, volts(circuit, point, "A") - k);
    CHECK(into(circuit, point, "V2", "anode") == exactly(currents.plate));
    CHECK(into(circuit, point, "V2", "screen") == exactly(currents.screen));
    CHECK(k / 130 == exactly(currents.plate + currents.screen));
}

TEST_CASE("a closed op-amp loop gives A/(1 + Aβ), and rolls off with gbw") {
    // Inverting, 10k and 100k: β = 1/11; H = -10·Aβ/(1 + Aβ), A = a0/(1 + jf·a0/gbw)
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="P" minus="0V" voltage="15V"/><supply plus="0V" minus="N" voltage="15V"/>
          <source net="IN" return="0V"/><load net="OUT" return="0V" resistance="10k"/></setup>
        <device model="A" kind="opamp" a0="1e5" gbw="1e6" vos="2m" ib="0"/>
        <part ref="R1" kind="resistor" value="10k" pins="IN M"/><part ref="R2" kind="resistor" value="100k" pins="M OUT"/>
        <part ref="IC1A" kind="opamp" model="A" pins="out=OUT in-=M in+=0V v-=N v+=P"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "OUT") == exactly(2e-3 * 11 / (1 + 11 / 1e5)));
    for (double hz : {20.0, 1000.0, 20000.0}) {
        const std::complex<double> a = 1e5 / std::complex<double>(1, hz * 1e5 / 1e6), loop = a / 11.0;
        const std::complex<double> h = -10.0 * loop / (1.0 + loop);
        const ResponsePoint got = solver(circuit).response(std::vector<double>{hz})[0];
        CHECK(*got.db == exactly(20 * std::log10(std::abs(h))));
        CHECK(*got.deg == exactly(std::arg(h) * 180 / std::numbers::pi));
    }
    CHECK(*solver(circuit).operating_point().supplies[0].amperes == Approx(1.7e-3).epsilon(0.01));
}

TEST_CASE("an op-amp's output stops short of its rails and at its largest current") {
    const auto stage = [](const std::string& load) {
        return drawing(ground + R"(<setup><supply plus="P" minus="0V" voltage="15V"/><supply plus="0V" minus="N" voltage="15V"/></setup>
        <device model="A" kind="opamp" a0="1e5" gbw="1e6" headroom-high="1" headroom-low="2" iout="20m"/>
        <part ref="R1" kind="resistor" value="10k" pins="P I"/><part ref="R2" kind="resistor" value="10k" pins="I 0V"/>
        <part ref="R3" kind="resistor" value=")" + load + R"(" pins="OUT 0V"/>
        <part ref="IC1A" kind="opamp" model="A" pins="out=OUT in-=0V in+=I v-=N v+=P"/>
        <part ref="IC1B" kind="opamp" model="A" pins="out=LOW in-=I in+=0V v-=N v+=P"/>)");
    };
    const Circuit light = stage("10k"), heavy = stage("100");
    CHECK(volts(light, at_rest(light), "OUT") == Approx(14).margin(0.02));
    CHECK(volts(light, at_rest(light), "LOW") == Approx(-13).margin(0.02));
    CHECK(volts(heavy, at_rest(heavy), "OUT") == Approx(2.0).margin(0.05));
    // What the load takes comes from the rail that gives it.
    CHECK(*at_rest(heavy).supplies[0].amperes == Approx(20e-3 + 2 * 1.7e-3 + 0.75e-3).epsilon(0.02));
}

TEST_CASE("an op-amp whose supplies are not drawn works without limits") {
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="I" minus="0V" voltage="1V"/></setup>
        <device model="A" kind="opamp" a0="1e6" gbw="1e6" ib="0"/>
        <part ref="R1" kind="resistor" value="1k" pins="M 0V"/><part ref="R2" kind="resistor" value="99k" pins="M OUT"/>
        <part ref="IC1A" kind="opamp" model="A" pins="out=OUT in-=M in+=I"/>)");
    const OperatingPoint point = at_rest(circuit);
    REQUIRE(point.converged);
    CHECK(volts(circuit, point, "OUT") == exactly(100 / (1 + 100 / 1e6)));
    // One rail drawn limits to its side alone.
    const Circuit one = drawing(ground + R"(<setup><supply plus="P" minus="0V" voltage="9V"/></setup>
        <part ref="IC1A" kind="opamp" model="TL072" pins="out=OUT in-=0V in+=P v+=P"/>)");
    CHECK(volts(one, at_rest(one), "OUT") == Approx(7.5).margin(0.02));
}

TEST_CASE("a whole package works as its sections, with the model's own parameters") {
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="P" minus="0V" voltage="9V"/></setup>
        <part ref="IC1" kind="dual-opamp" model="TL072" pins="1=OUT 2=OUT 3=I 4=0V 5=OUT 6=O2 7=O2 8=P"/>
        <part ref="R1" kind="resistor" value="10k" pins="P I"/><part ref="R2" kind="resistor" value="10k" pins="I 0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK(volts(circuit, point, "O2") == Approx(4.5).epsilon(1e-4));
    CHECK(into(circuit, point, "IC1", "8") == Approx(2.8e-3).epsilon(1e-3));
    CHECK(into(circuit, point, "IC1", "8") == Approx(-into(circuit, point, "IC1", "4")).epsilon(1e-3));
}

TEST_CASE("a programmable op-amp's supply current and bandwidth follow its set resistor") {
    // set current (9 - 0.6)/840k = 10 µA, supply current 6 times that, bandwidth 0.25 MHz
    const Circuit circuit = drawing(ground + R"(<setup><supply plus="P" minus="0V" voltage="9V"/>
          <source net="IN" return="0V"/><load net="OUT" return="0V"/></setup>
        <device model="LM4250" kind="opamp" a0="1e5" set-supply="6" set-gbw="25e9" isupply="0" rset="840k" headroom-low="-1"/>
        <part ref="IC1" kind="opamp" model="LM4250" pins="out=OUT in-=OUT in+=IN v-=0V v+=P"/>)");
    CHECK(*at_rest(circuit).supplies[0].amperes == nearly(60e-6));
    CHECK(*solver(circuit).response(std::vector<double>{250e3})[0].db == Approx(-3.0103).margin(0.01));
    const Circuit unset = drawing(ground + R"(<setup><source net="IN" return="0V"/><load net="OUT" return="0V"/></setup>
        <part ref="IC1" kind="opamp" model="LM4250" pins="out=OUT in-=OUT in+=IN"/>)");
    CHECK_FALSE(solver(unset).response(std::vector<double>{1000})[0].db);
    CHECK(solver(unset).unmodelled().size() == 1);
}

TEST_CASE("what is written is exact, the rest is the kind's default, and that is said") {
    const Circuit circuit = drawing(ground + supply("9V") + R"(<device model="X1" kind="npn" beta-f="50"/>
        <part ref="R1" kind="resistor" value="1M" pins="V B"/><part ref="R2" kind="resistor" value="10k" pins="V C"/>
        <part ref="Q1" kind="npn" model="X1" pins="c=C b=B e=0V"/><part ref="Q2" kind="npn" model="X9" pins="c=V b=0V e=0V"/>)");
    const OperatingPoint point = at_rest(circuit);
    CHECK((9 - volts(circuit, point, "C")) / 10e3 == exactly(50 * into(circuit, point, "Q1", "base")));
    const std::vector<std::string> remarks = solver(circuit).remarks();
    const auto said = [&](const std::string& text) {
        for (const std::string& remark : remarks)
            if (remark.find(text) != std::string::npos) return true;
        return false;
    };
    CHECK(said("X1: is and beta-r as usual"));
    CHECK(said("Q2: X9 is not among the known devices"));
}

TEST_CASE("a type number with a suffix finds the shorter type, its own entry first") {
    const Circuit circuit = drawing(ground + R"(<device model="BC999" kind="npn" beta-f="70"/><device model="BC999C" kind="npn" beta-f="90"/>
        <part ref="Q1" kind="npn" model="bc 999c" pins="c=A b=B e=C"/><part ref="Q2" kind="npn" model="BC999B" pins="c=A b=B e=C"/>)");
    const detail::DeviceShelf shelf(circuit, built_in_devices());
    CHECK(shelf.parameters("npn", "bc 999c").get("beta-f", 0) == 90);
    CHECK(shelf.parameters("npn", "BC999B").get("beta-f", 0) == 70);
    CHECK_FALSE(shelf.parameters("npn", "BC998").device_known);
    CHECK(shelf.parameters("triode", "12AX7").device_known);
    CHECK(shelf.parameters("triode", "12AX7").get("kg1", 0) == 1060);
}

TEST_CASE("slopes of every model are the differences of its currents") {
    std::vector<std::unique_ptr<detail::Element>> elements;
    elements.push_back(std::make_unique<detail::Diode>(detail::Diode::Values{1e-9, 1.7, 5.6, 5e-3, 3}));
    elements.push_back(std::make_unique<detail::Neon>(detail::Neon::Values{60, 1e-3, 20}));
    elements.push_back(std::make_unique<detail::Bipolar>(detail::Bipolar::Values{1e-14, 120, 3, 1}));
    elements.push_back(std::make_unique<detail::Bipolar>(detail::Bipolar::Values{1e-14, 120, 3, -1}));
    elements.push_back(std::make_unique<detail::FieldEffect>(detail::FieldEffect::Values{1e-3, -2, 1e-14, 1}));
    elements.push_back(std::make_unique<detail::FieldEffect>(detail::FieldEffect::Values{1e-3, -2, 1e-14, -1}));
    elements.push_back(std::make_unique<detail::FieldEffect>(detail::FieldEffect::Values{1e-3, 1.5, 0, 1}));
    elements.push_back(std::make_unique<detail::Triode>(detail::KorenValues{100, 1.4, 1060, 0, 600, 300}));
    elements.push_back(std::make_unique<detail::Pentode>(detail::KorenValues{11, 1.35, 650, 4200, 60, 24}));
    detail::OpAmp::Values chip;
    chip.has_minus = chip.has_plus = true;
    chip.isupply = 1e-3;
    chip.a0 = 20;
    chip.set_supply = 5;
    chip.rset = 1e6;
    elements.push_back(std::make_unique<detail::OpAmp>(chip));
    chip.has_set = true;
    elements.push_back(std::make_unique<detail::OpAmp>(chip));
    elements.push_back(std::make_unique<detail::Resistor>(470));
    elements.push_back(std::make_unique<detail::Branch>(detail::Branch::Values{5, 3, 1}));
    elements.push_back(std::make_unique<detail::Transformer>(4, std::vector<detail::Transformer::Stretch>{{0, 1, 10, 2}, {2, 3, 3, 1}},
                                                             std::vector<int>{0, 0, 1, 1}, 0));
    std::uint32_t seed = 7;
    const auto random = [&] { return static_cast<double>(seed = seed * 1664525u + 1013904223u) / 4294967296.0; };
    for (const auto& element : elements) {
        const int n = element->size();
        for (int trial = 0; trial < 200; ++trial) {
            // Junctions between -3 V and their knee, valves in volts of their own.
            const bool valve = dynamic_cast<detail::Triode*>(element.get()) || dynamic_cast<detail::Pentode*>(element.get());
            std::vector<double> x(n);
            for (int k = 0; k < n; ++k) x[k] = valve ? (k == 1 ? -8 * random() : k == 0 ? random() : 200 * random()) : 1.2 * random() - 0.6;
            if (n > 5) x[4] += 6, x[3] -= 6, x[n - 1] = 0.06 * random() - 0.03;  // op-amp rails and current
            if (n == 7) x[5] = x[4] - 0.6 * random();
            const auto work = [&](const std::vector<double>& at, std::vector<double>& f, std::vector<double>& j) {
                f.assign(n, 0);
                j.assign(n * n, 0);
                element->rest(at.data(), 1, f.data(), j.data());
            };
            std::vector<double> f, j, up, down, unused;
            work(x, f, j);
            double total = 0, size = 1e-30;
            for (int k = 0; k < element->nodes(); ++k) total += f[k], size += std::fabs(f[k]);
            const bool closed = !dynamic_cast<detail::OpAmp*>(element.get());  // an op-amp's bias currents return inside it
            if (closed) CHECK(std::fabs(total) <= 1e-12 * size);
            for (int c = 0; c < n; ++c) {
                const double h = 1e-6 * std::max(std::fabs(x[c]), 0.01);
                std::vector<double> moved = x;
                moved[c] = x[c] + h;
                work(moved, up, unused);
                moved[c] = x[c] - h;
                work(moved, down, unused);
                for (int r = 0; r < n; ++r) {
                    const double slope = (up[r] - down[r]) / (2 * h);
                    const double second = std::fabs(up[r] - 2 * f[r] + down[r]) / h;
                    INFO("row " << r << " column " << c << " trial " << trial);
                    CHECK(std::fabs(j[r * n + c] - slope) <= 1e-5 * std::fabs(slope) + second + 1e-9 * (std::fabs(f[r]) / h + 1e-9));
                    if (j[r * n + c] != 0) CHECK(element->couples(r, c, true));
                }
            }
        }
    }
}

TEST_CASE("a file's own kinds work by their pins or their quantity, and have no model otherwise") {
    const Circuit circuit = drawing(ground + supply("12V") + R"(
        <kind name="thick-film" quantity="resistance"><pin name="a"/><pin name="b"/></kind>
        <kind name="gadget"><pin name="a"/><pin name="b"/></kind>
        <part ref="X1" kind="thick-film" value="1k" pins="a=V b=M"/><part ref="R1" kind="resistor" value="2k" pins="M 0V"/>
        <part ref="X2" kind="gadget" model="G" pins="a=Z b=0V"/>)");
    CHECK(volts(circuit, at_rest(circuit), "M") == exactly(8.0));
    REQUIRE(solver(circuit).unmodelled().size() == 1);
    CHECK(solver(circuit).unmodelled()[0].ref == "X2");
}
