#include <algorithm>
#include <map>
#include <set>

#include "support/mutate.h"
#include "support/notation.h"

namespace tallyboard::test {
namespace {

std::string letters_of(const std::string& ref) {
    std::size_t end = 0;
    while (end < ref.size() && !(ref[end] >= '0' && ref[end] <= '9')) ++end;
    return ref.substr(0, end);
}

// References and package names shuffled among those with the same letters; a section's letter follows its package.
void rename_references(Draft& circuit, Random& random) {
    std::map<std::string, std::vector<std::string>> by_letters;
    std::set<std::string> seen;
    for (const DraftPart& part : circuit.parts) {
        const std::string name = part.package.empty() ? part.ref : part.package;
        if (seen.insert(name).second) by_letters[letters_of(name)].push_back(name);
    }
    std::map<std::string, std::string> renamed;
    for (const auto& [letters, names] : by_letters) {
        std::vector<std::string> others = names;
        random.shuffle(others);
        for (std::size_t i = 0; i < names.size(); ++i) renamed[names[i]] = others[i];
    }
    std::map<std::string, int> sections;
    for (DraftPart& part : circuit.parts) {
        if (part.package.empty()) { part.ref = renamed.at(part.ref); continue; }
        part.package = renamed.at(part.package);
        part.ref = part.package + static_cast<char>('A' + sections[part.package]++);
    }
}

void rename_nets(Draft& circuit, Random& random) {
    std::map<std::string, std::string> renamed;
    std::set<std::string> names;
    for (const DraftPart& part : circuit.parts)
        for (const DraftPin& pin : part.pins)
            if (is_net(pin.net)) names.insert(pin.net);
    for (const DraftNet& net : circuit.nets) names.insert(net.name);
    std::vector<std::size_t> numbers(names.size());
    for (std::size_t i = 0; i < numbers.size(); ++i) numbers[i] = i + 1;
    random.shuffle(numbers);
    std::size_t next = 0;
    for (const std::string& name : names) renamed[name] = "x" + std::to_string(numbers[next++]);
    for (DraftPart& part : circuit.parts)
        for (DraftPin& pin : part.pins)
            if (is_net(pin.net)) pin.net = renamed.at(pin.net);
    for (DraftNet& net : circuit.nets) net.name = renamed.at(net.name);
}

// Pins that mean the same the other way round, and items of the pins attribute in another order.
void turn_pins(DraftPart& part, Random& random) {
    if (is_plain_two_pin(part)) {
        if (random.chance(50)) std::swap(part.pins[0].net, part.pins[1].net);
        return;
    }
    const auto exchange = [&](const std::string& first, const std::string& second) {
        const auto find = [&](const std::string& name) {
            return std::find_if(part.pins.begin(), part.pins.end(), [&](const DraftPin& pin) { return pin.name == name; });
        };
        if (find(first) != part.pins.end() && find(second) != part.pins.end()) std::swap(find(first)->net, find(second)->net);
    };
    if (random.chance(50)) {
        if (part.kind == "changeover") exchange("a", "b");
        if (part.kind == "bridge") exchange("ac1", "ac2");
        if (part.kind == "dual-opamp") { exchange("1", "7"); exchange("2", "6"); exchange("3", "5"); }
        if (part.kind == "twin-triode") { exchange("1", "6"); exchange("2", "7"); exchange("3", "8"); }
        if (part.kind == "transformer" && part.pins.size() == 4) { exchange("p1", "p2"); exchange("s1", "s2"); }
    }
    random.shuffle(part.pins);
}

// Writes a package of two op-amp or triode sections as one part; the second section is left without a reference.
void write_whole(Draft& circuit, const std::string& package, const std::vector<std::size_t>& members) {
    if (members.size() != 2) return;
    static const std::map<std::string, std::vector<std::map<std::string, std::string>>> layouts{
        {"opamp", {{{"out", "1"}, {"in-", "2"}, {"in+", "3"}, {"v-", "4"}, {"v+", "8"}},
                   {{"out", "7"}, {"in-", "6"}, {"in+", "5"}, {"v-", "4"}, {"v+", "8"}}}},
        {"triode", {{{"anode", "1"}, {"grid", "2"}, {"cathode", "3"}}, {{"anode", "6"}, {"grid", "7"}, {"cathode", "8"}}}}};
    const auto layout = layouts.find(circuit.parts[members[0]].kind);
    if (layout == layouts.end() || circuit.parts[members[1]].kind != layout->first) return;
    DraftPart whole = circuit.parts[members[0]];
    whole.ref = package;
    whole.package.clear();
    whole.kind = layout->first == "opamp" ? "dual-opamp" : "twin-triode";
    whole.pins.clear();
    for (std::size_t section = 0; section < 2; ++section) {
        for (const DraftPin& pin : circuit.parts[members[section]].pins) {
            const std::string name = layout->second[section].at(pin.name);
            const auto same = [&](const DraftPin& other) { return other.name == name; };
            const auto found = std::find_if(whole.pins.begin(), whole.pins.end(), same);
            if (found == whole.pins.end()) whole.pins.push_back({name, pin.net});
            else if (found->net == "?") found->net = pin.net;
        }
    }
    circuit.parts[members[0]] = whole;
    circuit.parts[members[1]].ref.clear();
}

}  // namespace

Draft disguise(const Draft& circuit, Disguise how, std::uint64_t seed) {
    Draft result = circuit;
    Random random(seed);
    if (how == Disguise::none) return result;
    if (how == Disguise::references) {
        rename_references(result, random);
        return result;
    }
    result.more.clear();   // a setup names the nets
    random.shuffle(result.parts);
    rename_references(result, random);
    rename_nets(result, random);
    std::map<std::string, std::vector<std::size_t>> packages;
    for (std::size_t i = 0; i < result.parts.size(); ++i)
        if (!result.parts[i].package.empty()) packages[result.parts[i].package].push_back(i);
    for (const auto& [package, members] : packages)
        if (random.chance(30)) write_whole(result, package, members);
    std::erase_if(result.parts, [](const DraftPart& part) { return part.ref.empty(); });
    for (DraftPart& part : result.parts) {
        turn_pins(part, random);
        part.value = other_notation(part.value, part.kind, random);
    }
    return result;
}

std::string_view disguise_word(Disguise how) {
    switch (how) {
        case Disguise::none: return "refs kept";
        case Disguise::references: return "refs scrambled";
        case Disguise::all: return "all scrambled";
    }
    return "";
}

}  // namespace tallyboard::test
