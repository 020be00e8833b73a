#include <algorithm>

#include "support/random_circuits.h"
#include "support/stages.h"

namespace tallyboard::test {
namespace {

const std::map<std::string, std::string> letters{
    {"resistor", "R"}, {"capacitor", "C"}, {"electrolytic", "C"}, {"inductor", "L"}, {"potentiometer", "VR"}, {"npn", "Q"},
    {"pnp", "Q"}, {"njfet", "Q"}, {"opamp", "IC"}, {"dual-opamp", "IC"}, {"triode", "V"}, {"twin-triode", "V"},
    {"pentode", "V"}, {"diode", "D"}, {"zener", "D"}, {"led", "D"}, {"bridge", "BR"}, {"jack", "J"}, {"terminal", "TB"},
    {"transformer", "T"}, {"fuse", "F"}, {"switch", "S"}, {"changeover", "S"}, {"speaker", "LS"}, {"link", "LK"}};

bool has_model(const std::string& kind) {
    return kind == "npn" || kind == "pnp" || kind == "njfet" || kind == "opamp" || kind == "dual-opamp" || kind == "triode" ||
           kind == "twin-triode" || kind == "pentode" || kind == "diode" || kind == "transformer" || kind == "bridge";
}

}  // namespace

std::string nearest_e12(double ohms) {
    static const int series[] = {10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82, 100};
    int power = 0;
    double mantissa = ohms;
    for (; mantissa >= 100; mantissa /= 10) ++power;
    for (; mantissa < 10; mantissa *= 10) --power;
    int best = series[0];
    for (int member : series)
        if (std::abs(member - mantissa) < std::abs(best - mantissa)) best = member;
    if (best == 100) { best = 10; ++power; }
    const std::string digits = std::to_string(best);
    const auto split = [&](char letter) { return digits.substr(0, 1) + letter + (digits[1] == '0' ? "" : digits.substr(1)); };
    switch (power) {
        case -1: return digits[1] == '0' ? digits.substr(0, 1) : split('R');
        case 0: return digits;
        case 1: return digits + "0";
        case 2: return split('k');
        case 3: return digits + "k";
        case 4: return digits + "0k";
        case 5: return split('M');
        default: return power < 0 ? "1" : "10M";
    }
}

void Workshop::set_rails(Style style) {
    const auto take = [&](const std::string& plus, const std::string& minus, const std::string& volts) {
        supplies.emplace_back(plus, minus, volts);
        rail_names.push_back(plus == "0V" ? minus : plus);
    };
    if (style == Style::opamp || style == Style::mixed) {
        rail = "+15V";
        negative = "-15V";
        rail_volts = 15;
        take("+15V", "0V", "15V");
        take("0V", "-15V", "15V");
    } else if (style == Style::valve) {
        rail = "+280V";
        rail_volts = 280;
        take("+280V", "0V", "280V");
    } else {
        take("+24V", "0V", "24V");
    }
}

std::string Workshop::net() { return "N" + std::to_string(++next_number_[" net"]); }

std::string Workshop::named(const std::string& name) {
    const std::size_t n = ++names_[name];
    return n == 1 ? name : name + std::to_string(n);
}

DraftPart& Workshop::add(const std::string& kind, const std::string& value, std::vector<DraftPin> pins) {
    const auto letter = letters.find(kind);
    const std::string prefix = letter == letters.end() ? "X" : letter->second;
    DraftPart part;
    part.ref = prefix + std::to_string(++next_number_[prefix]);
    part.kind = kind;
    const bool ratio = value.find(':') != std::string::npos;
    (has_model(kind) && !ratio ? part.model : part.value) = value;
    part.pins = std::move(pins);
    draft.parts.push_back(std::move(part));
    return draft.parts.back();
}

void Workshop::section(const std::string& kind, const std::string& model, std::vector<DraftPin> pins) {
    DraftPart part;
    part.kind = kind;
    part.model = model;
    part.pins = std::move(pins);
    sections_.push_back(draft.parts.size());
    draft.parts.push_back(std::move(part));
}

void Workshop::resistor(double ohms, const std::string& a, const std::string& b) { resistor(nearest_e12(ohms), a, b); }

void Workshop::npn(const std::string& e, const std::string& b, const std::string& c) {
    static const std::vector<std::string> types{"BC109C", "BC108B", "BC184L", "BC109C"};
    add("npn", random.pick(types), {{"emitter", e}, {"base", b}, {"collector", c}});
}

void Workshop::opamp(const std::string& out, const std::string& minus, const std::string& plus) {
    section("opamp", "TL072", {{"out", out}, {"in-", minus}, {"in+", plus}});
}

void Workshop::triode(const std::string& k, const std::string& g, const std::string& a) {
    section("triode", "ECC83", {{"cathode", k}, {"grid", g}, {"anode", a}});
}

void Workshop::fill_package(std::size_t first, std::size_t second, bool whole) {
    const bool alone = first == second;
    DraftPart& a = draft.parts[first];
    DraftPart& b = draft.parts[second];
    const std::string prefix = letters.at(a.kind);
    const std::string package = prefix + std::to_string(++next_number_[prefix]);
    if (whole && !alone) {
        const bool opamp = a.kind == "opamp";
        a.ref = package;
        a.kind = opamp ? "dual-opamp" : "twin-triode";
        const auto net = [](const DraftPart& part, std::size_t pin) { return part.pins[pin].net; };
        if (opamp) {
            a.pins = {{"1", net(a, 0)}, {"2", net(a, 1)}, {"3", net(a, 2)}, {"4", negative}, {"5", net(b, 2)},
                      {"6", net(b, 1)}, {"7", net(b, 0)}, {"8", rail_names.empty() ? "" : rail_names[0]}};
            if (negative.empty()) { a.pins.pop_back(); a.pins.erase(a.pins.begin() + 3); }
        } else {
            a.pins = {{"1", net(a, 2)}, {"2", net(a, 1)}, {"3", net(a, 0)}, {"6", net(b, 2)}, {"7", net(b, 1)}, {"8", net(b, 0)}};
        }
        b.ref.clear();
        return;
    }
    a.package = b.package = package;
    a.ref = package + "A";
    if (!alone) b.ref = package + "B";
    if (a.kind == "opamp" && !negative.empty()) {
        a.pins.push_back({"v-", negative});
        a.pins.push_back({"v+", rail_names[0]});
    }
}

void Workshop::fill_packages(bool across, bool whole) {
    for (const std::string kind : {"opamp", "triode"}) {
        std::vector<std::size_t> waiting;
        for (std::size_t index : sections_)
            if (draft.parts[index].kind == kind && draft.parts[index].ref.empty()) waiting.push_back(index);
        const std::size_t half = waiting.size() / 2;
        bool next_whole = whole;
        for (std::size_t i = 0; i < (waiting.size() + 1) / 2; ++i) {
            const bool alone = 2 * i + 1 == waiting.size();
            const std::size_t first = alone ? waiting.back() : across ? waiting[i] : waiting[2 * i];
            const std::size_t second = alone ? first : across ? waiting[half + i] : waiting[2 * i + 1];
            fill_package(first, second, next_whole);
            if (whole) next_whole = !next_whole;
        }
    }
    std::erase_if(draft.parts, [](const DraftPart& part) { return part.ref.empty(); });
    sections_.clear();
}

}  // namespace tallyboard::test
