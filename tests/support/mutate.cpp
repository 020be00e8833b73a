#include "support/mutate.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>

#include "support/notation.h"

namespace tallyboard::test {
namespace {

struct EditKind { What what; const char* word; int cost; };
// The contract's prices, written out again: tests do not take them from the program.
constexpr std::array<EditKind, 10> edit_kinds{{{What::value, "value", 1}, {What::kind, "kind", 1}, {What::reversed, "reversed", 1},
                                              {What::moved, "moved", 2}, {What::missing, "missing", 3}, {What::extra, "extra", 3},
                                              {What::split, "split", 3}, {What::joined, "joined", 3},
                                              {What::inserted, "inserted", 4}, {What::bypassed, "bypassed", 4}}};

struct Terminal { std::size_t part, pin; };

class Spoiler {
public:
    Spoiler(const Draft& drawing, std::uint64_t seed) : random(seed), board(drawing) {}

    Random random;
    Draft board;
    Spoiled result;

    bool edit(What what);
    bool make_equivalent();
    void hide(unsigned untraced, unsigned unknown);

private:
    std::set<std::string> touched_;   // references and package names that have been edited, or were added
    std::size_t fresh_ = 0;

    bool is_free(const DraftPart& part) const { return !touched_.contains(part.ref); }
    std::string fresh_net() { return "new" + std::to_string(++fresh_); }
    void note(What what, const std::string& place) { result.edits.push_back({what, place}); }
    DraftPart& add(const std::string& prefix, const std::string& kind, const std::string& value, std::vector<DraftPin> pins);
    // A random part that suits, among those not edited yet.
    template <class Suits> std::optional<std::size_t> some_part(Suits suits);
    std::optional<Terminal> some_terminal();
    std::vector<Terminal> terminals(const std::string& net) const;
    std::string& net_of(const Terminal& terminal) { return board.parts[terminal.part].pins[terminal.pin].net; }
    void rename_net(const std::string& from, const std::string& to);
    void touch_package(const DraftPart& part);
    void remove(std::size_t index);
    std::optional<std::string> some_net(std::size_t least_terminals);
    std::set<std::string> linked(const std::string& net) const;

    bool change_value();
    bool change_kind();
    bool reverse();
    bool move();
    bool remove_part();
    bool add_part();
    bool split();
    bool join();
    bool insert();
    bool bypass();
};

template <class Suits>
std::optional<std::size_t> Spoiler::some_part(Suits suits) {
    if (board.parts.empty()) return {};
    const std::size_t n = board.parts.size(), start = random.below(n);
    // A step that visits every index would favour neighbours of unsuitable parts little enough; the start is what counts.
    for (std::size_t i = 0; i < n; ++i) {
        const std::size_t index = (start + i) % n;
        if (is_free(board.parts[index]) && suits(board.parts[index])) return index;
    }
    return {};
}

std::optional<Terminal> Spoiler::some_terminal() {
    const auto index = some_part([](const DraftPart& part) {
        return part.kind != "link" && std::any_of(part.pins.begin(), part.pins.end(), [](const DraftPin& pin) { return is_net(pin.net); });
    });
    if (!index) return {};
    std::vector<std::size_t> pins;
    for (std::size_t i = 0; i < board.parts[*index].pins.size(); ++i)
        if (is_net(board.parts[*index].pins[i].net)) pins.push_back(i);
    return Terminal{*index, random.pick(pins)};
}

std::vector<Terminal> Spoiler::terminals(const std::string& net) const {
    std::vector<Terminal> result_list;
    for (std::size_t p = 0; p < board.parts.size(); ++p)
        for (std::size_t i = 0; i < board.parts[p].pins.size(); ++i)
            if (board.parts[p].pins[i].net == net) result_list.push_back({p, i});
    return result_list;
}

std::optional<std::string> Spoiler::some_net(std::size_t least_terminals) {
    for (int attempt = 0; attempt < 40; ++attempt) {
        if (board.parts.empty()) return {};
        const DraftPart& part = random.pick(board.parts);
        if (part.pins.empty()) continue;
        const std::string net = random.pick(part.pins).net;
        if (is_net(net) && terminals(net).size() >= least_terminals) return net;
    }
    return {};
}

// The nets that links make one with this one.
std::set<std::string> Spoiler::linked(const std::string& net) const {
    std::set<std::string> result_set{net};
    for (bool grown = true; grown;) {
        grown = false;
        for (const DraftPart& part : board.parts)
            if (part.kind == "link" && is_net(part.pins[0].net) && is_net(part.pins[1].net) &&
                result_set.contains(part.pins[0].net) != result_set.contains(part.pins[1].net)) {
                result_set.insert(part.pins[0].net);
                result_set.insert(part.pins[1].net);
                grown = true;
            }
    }
    return result_set;
}

DraftPart& Spoiler::add(const std::string& prefix, const std::string& kind, const std::string& value, std::vector<DraftPin> pins) {
    DraftPart part;
    part.ref = prefix + std::to_string(9000 + ++fresh_);
    part.kind = kind;
    (kind == "diode" || kind == "npn" ? part.model : part.value) = value;
    part.pins = std::move(pins);
    touched_.insert(part.ref);
    board.parts.push_back(std::move(part));
    return board.parts.back();
}

void Spoiler::rename_net(const std::string& from, const std::string& to) {
    for (DraftPart& part : board.parts)
        for (DraftPin& pin : part.pins)
            if (pin.net == from) pin.net = to;
}

void Spoiler::touch_package(const DraftPart& part) {
    if (part.package.empty()) { touched_.insert(part.ref); return; }
    for (const DraftPart& member : board.parts)
        if (member.package == part.package) touched_.insert(member.ref);
}

void Spoiler::remove(std::size_t index) { board.parts.erase(board.parts.begin() + static_cast<std::ptrdiff_t>(index)); }

bool Spoiler::change_value() {
    const auto index = some_part([](const DraftPart& part) { return !part.value.empty() || !part.model.empty(); });
    if (!index) return false;
    DraftPart& part = board.parts[*index];
    note(What::value, part.ref);
    touch_package(part);
    if (!part.value.empty()) {
        part.value = other_value(part.value, part.kind, random);
        return true;
    }
    const std::string package = part.package, model = part.model + "9";   // a further digit is another type
    part.model = model;
    if (!package.empty())
        for (DraftPart& member : board.parts)
            if (member.package == package) member.model = model;
    return true;
}

bool Spoiler::change_kind() {
    static const std::map<std::string, std::string> others{
        {"resistor", "thermistor"}, {"capacitor", "electrolytic"}, {"electrolytic", "capacitor"}, {"npn", "pnp"}, {"pnp", "npn"},
        {"njfet", "pjfet"}, {"potentiometer", "trimmer"}, {"diode", "led"}, {"inductor", "coil"}};
    const auto index = some_part([](const DraftPart& part) { return part.package.empty() && others.contains(part.kind); });
    if (!index) return false;
    DraftPart& part = board.parts[*index];
    note(What::kind, part.ref);
    touched_.insert(part.ref);
    part.kind = others.at(part.kind);
    const auto name = [&](const char* first, const char* second) { part.pins[0].name = first; part.pins[1].name = second; };
    if (part.kind == "electrolytic") name("plus", "minus");
    if (part.kind == "capacitor") name("a", "b");
    return true;
}

// Two pins that may not be exchanged, on different nets.
bool may_exchange(const std::string& kind, const std::string& a, const std::string& b) {
    if (kind == "changeover") return a != "common" && b != "common";
    if (kind == "bridge") return a.starts_with("ac") && b.starts_with("ac");
    return a == "a" && b == "b" && kind != "changeover";
}

bool Spoiler::reverse() {
    const auto choices = [](const DraftPart& part) {
        std::vector<std::pair<std::size_t, std::size_t>> result_list;
        for (std::size_t i = 0; i < part.pins.size(); ++i)
            for (std::size_t k = i + 1; k < part.pins.size(); ++k)
                if (part.pins[i].net != part.pins[k].net && part.pins[i].net != "?" && part.pins[k].net != "?" &&
                    !may_exchange(part.kind, part.pins[i].name, part.pins[k].name))
                    result_list.push_back({i, k});
        return result_list;
    };
    const auto index = some_part([&](const DraftPart& part) { return !is_plain_two_pin(part) && !choices(part).empty(); });
    if (!index) return false;
    DraftPart& part = board.parts[*index];
    note(What::reversed, part.ref);
    const auto [i, k] = random.pick(choices(part));
    std::swap(part.pins[i].net, part.pins[k].net);
    touch_package(part);
    return true;
}

bool Spoiler::move() {
    const auto terminal = some_terminal();
    if (!terminal) return false;
    DraftPart& part = board.parts[terminal->part];
    const std::string from = part.pins[terminal->pin].net;
    const auto to = random.chance(15) ? std::optional(fresh_net()) : some_net(1);
    if (!to || *to == from) return false;
    note(What::moved, part.ref + "." + part.pins[terminal->pin].name);
    touched_.insert(part.ref);
    part.pins[terminal->pin].net = *to;
    return true;
}

bool Spoiler::remove_part() {
    const auto index = some_part([&](const DraftPart& part) {
        return part.kind != "link" && std::none_of(board.parts.begin(), board.parts.end(), [&](const DraftPart& member) {
                   return !part.package.empty() && member.package == part.package && touched_.contains(member.ref);
               });
    });
    if (!index) return false;
    const std::string ref = board.parts[*index].ref, package = board.parts[*index].package;
    note(What::missing, ref);
    if (package.empty()) remove(*index);
    else std::erase_if(board.parts, [&](const DraftPart& part) { return part.package == package; });
    return true;
}

bool Spoiler::add_part() {
    const auto a = some_net(1), b = some_net(1), c = some_net(1);
    if (!a || !b || !c || *a == *b) return false;
    switch (random.below(5)) {
        case 0: add("R", "resistor", random.chance(50) ? "10k" : "47k", {{"a", *a}, {"b", *b}}); break;
        case 1: add("C", "capacitor", random.chance(50) ? "100n" : "47p", {{"a", *a}, {"b", *b}}); break;
        case 2: add("D", "diode", "1N4148", {{"anode", *a}, {"cathode", *b}}); break;
        case 3: add("C", "electrolytic", "100u", {{"plus", *a}, {"minus", *b}}); break;
        default: add("Q", "npn", "BC109C", {{"emitter", *a}, {"base", *b}, {"collector", *c}});
    }
    note(What::extra, board.parts.back().ref);
    return true;
}

// Pieces of two terminals and more: a single one cut off is a terminal moved.
bool Spoiler::split() {
    const auto net = some_net(4);
    if (!net) return false;
    std::vector<Terminal> all = terminals(*net);
    random.shuffle(all);
    const std::string other = fresh_net();
    const std::size_t count = 2 + random.below(all.size() / 2 - 1);
    for (std::size_t i = 0; i < count; ++i) net_of(all[i]) = other;
    note(What::split, board.parts[all[0].part].ref + "." + board.parts[all[0].part].pins[all[0].pin].name);
    return true;
}

bool Spoiler::join() {
    const auto a = some_net(2);
    if (!a) return false;
    std::optional<std::string> b;
    if (random.chance(60)) {   // a solder bridge: mostly between nets that lie beside one another
        const Terminal terminal = random.pick(terminals(*a));
        b = random.pick(board.parts[terminal.part].pins).net;
        if (!is_net(*b) || terminals(*b).size() < 2) return false;
    } else {
        b = some_net(2);
    }
    if (!b || *a == *b) return false;
    note(What::joined, *b);
    rename_net(*b, *a);
    return true;
}

bool Spoiler::insert() {
    const auto net = some_net(2);
    if (!net) return false;
    std::vector<Terminal> all = terminals(*net);
    random.shuffle(all);
    const std::string other = fresh_net();
    for (std::size_t i = 0, n = 1 + random.below(all.size() - 1); i < n; ++i) net_of(all[i]) = other;
    if (random.chance(60)) add("R", "resistor", random.chance(50) ? "100" : "1k", {{"a", *net}, {"b", other}});
    else add("C", "capacitor", "100n", {{"a", *net}, {"b", other}});
    note(What::inserted, board.parts.back().ref);
    return true;
}

bool Spoiler::bypass() {
    const auto index = some_part([&](const DraftPart& part) {
        return part.pins.size() == 2 && part.kind != "link" && is_net(part.pins[0].net) && is_net(part.pins[1].net) &&
               part.pins[0].net != part.pins[1].net;
    });
    if (!index) return false;
    DraftPart& part = board.parts[*index];
    note(What::bypassed, part.ref);
    const std::string a = part.pins[0].net, b = part.pins[1].net;
    if (random.chance(50)) {   // a wire in its place
        touched_.insert(part.ref);
        part = DraftPart{part.ref, "link", "", "", "", "", {{"a", a}, {"b", b}}};
        return true;
    }
    remove(*index);
    rename_net(b, a);
    return true;
}

bool Spoiler::edit(What what) {
    switch (what) {
        case What::value: return change_value();
        case What::kind: return change_kind();
        case What::reversed: return reverse();
        case What::moved: return move();
        case What::missing: return remove_part();
        case What::extra: return add_part();
        case What::split: return split();
        case What::joined: return join();
        case What::inserted: return insert();
        case What::bypassed: return bypass();
        case What::equivalent: case What::drift: case What::unverified: return false;
    }
    return false;
}

// Two equal parts in the place of one: of half the value, or of twice, as they add up.
bool Spoiler::make_equivalent() {
    const auto index = some_part([](const DraftPart& part) {
        return is_plain_two_pin(part) && plain_number(part.value, part.kind) && is_net(part.pins[0].net) && is_net(part.pins[1].net) &&
               part.pins[0].net != part.pins[1].net;
    });
    if (!index) return false;
    const DraftPart part = board.parts[*index];
    const bool series = random.chance(50), adds = series != (part.kind == "capacitor");
    PlainNumber number = *plain_number(part.value, part.kind);
    if (!adds) number.digits *= 2;
    else if (number.digits % 2 == 0) number.digits /= 2;
    else number = {number.digits * 5, number.exponent - 1};
    const std::string value = number_text(number, part.kind), a = part.pins[0].net, b = part.pins[1].net;
    if (linked(a).contains(b)) return false;   // a wire past the part: it has but one end
    const std::string middle = series ? fresh_net() : "";
    note(What::equivalent, part.ref);
    remove(*index);
    const std::string prefix = part.ref.substr(0, 1);
    add(prefix, part.kind, value, {{"a", a}, {"b", series ? middle : b}});
    add(prefix, part.kind, value, {{"a", series ? middle : a}, {"b", b}});
    return true;
}

void Spoiler::hide(unsigned untraced, unsigned unknown) {
    for (DraftPart& part : board.parts) {
        if (!is_free(part) || part.kind == "link") continue;
        for (DraftPin& pin : part.pins)
            if (random.chance(untraced)) pin.net = "?";
        if (part.package.empty() && random.chance(unknown)) part.value = part.model = "";
    }
}

}  // namespace

Spoiled spoil(const Draft& drawing, const SpoilOptions& options, std::uint64_t seed) {
    Spoiler spoiler(drawing, seed);
    spoiler.board.nets.clear();
    spoiler.board.more.clear();
    for (std::size_t done = 0, attempts = 0; done < options.edits && attempts < 50 * options.edits; ++attempts) {
        const EditKind& kind = edit_kinds[spoiler.random.below(edit_kinds.size())];
        // Another try at the same kind, so that kinds which often find no place are not rarer.
        for (int again = 0; again < 20; ++again) {
            if (!spoiler.edit(kind.what)) continue;
            spoiler.result.cost += kind.cost;
            ++done;
            break;
        }
    }
    for (std::size_t i = 0; i < options.equivalents; ++i) spoiler.make_equivalent();
    spoiler.hide(options.untraced, options.unknown);
    spoiler.result.board = disguise(spoiler.board, options.disguise, spoiler.random.bits());
    return spoiler.result;
}

std::string edits_text(const std::vector<Injected>& edits) {
    std::string text;
    for (const Injected& edit : edits) {
        std::string word = edit.what == What::equivalent ? "equivalent" : "";
        for (const EditKind& kind : edit_kinds)
            if (kind.what == edit.what) word = kind.word;
        text += (text.empty() ? "" : ", ") + word + "@" + edit.place;
    }
    return text.empty() ? "no edits" : text;
}

}  // namespace tallyboard::test
