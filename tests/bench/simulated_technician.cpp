#include "bench/simulated_technician.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

#include "support/mutate.h"
#include "support/random_circuits.h"

namespace tallyboard::test {
namespace {

struct Dice {
    std::uint64_t state;
    std::uint64_t next() {   // xorshift64*
        state ^= state >> 12, state ^= state << 25, state ^= state >> 27;
        return state * 2685821657736338717ull;
    }
    bool one_in(unsigned per_thousand) { return (next() >> 33) % 1000 < per_thousand; }
};

bool same_net(const Circuit& truth, PinId a, PinId b) {
    const Pin &x = truth[a], &y = truth[b];
    return x.state == PinState::traced && y.state == PinState::traced && x.net == y.net;
}

}  // namespace

Circuit untraced_board(const Circuit& truth) {
    Circuit board = truth;
    board.nets.clear();
    board.continuity.clear();
    board.setup.reset();
    board.bench = {};
    for (Part& part : board.parts)
        for (Pin& pin : part.pins)
            if (pin.state == PinState::traced) pin.state = PinState::untraced, pin.span = {};
    return board;
}

std::vector<PinId> legs_of(const Circuit& truth) {
    std::vector<PinId> legs;
    for (const std::vector<PinId>& group : Tracing(untraced_board(truth), nullptr).nets()) legs.insert(legs.end(), group.begin(), group.end());
    return legs;
}

std::size_t floor_tests(const Circuit& truth, std::size_t pairs) {
    std::set<NetId> nets;
    std::size_t beeps = 0;
    for (PinId leg : legs_of(truth))
        if (truth[leg].state == PinState::traced && !nets.insert(truth[leg].net).second) ++beeps;
    return beeps + pairs;
}

std::size_t fixed_order_tests(const Circuit& truth) {
    std::vector<PinId> heads;
    std::size_t tests = 0;
    for (PinId pin : legs_of(truth)) {
        bool found = false;
        for (PinId head : heads) {
            ++tests;
            if ((found = same_net(truth, pin, head))) break;
        }
        if (!found) heads.push_back(pin);
    }
    return tests;
}

namespace {

// Right where two pins are in one group exactly if they are on one net.
void compare_nets(const Circuit& truth, const Tracing& tracing, Traced& out) {
    const std::vector<std::vector<PinId>> groups = tracing.nets();
    std::map<NetId, PinId> first_on;
    std::map<PinId, std::size_t> group_of;
    auto astray = [&](PinId a, PinId b, const char* how) {
        if (out.astray.empty()) out.astray = fmt::format("{} and {} {}", pin_name(truth, a), pin_name(truth, b), how);
    };
    for (std::size_t g = 0; g < groups.size(); ++g)
        for (PinId pin : groups[g]) {
            group_of[pin] = g;
            if (pin != groups[g].front() && !same_net(truth, pin, groups[g].front())) astray(pin, groups[g].front(), "joined wrongly");
            if (truth[pin].state != PinState::traced) continue;
            const auto [at, fresh] = first_on.try_emplace(truth[pin].net, pin);
            if (!fresh && group_of[at->second] != g) astray(pin, at->second, "not joined");
        }
    out.right = out.astray.empty();
    std::set<std::pair<std::size_t, std::size_t>> apart;
    for (const TracingTest& test : tracing.tests())
        if (test.beeps != Beeps::yes && group_of.count(test.from) && group_of.count(test.to)) apart.insert(std::minmax(group_of[test.from], group_of[test.to]));
    out.apart = apart.size();
}

}  // namespace

Traced trace_by_simulation(const Circuit& truth, const Circuit* drawing, const TracingOptions& options, const Technician& technician) {
    Traced out;
    Circuit board = untraced_board(truth);
    Tracing tracing(board, drawing, options);
    Dice dice{technician.seed * 0x9E3779B97F4A7C15ull + 1};
    auto honest = [&](PinId a, PinId b) { return same_net(truth, a, b) ? Beeps::yes : Beeps::no; };
    std::size_t pins = 0;
    for (const Part& part : truth.parts) pins += part.pins.size();
    const std::size_t bound = pins * pins + 100;
    while (out.questions < bound) {
        std::optional<Question> question = tracing.next();
        if (!question) {
            out.ended = true;
            break;
        }
        ++out.questions;
        (question->isolation ? out.isolation : out.joining) += 1;
        if (dice.one_in(technician.skips_per_thousand)) {
            tracing.skip(question->from, question->to);
            continue;
        }
        TracingTest test{question->from, question->to, honest(question->from, question->to)};
        if (dice.one_in(technician.wrong_per_thousand)) {
            test.beeps = test.beeps == Beeps::yes ? Beeps::no : Beeps::yes;
            ++out.wrong;
        }
        std::optional<Contradiction> contradiction = tracing.answer(test);
        if (!contradiction) continue;
        ++out.contradictions;
        std::vector<std::size_t> chain = contradiction->chain;
        std::sort(chain.rbegin(), chain.rend());
        for (std::size_t index : chain) {
            TracingTest old = tracing.tests()[index];
            ++out.questions;
            if (old.beeps == honest(old.from, old.to)) continue;
            tracing.retract(index);
            old.beeps = honest(old.from, old.to);
            tracing.answer(old);
        }
        ++out.questions;
        test.beeps = honest(test.from, test.to);
        tracing.answer(test);
    }
    compare_nets(truth, tracing, out);
    return out;
}

ManyTraced trace_boards(std::size_t boards, const Technician& technician) {
    ManyTraced out;
    for (std::uint64_t seed = 1; seed <= boards; ++seed) {
        const Draft drawn = random_circuit(recipe_of_case(seed, 20 + seed % 30));
        const Spoiled spoiled = spoil(drawn, {.edits = seed % 4, .disguise = Disguise::references}, seed);
        const Circuit drawing = read_draft(drawn, CircuitRole::drawing), truth = read_draft(spoiled.board, CircuitRole::board);
        Technician own = technician;
        own.seed = technician.seed * 1000 + seed;
        const Traced traced = trace_by_simulation(truth, &drawing, {true}, own);
        ++out.boards;
        out.ended += traced.ended;
        out.right += traced.right;
        out.questions += traced.questions;
        out.floor += floor_tests(truth, traced.apart);
        out.fixed += fixed_order_tests(truth);
        out.wrong += traced.wrong;
        out.contradictions += traced.contradictions;
        if (!traced.ended || !traced.right)
            out.not_right.push_back(fmt::format("{}{}: {}; {} wrong answers; {}", seed, traced.ended ? "" : " (not ended)", traced.astray, traced.wrong, edits_text(spoiled.edits)));
    }
    return out;
}

std::string summary(const ManyTraced& many) {
    std::string out = fmt::format("  {} boards, {} to the end, {} right; {} asked, {:.0f} % of the fixed order, {:.2f} of the floor; {} wrong answers, {} contradictions told\n",
                                  many.boards, many.ended, many.right, many.questions, 100 * static_cast<double>(many.questions) / static_cast<double>(many.fixed),
                                  static_cast<double>(many.questions) / static_cast<double>(many.floor), many.wrong, many.contradictions);
    for (const std::string& board : many.not_right) out += "    not right: " + board + "\n";
    return out;
}

}  // namespace tallyboard::test
