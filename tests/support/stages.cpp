#include "support/stages.h"

#include <algorithm>

#include "support/random_circuits.h"

namespace tallyboard::test {
namespace {

using Texts = std::vector<std::string>;

std::string low_pass(Workshop& shop, const std::string& in) {
    const std::string out = shop.net();
    shop.resistor(shop.random.pick(Texts{"1k", "2k2", "4k7", "10k"}), in, out);
    shop.capacitor(shop.random.pick(Texts{"100p", "220p", "470p", "1n"}), out, "0V");
    return out;
}

std::string volume(Workshop& shop, const std::string& in) {
    const std::string top = shop.net(), out = shop.net();
    shop.capacitor(shop.random.pick(Texts{"220n", "470n", "1u"}), in, top);
    shop.pot(shop.random.pick(Texts{"22k", "47k", "100k"}), "0V", out, top);
    return out;
}

std::string tone_cut(Workshop& shop, const std::string& in) {
    const std::string out = shop.net(), wiper = shop.net();
    shop.resistor(shop.random.pick(Texts{"10k", "15k", "22k"}), in, out);
    shop.capacitor(shop.random.pick(Texts{"10n", "22n", "47n"}), out, wiper);
    shop.pot(shop.random.pick(Texts{"47k", "100k"}), "0V", wiper, wiper);
    return out;
}

std::string series_resistor(Workshop& shop, const std::string& in) {
    const std::string out = shop.net();
    shop.resistor(shop.random.pick(Texts{"100", "470", "1k", "2k2"}), in, out);
    return out;
}

// A quieter rail for the stages that follow.
std::string decouple(Workshop& shop, const std::string& in) {
    const std::string quiet = shop.named("VD");
    if (shop.rail_volts > 100) shop.resistor(shop.random.pick(Texts{"10k", "15k", "22k"}), shop.rail, quiet);
    else shop.resistor(shop.random.pick(Texts{"100", "220", "470"}), shop.rail, quiet);
    shop.electrolytic(shop.rail_volts > 100 ? "16u" : shop.random.pick(Texts{"47u", "100u", "220u"}), quiet, "0V");
    shop.rail = quiet;
    return in;
}

std::string rail_capacitor(Workshop& shop, const std::string& in) {
    shop.capacitor("100n", shop.negative.empty() || shop.random.chance(50) ? shop.rail : shop.negative, "0V");
    return in;
}

// Collector at 0.6 of the rail, emitter at a tenth of it, divider current ten times the base current.
std::string common_emitter(Workshop& shop, const std::string& in, bool split_emitter, bool miller) {
    const double rc = shop.random.pick(std::vector<double>{2200, 3300, 4700, 6800, 10000});
    const double current = 0.4 * shop.rail_volts / rc, ve = 0.1 * shop.rail_volts, vb = ve + 0.65;
    const double re = ve / current, lower = 8 * re;
    const std::string base = shop.net(), emitter = shop.net(), collector = shop.net();
    shop.electrolytic(shop.random.pick(Texts{"2u2", "4u7", "10u"}), in, base);
    shop.resistor(lower * (shop.rail_volts - vb) / vb, shop.rail, base);
    shop.resistor(lower, base, "0V");
    shop.npn(emitter, base, collector);
    shop.resistor(rc, shop.rail, collector);
    if (split_emitter) {
        const std::string tap = shop.net();
        shop.resistor(0.2 * re, emitter, tap);
        shop.resistor(0.8 * re, tap, "0V");
        shop.electrolytic("100u", tap, "0V");
    } else {
        shop.resistor(re, emitter, "0V");
        shop.electrolytic("47u", emitter, "0V");
    }
    if (miller) shop.capacitor(shop.random.pick(Texts{"47p", "68p", "100p"}), collector, base);
    return collector;
}

std::string follower(Workshop& shop, const std::string& in) {
    const std::string base = shop.net(), emitter = shop.net();
    shop.electrolytic("4u7", in, base);
    shop.resistor("100k", shop.rail, base);
    shop.resistor("120k", base, "0V");
    shop.npn(emitter, base, shop.rail);
    shop.resistor(shop.random.pick(Texts{"2k2", "3k3", "4k7"}), emitter, "0V");
    return emitter;
}

// Two transistors coupled directly, the second's emitter feeding the first's base: for 24 V, as replay amplifiers have it.
std::string feedback_pair(Workshop& shop, const std::string& in) {
    const std::string b1 = shop.net(), e1 = shop.net(), c1 = shop.net(), e2 = shop.net(), tap = shop.net(), c2 = shop.net(),
                      fb = shop.net();
    shop.electrolytic("10u", in, b1);
    shop.resistor("100k", b1, tap);
    shop.npn(e1, b1, c1);
    shop.resistor(shop.random.pick(Texts{"150k", "220k"}), shop.rail, c1);
    shop.resistor(shop.random.pick(Texts{"220", "470"}), e1, "0V");
    shop.npn(e2, c1, c2);
    shop.resistor("10k", shop.rail, c2);
    shop.resistor("1k2", e2, tap);
    shop.resistor("680", tap, "0V");
    shop.electrolytic("47u", tap, "0V");
    shop.electrolytic("22u", c2, fb);
    shop.resistor(shop.random.pick(Texts{"22k", "33k", "47k"}), fb, e1);
    return c2;
}

std::string fet_buffer(Workshop& shop, const std::string& in) {
    const std::string gate = shop.net(), source = shop.net();
    shop.capacitor("100n", in, gate);
    shop.resistor("1M", gate, "0V");
    shop.add("njfet", "2N3819", {{"source", source}, {"gate", gate}, {"drain", shop.rail}});
    shop.resistor("4k7", source, "0V");
    return source;
}

std::string inverting(Workshop& shop, const std::string& in, bool roll_off) {
    const std::string sum = shop.net(), node = shop.net(), out = shop.net();
    shop.electrolytic("10u", in, node);
    shop.resistor(shop.random.pick(Texts{"10k", "10k", "22k"}), node, sum);
    shop.resistor(shop.random.pick(Texts{"10k", "47k", "100k"}), sum, out);
    shop.opamp(out, sum, "0V");
    if (roll_off) shop.capacitor(shop.random.pick(Texts{"33p", "47p", "100p"}), sum, out);
    return out;
}

std::string non_inverting(Workshop& shop, const std::string& in) {
    const std::string plus = shop.net(), minus = shop.net(), leg = shop.net(), out = shop.net();
    shop.capacitor("470n", in, plus);
    shop.resistor("100k", plus, "0V");
    shop.opamp(out, minus, plus);
    shop.resistor(shop.random.pick(Texts{"10k", "22k", "47k"}), out, minus);
    shop.resistor(shop.random.pick(Texts{"1k", "2k2"}), minus, leg);
    shop.electrolytic("47u", leg, "0V");
    return out;
}

std::string buffer(Workshop& shop, const std::string& in) {
    const std::string plus = shop.net(), out = shop.net();
    shop.capacitor("470n", in, plus);
    shop.resistor("220k", plus, "0V");
    shop.opamp(out, out, plus);
    return out;
}

std::string two_pole_filter(Workshop& shop, const std::string& in) {
    const std::string middle = shop.net(), plus = shop.net(), out = shop.net();
    const std::string value = shop.random.pick(Texts{"10k", "15k", "22k"});
    shop.resistor(value, in, middle);
    shop.resistor(value, middle, plus);
    shop.capacitor(shop.random.pick(Texts{"1n", "2n2"}), middle, out);
    shop.capacitor(shop.random.pick(Texts{"470p", "1n"}), plus, "0V");
    shop.opamp(out, out, plus);
    return out;
}

std::string bass_and_treble(Workshop& shop, const std::string& in) {
    const std::string feed = shop.net(), b1 = shop.net(), b2 = shop.net(), bw = shop.net(), t1 = shop.net(), t2 = shop.net(),
                      tw = shop.net(), sum = shop.net(), out = shop.net();
    shop.electrolytic("10u", in, feed);
    shop.resistor("10k", feed, b1);
    shop.pot("100k", b2, bw, b1);
    shop.resistor("10k", b2, out);
    shop.capacitor("39n", b1, bw);
    shop.capacitor("39n", bw, b2);
    shop.resistor("10k", bw, sum);
    shop.resistor("3k9", feed, t1);
    shop.pot("100k", t2, tw, t1);
    shop.resistor("3k9", t2, out);
    shop.capacitor("4n7", tw, sum);
    shop.opamp(out, sum, "0V");
    return out;
}

std::string common_cathode(Workshop& shop, const std::string& in, bool stopper, bool bypass) {
    const std::string node = shop.net(), k = shop.net(), a = shop.net();
    std::string grid = node;
    shop.capacitor(shop.random.pick(Texts{"22n", "47n", "100n"}), in, node);
    shop.resistor(shop.random.pick(Texts{"470k", "1M"}), node, "0V");
    if (stopper) {
        grid = shop.net();
        shop.resistor(shop.random.pick(Texts{"4k7", "10k", "68k"}), node, grid);
    }
    shop.triode(k, grid, a);
    shop.resistor(shop.random.pick(Texts{"100k", "100k", "220k"}), shop.rail, a);
    shop.resistor(shop.random.pick(Texts{"1k", "1k5", "2k2"}), k, "0V");
    if (bypass) shop.electrolytic(shop.random.pick(Texts{"22u", "47u"}), k, "0V");
    return a;
}

std::string cathode_follower(Workshop& shop, const std::string& in) {
    const std::string grid = shop.net(), k = shop.net(), tap = shop.net();
    shop.capacitor("100n", in, grid);
    shop.resistor("1M", grid, tap);
    shop.triode(k, grid, shop.rail);
    shop.resistor("1k5", k, tap);
    shop.resistor("47k", tap, "0V");
    return k;
}

std::string tone_stack(Workshop& shop, const std::string& in) {
    const std::string top = shop.net(), slope = shop.net(), mid = shop.net(), low = shop.net(), out = shop.net();
    shop.capacitor(shop.random.pick(Texts{"270p", "390p", "470p"}), in, top);
    shop.resistor(shop.random.pick(Texts{"47k", "68k", "100k"}), in, slope);
    shop.capacitor("68n", slope, low);
    shop.capacitor("33n", slope, mid);
    shop.pot("220k", low, out, top);
    shop.pot("470k", mid, low, low);
    shop.pot("22k", "0V", "0V", mid);
    return out;
}

std::string output_valve(Workshop& shop, const std::string& in) {
    const std::string node = shop.net(), grid = shop.net(), k = shop.net(), screen = shop.net(), a = shop.net(), out = shop.net();
    shop.capacitor("220n", in, node);
    shop.resistor("330k", node, "0V");
    shop.resistor("2k2", node, grid);
    shop.add("pentode", "EL84", {{"cathode", k}, {"grid", grid}, {"screen", screen}, {"anode", a}});
    shop.resistor("150", k, "0V");
    shop.electrolytic("220u", k, "0V");
    shop.resistor("1k", shop.rail, screen);
    shop.electrolytic("8u", screen, "0V");
    shop.add("transformer", "25:1", {{"p1", shop.rail}, {"p2", a}, {"s1", out}, {"s2", "0V"}});
    return out;
}

struct Stage {
    std::size_t parts;
    std::function<std::string(Workshop&, const std::string&)> add;
};

const std::vector<Stage>& stages_of(Style style) {
    static const std::vector<Stage> transistor{
        {7, [](Workshop& s, const std::string& in) { return common_emitter(s, in, false, false); }},
        {8, [](Workshop& s, const std::string& in) { return common_emitter(s, in, true, false); }},
        {9, [](Workshop& s, const std::string& in) { return common_emitter(s, in, true, true); }},
        {5, follower}, {12, feedback_pair}, {4, fet_buffer}, {2, volume}, {2, low_pass}, {3, tone_cut}, {2, decouple}};
    static const std::vector<Stage> opamp{
        {4, [](Workshop& s, const std::string& in) { return inverting(s, in, false); }},
        {5, [](Workshop& s, const std::string& in) { return inverting(s, in, true); }},
        {6, non_inverting}, {3, buffer}, {5, two_pole_filter}, {12, bass_and_treble}, {2, volume}, {2, low_pass},
        {1, rail_capacitor}};
    static const std::vector<Stage> valve{
        {5, [](Workshop& s, const std::string& in) { return common_cathode(s, in, false, false); }},
        {6, [](Workshop& s, const std::string& in) { return common_cathode(s, in, false, true); }},
        {7, [](Workshop& s, const std::string& in) { return common_cathode(s, in, true, true); }},
        {5, cathode_follower}, {7, tone_stack}, {9, output_valve}, {2, volume}, {2, decouple}, {2, low_pass}};
    static const std::vector<Stage> mixed = [] {
        std::vector<Stage> all = transistor;
        std::erase_if(all, [](const Stage& stage) { return stage.parts == 12; });   // the pair wants 24 V
        all.insert(all.end(), opamp.begin(), opamp.end());
        return all;
    }();
    switch (style) {
        case Style::opamp: return opamp;
        case Style::valve: return valve;
        case Style::mixed: return mixed;
        case Style::transistor: case Style::supply: return transistor;
    }
    return transistor;
}

}  // namespace

std::string add_stage(Workshop& shop, Style style, std::size_t room, const std::string& in) {
    if (room == 1) return series_resistor(shop, in);
    const std::vector<Stage>& stages = stages_of(style);
    for (;;) {
        const Stage& stage = shop.random.pick(stages);
        if (stage.parts <= room) return stage.add(shop, in);
    }
}

void add_supply(Workshop& shop, std::size_t room) {
    const std::size_t end = shop.draft.parts.size() + room;
    const auto left = [&] { return end - shop.draft.parts.size(); };
    if (room < 8) {
        for (; left() > 0;) rail_capacitor(shop, "0V");
        return;
    }
    const std::string live = shop.named("L"), neutral = shop.named("N"), fused = shop.named("LF"), ac1 = shop.net(),
                      ac2 = shop.net(), raw = shop.named("RAW");
    shop.add("terminal", "", {{"a", live}});
    shop.add("terminal", "", {{"a", neutral}});
    shop.add("fuse", "500mA", {{"a", live}, {"b", fused}});
    shop.add("transformer", "XT-7", {{"p1", fused}, {"p2", neutral}, {"s1", ac1}, {"s2", ac2}});
    if (left() >= 14 && shop.random.chance(50)) {
        for (const auto& [anode, cathode] : {std::pair{ac1, raw}, {ac2, raw}, {std::string("0V"), ac1}, {std::string("0V"), ac2}})
            shop.add("diode", "1N4007", {{"anode", anode}, {"cathode", cathode}});
    } else {
        shop.add("bridge", "B80", {{"ac1", ac1}, {"ac2", ac2}, {"plus", raw}, {"minus", "0V"}});
    }
    shop.electrolytic("1000u", raw, "0V");
    std::string at = raw;
    if (left() >= 6 && shop.rail_volts < 100) {   // an emitter follower on a zener
        const std::string reference = shop.net(), regulated = shop.named("REG");
        shop.resistor("1k", at, reference);
        shop.add("zener", "24V", {{"anode", "0V"}, {"cathode", reference}});
        shop.electrolytic("47u", reference, "0V");
        shop.npn(regulated, reference, at);
        at = regulated;
    }
    while (left() > 2) {
        const std::string next = shop.net();
        shop.resistor(shop.random.pick(Texts{"10", "22", "100", "220"}), at, next);
        if (left() > 1) shop.electrolytic(shop.random.pick(Texts{"100u", "220u", "470u"}), next, "0V");
        at = next;
    }
    if (left() == 2) shop.capacitor("100n", at, "0V");
    if (left() == 1) shop.resistor("10", at, shop.rail);
}

LadderSection random_ladder_section(Workshop& shop, Style style) {
    Random& random = shop.random;
    const std::string r = random.pick(Texts{"10k", "22k", "47k"}), c = random.pick(Texts{"10n", "22n", "100n"});
    switch (random.below(style == Style::opamp || style == Style::mixed ? 5 : 4)) {
        case 0:
            return {2, [&shop, r, c](const std::string& in) {
                        const std::string out = shop.net();
                        shop.resistor(r, in, out);
                        shop.capacitor(c, out, "0V");
                        return out;
                    }};
        case 1:
            return {2, [&shop, r](const std::string& in) {   // a divider of equal steps with its legs
                        const std::string out = shop.net();
                        shop.resistor(r, in, out);
                        shop.resistor(r, out, "0V");
                        return out;
                    }};
        case 2:
            return {3, [&shop, c](const std::string& in) {
                        const std::string middle = shop.net(), out = shop.net();
                        shop.add("inductor", "10m", {{"a", in}, {"b", middle}});
                        shop.resistor("22", middle, out);
                        shop.capacitor(c, out, "0V");
                        return out;
                    }};
        case 3:
            return {4, [&shop, c](const std::string& in) {   // a row of equal filters tapped by pots
                        const std::string wiper = shop.net(), far = shop.net();
                        shop.pot("10k", "0V", wiper, in);
                        shop.capacitor(c, wiper, far);
                        shop.add("inductor", "47m", {{"a", far}, {"b", "0V"}});
                        const std::string out = shop.net();
                        shop.resistor("4k7", in, out);
                        return out;
                    }};
        default:
            return {5, [&shop, r, c](const std::string& in) {   // all-pass sections
                        const std::string minus = shop.net(), plus = shop.net(), out = shop.net();
                        shop.resistor("10k", in, minus);
                        shop.resistor("10k", minus, out);
                        shop.capacitor(c, in, plus);
                        shop.resistor(r, plus, "0V");
                        shop.opamp(out, minus, plus);
                        return out;
                    }};
    }
}

}  // namespace tallyboard::test
