#include "solve/kind_models.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/number_text.h"
#include "solve/models/passive.h"

namespace tallyboard::detail {

namespace {

struct WindingTaps {
    std::string name;
    std::map<int, int> terminals;  // tap number, terminal
};

// p1 p2 s1 s2 s3 by winding, taps by number, windings in the order met.
std::vector<WindingTaps> windings_of(const Section& section) {
    std::vector<WindingTaps> out;
    for (std::size_t i = 0; i < section.pins.size(); ++i) {
        const std::string& pin = section.pins[i].name;
        const std::size_t digits = pin.find_first_of("0123456789");
        if (digits == std::string::npos || digits == 0) continue;
        const std::string name = pin.substr(0, digits);
        const auto number = read_integer(std::string_view(pin).substr(digits));
        if (!number || *number < 1 || *number > 1000) continue;
        auto known = std::find_if(out.begin(), out.end(), [&](const WindingTaps& w) { return w.name == name; });
        if (known == out.end()) known = out.insert(out.end(), {name, {}});
        known->terminals[static_cast<int>(*number)] = static_cast<int>(i);
    }
    return out;
}

}  // namespace

void KindModels::transformer() {
    const std::optional<double> ratio = b.number(Quantity::ratio);
    std::vector<Transformer::Stretch> stretches;
    std::vector<int> terminals, winding_of_tap;
    double permeance = 0;
    bool turns_known = true, ohms_known = true;
    int index = 0;
    for (const WindingTaps& winding : windings_of(*b.section_)) {
        const auto& all = b.part_->windings;
        const auto written = std::find_if(all.begin(), all.end(), [&](const Winding& w) { return w.name == winding.name; });
        const bool has_turns = written != all.end() && !written->turns.empty();
        int taps = std::max(winding.terminals.rbegin()->first, 2);
        if (written != all.end()) taps = std::max({taps, static_cast<int>(written->turns.size()) + 1, static_cast<int>(written->ohms.size()) + 1});
        // Without figures of its own: the part's ratio, shared out evenly between the taps.
        const double even = (winding.name == "p" ? ratio : winding.name == "s" && ratio ? std::optional(1.0) : std::nullopt).value_or(0) / (taps - 1);
        double total = 0;
        const int first = static_cast<int>(terminals.size());
        for (int tap = 1; tap <= taps; ++tap) {
            const auto pin = winding.terminals.find(tap);
            terminals.push_back(pin == winding.terminals.end() ? -1 : pin->second);
            winding_of_tap.push_back(index);
            if (tap == taps) break;
            const auto figure = [&](const std::vector<double>& list, double otherwise) {
                return static_cast<std::size_t>(tap) <= list.size() ? list[tap - 1] : otherwise;
            };
            const double turns = has_turns ? figure(written->turns, 0) : even;
            const double ohms = written != all.end() ? figure(written->ohms, 0) : 0;
            ohms_known = ohms_known && written != all.end() && static_cast<std::size_t>(tap) <= written->ohms.size();
            stretches.push_back({first + tap - 1, first + tap, turns, ohms});
            total += turns;
        }
        turns_known = turns_known && total > 0;
        std::optional<double> henries = written != all.end() ? written->henries : std::nullopt;
        if (!henries && winding.name == "p") henries = si(b.part_->inductance);
        if (henries && total > 0 && permeance == 0) permeance = *henries / (total * total);
        ++index;
    }
    if (stretches.empty()) return b.no_model("it has no windings");
    const int taps = static_cast<int>(terminals.size());
    b.put(Transformer(taps, std::move(stretches), std::move(winding_of_tap), permeance), std::move(terminals));
    if (!turns_known) b.no_model("the turns of its windings are not known", false);
    if (!ohms_known) b.remark(fmt::format("{}: the resistance of its wire is not known; taken as 0 Ω", b.section_->ref));
}

}  // namespace tallyboard::detail
