// stages: the stages that random circuits are made of, and the workshop that hands out references, nets and values.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "support/draft.h"

namespace tallyboard::test {

enum class Style;

struct Workshop {
    explicit Workshop(std::uint64_t seed) : random(seed) {}

    Random random;
    Draft draft;
    std::string rail = "+24V";                                          // where the stages take their supply
    std::string negative;                                               // the negative rail of op-amps
    double rail_volts = 24;
    std::vector<std::string> rail_names;
    std::vector<std::tuple<std::string, std::string, std::string>> supplies;  // plus, minus, volts
    std::string input, output;

    void set_rails(Style style);
    std::string net();                                                  // a fresh one
    std::string named(const std::string& name);                         // the name, or with a number where it is taken
    DraftPart& add(const std::string& kind, const std::string& value, std::vector<DraftPin> pins);
    // A section whose package is given by fill_packages.
    void section(const std::string& kind, const std::string& model, std::vector<DraftPin> pins);
    void resistor(const std::string& value, const std::string& a, const std::string& b) { add("resistor", value, {{"a", a}, {"b", b}}); }
    void resistor(double ohms, const std::string& a, const std::string& b);  // the nearest of E12
    void capacitor(const std::string& value, const std::string& a, const std::string& b) { add("capacitor", value, {{"a", a}, {"b", b}}); }
    void electrolytic(const std::string& value, const std::string& plus, const std::string& minus) {
        add("electrolytic", value, {{"plus", plus}, {"minus", minus}});
    }
    void npn(const std::string& e, const std::string& b, const std::string& c);
    void opamp(const std::string& out, const std::string& minus, const std::string& plus);
    void triode(const std::string& k, const std::string& g, const std::string& a);
    void pot(const std::string& value, const std::string& ccw, const std::string& wiper, const std::string& cw) {
        add("potentiometer", value, {{"ccw", ccw}, {"wiper", wiper}, {"cw", cw}});
    }
    // Pairs sections into packages: neighbours, or the n-th of the first half with the n-th of the second (`across`). The
    // supplies go to a package's first section. `whole`: every second filled package is written as one part.
    void fill_packages(bool across, bool whole);

private:
    std::map<std::string, std::size_t> next_number_;
    std::map<std::string, std::size_t> names_;
    std::vector<std::size_t> sections_;   // parts that wait for a package
    void fill_package(std::size_t first, std::size_t second, bool whole);
};

// Adds one stage of at most `room` parts (at least one) fed from `in`; returns its output net.
std::string add_stage(Workshop& shop, Style style, std::size_t room, const std::string& in);

// Mains terminals to a smoothed rail; at most `room` parts, no fewer than `room` where the style is a supply.
void add_supply(Workshop& shop, std::size_t room);

// One section of a ladder: how many parts, and what adds one behind a net and returns the next net.
struct LadderSection {
    std::size_t parts = 0;
    std::function<std::string(const std::string&)> add;
};
LadderSection random_ladder_section(Workshop& shop, Style style);

// "4k7": the nearest value of E12, ohms.
std::string nearest_e12(double ohms);

}  // namespace tallyboard::test
