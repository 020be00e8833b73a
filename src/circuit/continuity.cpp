#include "circuit/continuity.h"

#include <map>
#include <numeric>
#include <optional>

namespace tallyboard {
namespace {

// A net is one thing that tests join; so is each pin that is on none.
class Joining {
public:
    Joining(Circuit& circuit, Diagnoses& diagnoses) : circuit_(circuit), diagnoses_(diagnoses) {
        for (std::uint32_t i = 0; i < circuit.nets.size(); ++i) add({NetId{i}, std::nullopt, std::nullopt});
    }

    void carry_out() {
        for (std::size_t t = 0; t < circuit_.continuity.size(); ++t)
            if (circuit_.continuity[t].beeps == Beeps::yes) join(t);
        for (const ContinuityTest& test : circuit_.continuity)
            if (test.beeps == Beeps::no) keep_apart(test);
        give_nets();
    }

private:
    struct Thing {
        std::optional<NetId> net;         // a net, …
        std::optional<PinId> pin;         // … or a pin on none
        std::optional<std::size_t> test;  // the last test that joined something to it
    };

    std::size_t add(Thing thing) {
        things_.push_back(thing);
        above_.push_back(above_.size());
        return above_.size() - 1;
    }

    std::size_t root(std::size_t i) {
        while (above_[i] != i) i = above_[i] = above_[above_[i]];
        return i;
    }

    std::size_t thing_of(const Place& place) {
        if (!place.pin) return place.net->index;
        const Pin& pin = circuit_[*place.pin];
        if (pin.state == PinState::traced) return pin.net.index;
        auto [at, added] = loose_.emplace(*place.pin, things_.size());
        if (added) add({std::nullopt, *place.pin, std::nullopt});
        return at->second;
    }

    bool goes_nowhere(const Place& place) const {
        return place.pin && circuit_[*place.pin].state == PinState::nowhere;
    }

    // "R4.a, on BASE since line 12": where a place stands and what put it on its net.
    std::string where(const Place& place) {
        std::size_t top = root(thing_of(place));
        std::string words = place.text;
        if (place.pin && circuit_[*place.pin].span != Span{})
            words += " (" + diagnoses_.line_words(circuit_[*place.pin].span.begin) + ")";
        else if (!place.pin) words += " (" + diagnoses_.line_words(circuit_[*place.net].span.begin) + ")";
        if (things_[top].net && place.pin) words += " is on " + circuit_[*things_[top].net].name;
        if (!things_[top].net && things_[top].test)
            words += " is joined by the test on " + diagnoses_.line_words(circuit_.continuity[*things_[top].test].span.begin);
        return words;
    }

    void join(std::size_t t) {
        ContinuityTest& test = circuit_.continuity[t];
        for (const auto& [place, other] : {std::pair{&test.from, &test.to}, std::pair{&test.to, &test.from}})
            if (goes_nowhere(*place)) {
                diagnoses_.error(place->span.begin, place->text + " is written as not connected (" +
                                                        diagnoses_.line_words(circuit_[*place->pin].span.begin) +
                                                        "), but beeps to " + other->text);
                return;
            }
        std::size_t a = root(thing_of(test.from)), b = root(thing_of(test.to));
        if (a == b) return;
        if (things_[a].net && things_[b].net) {
            diagnoses_.error(test.span.begin, "beeps between two nets: " + where(test.from) + ", " + where(test.to));
            return;
        }
        if (!things_[a].net && (things_[b].net || b < a)) std::swap(a, b);
        above_[b] = a;
        things_[a].test = t;
    }

    void keep_apart(const ContinuityTest& test) {
        if (goes_nowhere(test.from) || goes_nowhere(test.to)) return;
        std::size_t a = root(thing_of(test.from)), b = root(thing_of(test.to));
        if (a != b) return;
        std::string words = "no beep within one net: " + where(test.from) + ", " + where(test.to);
        if (things_[a].test && things_[a].net)
            words += " (the last test that joined something to it is on " +
                     diagnoses_.line_words(circuit_.continuity[*things_[a].test].span.begin) + ")";
        diagnoses_.error(test.span.begin, words);
    }

    // Loose pins that were joined come to their net; those joined only to one another to a new one without a name.
    void give_nets() {
        std::map<std::size_t, std::vector<PinId>> groups;
        for (const auto& [pin, thing] : loose_) groups[root(thing)].push_back(pin);
        for (const auto& [top, pins] : groups) {
            std::optional<NetId> net = things_[top].net;
            if (!net && pins.size() < 2) continue;
            if (!net) {
                net = NetId{static_cast<std::uint32_t>(circuit_.nets.size())};
                circuit_.nets.push_back({"", NetRole::unsaid, {}, circuit_.continuity[*things_[top].test].span, false});
            }
            for (PinId id : pins) {
                Pin& pin = circuit_.parts[id.part.index].pins[id.pin];
                pin.state = PinState::traced;
                pin.net = *net;
            }
        }
    }

    Circuit& circuit_;
    Diagnoses& diagnoses_;
    std::vector<Thing> things_;
    std::vector<std::size_t> above_;        // union-find: the thing above, itself at the top
    std::map<PinId, std::size_t> loose_;    // pins on no net that tests name
};

}  // namespace

void carry_out_continuity(Circuit& circuit, Diagnoses& diagnoses) { Joining(circuit, diagnoses).carry_out(); }

}  // namespace tallyboard
