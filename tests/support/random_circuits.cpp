#include "support/random_circuits.h"

#include <algorithm>

#include "support/stages.h"

namespace tallyboard::test {
namespace {

// One channel: an input jack, stages in a chain until `budget` parts are used up, an output jack. Returns nothing; the
// names of the input and output nets stand in the workshop for the setup.
void add_channel(Workshop& shop, Style style, std::size_t budget, const std::string& output = "") {
    const std::size_t end = shop.draft.parts.size() + budget;
    const auto left = [&] { return end - shop.draft.parts.size(); };
    const std::string in = shop.named("IN");
    shop.add("jack", "", {{"tip", in}, {"sleeve", "0V"}});
    std::string at = in;
    while (left() > 3) at = add_stage(shop, style, left() - 3, at);
    std::string out = output.empty() ? shop.named("OUT") : output;
    if (left() == 3) {
        shop.capacitor(shop.random.pick(std::vector<std::string>{"2u2", "1u", "470n"}), at, out);
        shop.resistor("100k", out, "0V");
    } else {
        out = at;
    }
    if (left() > 0) shop.add("jack", "", {{"tip", out}, {"sleeve", "0V"}});
    if (shop.input.empty()) { shop.input = in; shop.output = out; }
}

// A row of like sections behind an input: phase shifters, filters, dividers, cells of an equaliser.
void add_ladder(Workshop& shop, Style style, std::size_t budget) {
    const std::size_t sections = budget * 3 / 4;
    const std::size_t end = shop.draft.parts.size() + sections;
    const std::string start = shop.named("LAD");
    shop.add("jack", "", {{"tip", start}, {"sleeve", "0V"}});
    std::string at = start;
    const LadderSection section = random_ladder_section(shop, style);
    while (shop.draft.parts.size() + section.parts <= end) at = section.add(at);
    const std::size_t used = sections - (end - shop.draft.parts.size());
    shop.input = start;
    shop.output = at;
    if (budget > used) add_channel(shop, style, budget - used);
}

// The same channel twice, on common rails: both are built from one seed.
void add_twins(Workshop& shop, Style style, std::size_t budget) {
    const Random seed = shop.random;
    const std::string rail = shop.rail;
    for (int side = 0; side < 2; ++side) {
        shop.random = seed;
        shop.rail = rail;
        add_channel(shop, style, budget / 2);
    }
    if (budget % 2 != 0) shop.capacitor("100n", rail, "0V");
}

// Channels of 30 to 70 parts into a mixing bus; every fourth repeats one already there.
void add_desk(Workshop& shop, Style style, std::size_t budget) {
    struct Channel { Random seed; Style style; std::size_t parts; };
    std::vector<Channel> built;
    const std::string rail = shop.rail;
    Random random = shop.random;
    while (budget > 0) {
        const Style own = style == Style::mixed ? random.pick(std::vector{Style::transistor, Style::opamp}) : style;
        Channel channel{Random(random.bits()), own, 30 + random.below(41)};
        if (!built.empty() && random.chance(25)) channel = random.pick(built);
        else built.push_back(channel);
        if (channel.parts + 8 > budget) channel.parts = budget - 1;
        shop.random = channel.seed;
        shop.rail = rail;
        const std::string out = shop.named("CH");
        add_channel(shop, channel.style, channel.parts, out);
        shop.resistor("47k", out, "BUS");
        budget -= channel.parts + 1;
    }
    shop.random = random;
}

std::string setup_text(const Workshop& shop) {
    std::string text = "  <setup>\n";
    for (const auto& [plus, minus, volts] : shop.supplies)
        text += "    <supply plus=\"" + plus + "\" minus=\"" + minus + "\" voltage=\"" + volts + "\" resistance=\"1\"/>\n";
    if (!shop.input.empty()) {
        text += "    <source net=\"" + shop.input + "\" return=\"0V\" resistance=\"600\"/>\n";
        text += "    <load net=\"" + shop.output + "\" return=\"0V\" resistance=\"47k\"/>\n";
    }
    return text + "  </setup>\n";
}

}  // namespace

Draft random_circuit(const Recipe& recipe) {
    Workshop shop(recipe.seed);
    const std::size_t parts = std::max<std::size_t>(recipe.parts, 5);
    shop.set_rails(recipe.style);
    std::size_t budget = parts;
    if (recipe.style == Style::supply || (recipe.shape != Shape::desk && parts >= 40 && shop.random.chance(40))) {
        const std::size_t before = shop.draft.parts.size();
        add_supply(shop, recipe.style == Style::supply ? parts : std::min<std::size_t>(parts / 3, 16));
        budget -= shop.draft.parts.size() - before;
    }
    if (budget > 0) {
        if (recipe.shape == Shape::stereo && budget >= 10) add_twins(shop, recipe.style, budget);
        else if (recipe.shape == Shape::ladder && budget >= 12) add_ladder(shop, recipe.style, budget);
        else if (recipe.shape == Shape::desk && budget >= 80) add_desk(shop, recipe.style, budget);
        else add_channel(shop, recipe.style, budget);
    }
    // Twins share packages in every second circuit: one section each channel, as real boards do.
    shop.fill_packages(recipe.shape == Shape::stereo && shop.random.chance(50), recipe.whole_packages);
    shop.draft.title = "Random " + std::string(style_word(recipe.style)) + " " + std::string(shape_word(recipe.shape));
    if (recipe.roles) {
        shop.draft.nets.push_back({"0V", "ground"});
        for (const std::string& name : shop.rail_names) shop.draft.nets.push_back({name, "supply"});
    }
    if (recipe.setup) shop.draft.more = setup_text(shop);
    return shop.draft;
}

Recipe recipe_of_case(std::uint64_t seed, std::size_t parts) {
    Random random(seed ^ 0x51ab5eedu);
    Recipe recipe;
    recipe.seed = seed;
    recipe.parts = parts;
    recipe.style = std::vector{Style::transistor, Style::opamp, Style::valve, Style::mixed}[seed % 4];
    if (seed % 3 == 0) recipe.shape = random.chance(50) ? Shape::stereo : Shape::ladder;
    if (parts > 400 && (seed % 3 != 0 || parts > 2000)) recipe.shape = Shape::desk;
    if (seed % 16 == 7 && parts <= 60) recipe.style = Style::supply;
    recipe.whole_packages = random.chance(30);
    return recipe;
}

Draft tiny_circuit(Random& random, std::size_t parts) {
    Workshop shop(random.bits());
    std::vector<std::string> nets;
    for (std::size_t i = 0, n = 2 + random.below(parts + 1); i < n; ++i) nets.push_back("n" + std::to_string(i + 1));
    const auto net = [&] { return random.chance(4) ? std::string("-") : random.pick(nets); };
    const auto pins = [&](std::initializer_list<const char*> names) {
        std::vector<DraftPin> result;
        for (const char* name : names) result.push_back({name, net()});
        return result;
    };
    const std::vector<std::string> ohms{"10k", "10k", "20k", "5k"}, farads{"100n", "100n", "220n", "50n"};
    for (std::size_t i = 0; i < parts; ++i) {
        switch (random.below(16)) {
            case 0: case 1: case 2: case 3: shop.add("resistor", random.pick(ohms), pins({"a", "b"})); break;
            case 4: case 5: shop.add("capacitor", random.pick(farads), pins({"a", "b"})); break;
            case 6: shop.add("electrolytic", random.chance(50) ? "10u" : "22u", pins({"plus", "minus"})); break;
            case 7: shop.add("diode", random.chance(50) ? "1N4148" : "AA119", pins({"anode", "cathode"})); break;
            case 8: shop.add("npn", random.chance(50) ? "BC109" : "BC109C", pins({"emitter", "base", "collector"})); break;
            case 9: shop.add("pnp", "BC179", pins({"emitter", "base", "collector"})); break;
            case 10: shop.add("potentiometer", "10k", pins({"ccw", "wiper", "cw"})); break;
            case 11: shop.add("changeover", "", pins({"common", "a", "b"})); break;
            case 12: shop.add("link", "", pins({"a", "b"})); break;
            case 13: shop.add("terminal", "", pins({"a"})); break;
            case 14:
                if (random.chance(50)) shop.section("opamp", "TL072", pins({"out", "in-", "in+"}));
                else shop.add("dual-opamp", "TL072", pins({"1", "2", "3", "5", "6", "7"}));
                break;
            default:
                if (random.chance(50)) shop.section("triode", "ECC83", pins({"cathode", "grid", "anode"}));
                else shop.add("transformer", "XT-1", pins({"p1", "p2", "s1", "s2"}));
        }
    }
    shop.fill_packages(false, false);
    return shop.draft;
}

std::string_view style_word(Style style) {
    switch (style) {
        case Style::transistor: return "transistor";
        case Style::opamp: return "opamp";
        case Style::valve: return "valve";
        case Style::supply: return "supply";
        case Style::mixed: return "mixed";
    }
    return "";
}

std::string_view shape_word(Shape shape) {
    switch (shape) {
        case Shape::chain: return "chain";
        case Shape::stereo: return "stereo";
        case Shape::ladder: return "ladder";
        case Shape::desk: return "desk";
    }
    return "";
}

}  // namespace tallyboard::test
