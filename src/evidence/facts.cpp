#include "evidence/facts.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "base/text.h"
#include "compare/answering.h"
#include "evidence/sides.h"

namespace tallyboard::detail {

namespace {

// Words of notes and conditions, as technicians write them; a note that has one of them tells the fact.
constexpr std::string_view fault_words[] = {"leak", "dried", "open circuit", "short", "cracked", "noisy", "burnt", "burned", "charred",
                                            "swollen", "bulg", "intermittent", "crackl", "no gain", "low gain", "drifted"};
constexpr std::string_view factory_words[] = {"factory", "same solder", "original solder", "same fitting", "same make"};
constexpr std::string_view hand_words[] = {"hand solder", "hand-solder", "later hand", "crossed over", "second hand", "amateur", "bodge"};
constexpr std::string_view series_words[] = {"track is cut", "track cut", "cut track", "copper side", "legend", "channels", "every board", "all boards",
                                             "other specimens"};
constexpr std::string_view joint_words[] = {"corro", "rivet", "bloom", "verdigris", "cold joint", "dry joint", "cracked joint", "lifted pad",
                                            "broken track", "acid"};
constexpr std::string_view empty_words[] = {"never fitted", "holes clear", "holes empty", "empty holes", "not fitted"};

template <class Words>
bool tells(const std::string& text, const Words& words) {
    const std::string lower = ascii_lower(text);
    return std::any_of(std::begin(words), std::end(words), [&](std::string_view word) { return lower.find(word) != std::string::npos; });
}

// Factor between two numbers, at least 1.
double factor(double one, double other) { return one > other ? one / other : other / one; }

class FactFinder {
public:
    FactFinder(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding)
        : drawing_(drawing), board_(board), comparison_(comparison), finding_(finding) {}

    Facts find(const std::optional<Slip>& slip_found) {
        if (slip_found) facts_.bits |= slip;
        collect_parts();
        numbers();
        for (const Part* part : parts_) of_part(*part);
        if (statuses_ == 1 && !facts_.any(replaced | added)) facts_.bits |= original;
        dates();
        continuity_tests();
        links();
        places();
        if (finding_.what == What::reversed) feedback();
        if (finding_.what == What::value) alike();
        if (facts_.grade == EvidenceGrade::E && tells(board_.about.source + notes_, std::initializer_list<std::string_view>{"photo"}))
            facts_.grade = EvidenceGrade::D;
        return std::move(facts_);
    }

private:
    void say(std::string line) { facts_.lines.push_back(std::move(line)); }
    void at_least(EvidenceGrade grade) { facts_.grade = std::min(facts_.grade, grade); }
    bool is_connection() const {
        return finding_.what == What::moved || finding_.what == What::split || finding_.what == What::joined || finding_.what == What::bypassed;
    }

    // The found parts a finding is about: its own; for a net cut or joined those that stand there.
    void collect_parts() {
        std::set<std::uint32_t> ids;
        for (PartId id : finding_.board_parts) ids.insert(id.index);
        if (finding_.what == What::split || finding_.what == What::joined)
            for (PinId pin : finding_.board_pins) ids.insert(pin.part.index);
        for (std::uint32_t id : ids) parts_.push_back(&board_.parts[id]);
        // A place that is on the board and not filled answers to a missing part.
        if (finding_.what == What::missing)
            for (const Part& part : board_.parts)
                if (part.fit == Fit::no)
                    for (PartId id : finding_.drawing_parts)
                        if (part.ref == drawing_[id].ref || same_place(part, drawing_[id])) {
                            parts_.push_back(&part);
                            facts_.bits |= empty_place;
                            at_least(EvidenceGrade::C);
                            say(fmt::format("the place {} is on the board and not filled", part.ref));
                        }
    }

    // Pins on nets that answer to those drawn.
    bool same_place(const Part& found, const Part& drawn) const {
        if (board_.kind_of(found).name != drawing_.kind_of(drawn).name || found.pins.size() != drawn.pins.size() || found.pins.empty()) return false;
        const auto fits = [&](std::size_t i, std::size_t j) {
            return found.pins[i].state == PinState::traced && drawn.pins[j].state == PinState::traced &&
                   answers(comparison_, drawn.pins[j].net, found.pins[i].net);
        };
        if (found.pins.size() == 2) return (fits(0, 0) && fits(1, 1)) || (fits(0, 1) && fits(1, 0));
        for (std::size_t i = 0; i < found.pins.size(); ++i)
            if (!fits(i, i)) return false;
        return true;
    }

    void numbers() {
        drawn_ = drawn_number(drawing_, finding_);
        found_ = found_number(board_, finding_);
        if (finding_.what != What::value && finding_.what != What::drift) return;
        if (!drawn_ || !found_ || *drawn_ == *found_) return;
        const Value* value = drawing_[finding_.drawing_parts.front()].nominal();
        if (value->quantity != board_[finding_.board_parts.front()].nominal()->quantity) return;
        const bool resistive = value->quantity == Quantity::resistance;
        for (int n : {12, 24}) {
            if (!resistive && n == 24) continue;
            if (nearest_in_series(*drawn_, n) == *found_ && factor(drawn_->to_double(), found_->to_double()) < 1.13 &&
                nearest_in_series(*drawn_, n) != *drawn_) {
                facts_.bits |= series_neighbour;
                say(fmt::format("{} is the value of the E{} series nearest to the drawn {}", trade_text(*found_, value->quantity), n, value->text));
                break;
            }
        }
        const Tolerance* tolerance = drawing_[finding_.drawing_parts.front()].tol ? &*drawing_[finding_.drawing_parts.front()].tol : nullptr;
        const double off = found_->to_double() / drawn_->to_double() - 1;
        if (tolerance && off <= tolerance->plus && -off <= tolerance->minus) say("the found value lies within the drawn part's tolerance");
    }

    void of_part(const Part& part) {
        for (const Found& found : part.found) {
            if (found.status == FoundStatus::original) ++originals_;
            if (found.status == FoundStatus::replaced) facts_.bits |= replaced;
            if (found.status == FoundStatus::added) facts_.bits |= added;
            if (found.status == FoundStatus::original || found.status == FoundStatus::replaced || found.status == FoundStatus::added) {
                statuses_ = 1;
                say(fmt::format("{} is {}", part.ref, status_word(found.status)));
            }
            marking(part, found);
            measured(part, found);
            date_code(part, found);
            note(part, found);
        }
    }

    void marking(const Part& part, const Found& found) {
        if (found.marking.empty()) return;
        if (!is_connection() && finding_.what != What::missing) at_least(EvidenceGrade::C);
        const bool own_value = part.value.has_value();
        if (!found.marked) {
            // A type number: one word of the marking that is the type written.
            bool fits = false;
            for (const std::string& word : split_words(found.marking)) fits |= !part.model.empty() && board_.kinds.same_type(part.model, word);
            if (fits || found.marking == part.model) facts_.bits |= marked_found;
            say(fmt::format("{} is marked {}", part.ref, found.marking));
            return;
        }
        const auto means = [&](const Decimal& number) {
            return found.marked->number == number || std::find(found.marked->other_readings.begin(), found.marked->other_readings.end(), number) != found.marked->other_readings.end();
        };
        if (found_ && means(*found_)) facts_.bits |= marked_found;
        else if (drawn_ && means(*drawn_) && own_value) facts_.bits |= marked_drawn;
        say(fmt::format("{} is marked {}, which is {}", part.ref, found.marking, trade_text(found.marked->number, found.marked->quantity)));
    }

    void measured(const Part& part, const Found& found) {
        if (!found.measured) return;
        const bool out = found.where == FoundWhere::out || found.where == FoundWhere::lifted;
        if (!is_connection() && finding_.what != What::missing && finding_.what != What::reversed) at_least(out ? EvidenceGrade::A : EvidenceGrade::B);
        const Kind& kind = board_.kind_of(part);
        say(fmt::format("{} measures {} {}", part.ref, engineering_text(*found.measured, kind.quantity),
                        measured_how(found.where)));
        if (!found_ || *found.measured <= 0) return;
        // Nearer to one of the two than to the other, and near enough to be that part at all.
        constexpr double near = 1.35;
        const double to_found = factor(*found.measured, found_->to_double());
        const double to_drawn = drawn_ && *drawn_ != *found_ ? factor(*found.measured, drawn_->to_double()) : 1e9;
        if (to_found < near && to_found < to_drawn) facts_.bits |= measured_found;
        if (to_drawn < near && to_drawn < to_found) facts_.bits |= measured_drawn;
    }

    void date_code(const Part& part, const Found& found) {
        if (found.date_code.empty()) return;
        const auto& made = board_.about.made;
        const std::optional<int> about = made && made->earliest ? std::optional(made->earliest->year()) : std::nullopt;
        const auto code = read_date_code(found.date_code, about);
        if (!code) return say(fmt::format("{} is stamped {}, which is no date code known", part.ref, found.date_code));
        at_least(EvidenceGrade::C);
        // Parts lie on a shelf for some time; more than a year after the unit is later work.
        const bool later = made && made->latest && code->earliest && code->earliest->number > made->latest->number + 365;
        if (later) facts_.bits |= newer;
        say(fmt::format("{} is dated {}{}", part.ref, code->text, later ? fmt::format(", later than the unit ({})", made->text) : ""));
    }

    void note(const Part& part, const Found& found) {
        const std::string text = found.condition + " " + found.note;
        notes_ += " " + text;
        if (tells(text, fault_words)) facts_.bits |= faulty;
        if (tells(text, factory_words)) facts_.bits |= factory;
        if (tells(text, hand_words)) facts_.bits |= later_hand;
        if (tells(text, series_words)) facts_.bits |= series_made;
        if (tells(text, joint_words)) facts_.bits |= bad_joint;
        if (finding_.what == What::missing && tells(text, empty_words)) facts_.bits |= empty_place;
        for (const std::string* words : {&found.condition, &found.note})
            if (!words->empty()) say(fmt::format("{}: {}", part.ref, *words));
    }

    void dates() {
        const auto &drawn = drawing_.about.made, &made = board_.about.made;
        if (drawn && drawn->latest && made && made->earliest && *made->earliest > *drawn->latest) {
            facts_.bits |= later_unit;
            // Wear, polarity and gaps of the trace have nothing to do with the year.
            const What what = finding_.what;
            if (what != What::drift && what != What::unverified && what != What::reversed && what != What::equivalent)
                say(fmt::format("the unit ({}) is later than the drawing ({})", made->text, drawn->text));
        }
    }

    bool names(const Place& place) const {
        for (PinId pin : finding_.board_pins)
            if (place.pin == pin) return true;
        return false;
    }

    // Tests that name these pins: a beep between them and their net, or none between two pieces.
    void continuity_tests() {
        if (!is_connection() && finding_.what != What::reversed) return;
        for (const ContinuityTest& test : board_.continuity) {
            if (!names(test.from) && !names(test.to)) continue;
            const bool bears_out = test.beeps == Beeps::yes || (test.beeps == Beeps::no && finding_.what != What::joined);
            if (!bears_out) continue;
            facts_.bits |= continuity;
            at_least(EvidenceGrade::B);
            say(fmt::format("{} between {} and {}", test.beeps == Beeps::yes ? "continuity" : "no continuity", test.from.text, test.to.text));
        }
    }

    // A wire added by someone that makes two drawn nets one.
    void links() {
        if (finding_.what != What::joined && finding_.what != What::bypassed) return;
        for (const Part& part : board_.parts) {
            if (!board_.kind_of(part).conductor || part.fit == Fit::no) continue;
            const bool there = std::any_of(part.pins.begin(), part.pins.end(), [&](const Pin& pin) {
                return pin.state == PinState::traced && on_net_of_finding(pin.net);
            });
            if (!there) continue;
            for (const Found& found : part.found) {
                if (found.status == FoundStatus::added || found.status == FoundStatus::replaced) {
                    facts_.bits |= by_added_link;
                    say(fmt::format("the link {} is {}", part.ref, status_word(found.status)));
                }
                note(part, found);
            }
        }
    }

    bool on_net_of_finding(NetId net) const {
        if (finding_.board_net == net) return true;
        if (finding_.drawing_net && answers(comparison_, *finding_.drawing_net, net)) return true;
        return std::any_of(finding_.board_pins.begin(), finding_.board_pins.end(),
                           [&](PinId pin) { return board_[pin].state == PinState::traced && board_[pin].net == net; });
    }

    void places() {
        for (PartId id : finding_.drawing_parts) {
            const Part& part = drawing_[id];
            const Kind& kind = drawing_.kind_of(part);
            if (kind.name == "fuse") facts_.bits |= fuse;
            if (part.pins.size() == 2) facts_.bits |= two_pins;
            bool mains = false, earth = false;
            for (const Pin& pin : part.pins) {
                if (pin.state != PinState::traced) continue;
                const NetRole role = drawing_[pin.net].role;
                mains |= role == NetRole::mains;
                earth |= role == NetRole::earth || role == NetRole::ground;
            }
            if (mains && earth) {
                facts_.bits |= mains_to_earth;
                say(fmt::format("{} stands between the mains and {}", part.ref, "the chassis or earth"));
            }
        }
    }

    // Op-amps: to which input the output goes, directly or through one part of two pins.
    struct Feedback { bool plus = false, minus = false; };
    static Feedback feedback_of(const Circuit& circuit, NetId out, NetId minus, NetId plus) {
        Feedback feedback{out == plus, out == minus};
        for (const Part& part : circuit.parts) {
            if (part.pins.size() != 2 || part.pins[0].state != PinState::traced || part.pins[1].state != PinState::traced) continue;
            const auto joins = [&](NetId one, NetId other) {
                return (part.pins[0].net == one && part.pins[1].net == other) || (part.pins[1].net == one && part.pins[0].net == other);
            };
            feedback.plus |= joins(out, plus);
            feedback.minus |= joins(out, minus);
        }
        return feedback;
    }

    std::optional<Feedback> section_feedback(const Circuit& circuit, const std::vector<PinId>& pins) const {
        std::optional<NetId> out, minus, plus;
        for (PinId pin : pins) {
            if (circuit[pin].state != PinState::traced) continue;
            const std::string& name = circuit[pin].name;
            if (name == "out" || name == "1" || name == "7") out = circuit[pin].net;
            if (name == "in-" || name == "2" || name == "6") minus = circuit[pin].net;
            if (name == "in+" || name == "3" || name == "5") plus = circuit[pin].net;
        }
        if (!out || !minus || !plus) return {};
        return feedback_of(circuit, *out, *minus, *plus);
    }

    // The pins of each section, by the whole's numbers or the section's own names.
    std::vector<std::vector<PinId>> sections(const Circuit& circuit, const std::vector<PartId>& parts) const {
        std::vector<std::vector<PinId>> out;
        for (PartId id : parts) {
            const std::string& kind = circuit.kind_of(circuit[id]).name;
            const auto take = [&](std::initializer_list<std::string_view> names) {
                std::vector<PinId> pins;
                for (std::uint32_t i = 0; i < circuit[id].pins.size(); ++i)
                    if (std::find(names.begin(), names.end(), circuit[id].pins[i].name) != names.end()) pins.push_back({id, i});
                out.push_back(pins);
            };
            if (kind == "opamp") take({"out", "in-", "in+"});
            if (kind == "dual-opamp") {
                take({"1", "2", "3"});
                take({"5", "6", "7"});
            }
        }
        return out;
    }

    void feedback() {
        const auto count = [&](const Circuit& circuit, const std::vector<PartId>& parts) {
            int latching = 0;
            for (const std::vector<PinId>& pins : sections(circuit, parts))
                if (const auto feedback = section_feedback(circuit, pins); feedback && feedback->plus && !feedback->minus) ++latching;
            return latching;
        };
        if (count(drawing_, finding_.drawing_parts) > count(board_, finding_.board_parts)) {
            facts_.bits |= drawn_latches;
            say("as drawn its feedback goes to in+ alone, and it would latch up; as found it goes to in-");
        }
    }

    void alike() {
        for (const Finding& other : comparison_.findings) {
            if (&other == &finding_ || other.what != What::value || !drawn_ || !found_) continue;
            if (drawn_number(drawing_, other) == drawn_ && found_number(board_, other) == found_) {
                facts_.bits |= changed_alike;
                say(fmt::format("{} differs by the same two values", other.drawing.empty() ? other.id : other.drawing.front()));
            }
        }
    }

    const Circuit& drawing_;
    const Circuit& board_;
    const Comparison& comparison_;
    const Finding& finding_;
    Facts facts_;
    std::vector<const Part*> parts_;
    std::optional<Decimal> drawn_, found_;
    std::string notes_;
    int statuses_ = 0, originals_ = 0;
};

}  // namespace

Facts facts_of(const Circuit& drawing, const Circuit& board, const Comparison& comparison, const Finding& finding, const std::optional<Slip>& found) {
    return FactFinder(drawing, board, comparison, finding).find(found);
}

std::string_view fact_word(Fact fact) {
    switch (fact) {
        case original: return "original";
        case replaced: return "replaced";
        case added: return "added";
        case newer: return "newer";
        case later_unit: return "later unit";
        case marked_found: return "marked as found";
        case marked_drawn: return "marked as drawn";
        case measured_found: return "measured as found";
        case measured_drawn: return "measured as drawn";
        case faulty: return "faulty";
        case factory: return "factory work";
        case later_hand: return "later hand";
        case series_made: return "made so in series";
        case empty_place: return "place not filled";
        case bad_joint: return "bad joint";
        case continuity: return "continuity tested";
        case by_added_link: return "by an added link";
        case fuse: return "a fuse";
        case mains_to_earth: return "mains to earth";
        case drawn_latches: return "drawn with feedback to in+";
        case slip: return "looks like a slip";
        case series_neighbour: return "nearest of the series";
        case changed_alike: return "changed alike";
        case two_pins: return "two pins";
    }
    return "";
}

}  // namespace tallyboard::detail
