#include "bench/simulated_technician.h"

#include <algorithm>
#include <map>
#include <set>

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

std::size_t net_count(const Circuit& truth) {
    std::size_t nets = 0;
    for (const Net& net : truth.nets) nets += !net.pins.empty();
    for (const Part& part : truth.parts)
        for (const Pin& pin : part.pins)
            if (part.fit != Fit::no && pin.state == PinState::untraced) ++nets;
    return nets;
}

std::size_t floor_tests(const Circuit& truth, std::size_t pairs) {
    std::size_t beeps = 0;
    for (const Net& net : truth.nets) beeps += net.pins.empty() ? 0 : net.pins.size() - 1;
    return beeps + pairs;
}

std::size_t fixed_order_tests(const Circuit& truth) {
    std::vector<PinId> heads;
    std::size_t tests = 0;
    for (std::uint32_t p = 0; p < truth.parts.size(); ++p) {
        if (truth.parts[p].fit == Fit::no) continue;
        for (std::uint32_t i = 0; i < truth.parts[p].pins.size(); ++i) {
            PinId pin{PartId{p}, i};
            if (truth[pin].state == PinState::nowhere || truth[pin].state == PinState::undrawn) continue;
            bool found = false;
            for (PinId head : heads) {
                ++tests;
                if (same_net(truth, pin, head)) {
                    found = true;
                    break;
                }
            }
            if (!found) heads.push_back(pin);
        }
    }
    return tests;
}

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
    // Right where two pins are in one group exactly if they are on one net.
    std::map<NetId, std::size_t> group_of_net;
    out.right = true;
    std::vector<std::vector<PinId>> groups = tracing.nets();
    for (std::size_t g = 0; g < groups.size(); ++g) {
        for (PinId pin : groups[g]) {
            if (!same_net(truth, pin, groups[g].front()) && pin != groups[g].front()) out.right = false;
            if (truth[pin].state != PinState::traced) continue;
            auto [at, fresh] = group_of_net.try_emplace(truth[pin].net, g);
            if (!fresh && at->second != g) out.right = false;
        }
    }
    return out;
}

}  // namespace tallyboard::test
