#include "consequence/consequence.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>

#include "base/text.h"
#include "consequence/effect.h"
#include "consequence/reading_evidence.h"
#include "consequence/threads.h"
#include "consequence/trial.h"
#include "consequence/words.h"

namespace tallyboard {

namespace {

bool is_safety_rating(const Value* value) {
    if (!value) return false;
    for (const std::string& word : split_words(value->rating))
        if (word == "X1" || word == "X2" || word == "X3" || word == "Y1" || word == "Y2" || word == "Y3" || word == "Y4") return true;
    return false;
}

// On the mains or the protective earth, or a capacitor made for there.
bool touches_safety(const Circuit& circuit, const std::vector<PartId>& parts, const std::vector<PinId>& pins,
                    const std::optional<NetId>& net) {
    const auto dangerous = [&](NetId id) {
        return circuit[id].role == NetRole::mains || circuit[id].role == NetRole::earth;
    };
    if (net && dangerous(*net)) return true;
    for (PinId pin : pins)
        if (circuit[pin].state == PinState::traced && dangerous(circuit[pin].net)) return true;
    for (PartId id : parts) {
        if (is_safety_rating(circuit[id].nominal())) return true;
        for (const Pin& pin : circuit[id].pins)
            if (pin.state == PinState::traced && dangerous(pin.net)) return true;
    }
    return false;
}

void judge_safety(const Circuit& drawing, const Circuit& board, const Finding& finding, Consequence& out) {
    if (finding.what == What::unverified || finding.what == What::equivalent) return;
    out.safety = touches_safety(drawing, finding.drawing_parts, finding.drawing_pins, finding.drawing_net) ||
                 touches_safety(board, finding.board_parts, finding.board_pins, finding.board_net);
    if (!out.safety) return;
    out.grade = out.grade_alone = Grade::major;
    out.says += "; a part of the mains or the protective earth: fit an approved part (IEC 60384-14), whatever the rest says";
}

Consequence consequence_of_nothing(const std::string& id, std::string why) {
    Consequence out;
    out.finding = id;
    out.why_not = std::move(why);
    out.says = "not computed: " + out.why_not;
    return out;
}

// What matters most first: safety, grade (what is not known behind what is slight), what is heard, what is measured.
std::vector<std::size_t> rank(const std::vector<Consequence>& all, bool equaliser) {
    std::vector<std::size_t> order(all.size());
    std::vector<detail::Weightiness> weight;
    for (std::size_t i = 0; i < all.size(); ++i) {
        order[i] = i;
        weight.push_back(detail::weightiness(all[i], equaliser));
    }
    const auto step = [&](std::size_t i) {
        switch (all[i].grade) {
            case Grade::major: return 5;
            case Grade::audible: return 4;
            case Grade::slight: return 3;
            case Grade::unknown: return 2;
            case Grade::nothing: return all[i].inside_spread ? 1 : 0;
        }
        return 0;
    };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        if (all[a].safety != all[b].safety) return all[a].safety;
        if (step(a) != step(b)) return step(a) > step(b);
        if (weight[a].level != weight[b].level) return weight[a].level > weight[b].level;
        return weight[a].rest > weight[b].rest;
    });
    return order;
}

}  // namespace

Consequences consequences(const Circuit& drawing, const Circuit& board, const Comparison& comparison,
                          const ConsequenceOptions& options) {
    Consequences out;
    out.hz = options.solve.hz.empty() ? third_octaves() : options.solve.hz;
    const detail::Trial untouched(drawing, board, comparison);
    const Circuit& base = untouched.circuit();
    const Solver solver(base, options.solve);
    const detail::WorkedOut drawn = detail::work_out(base, solver, out.hz);
    out.dc = drawn.point;
    out.response = drawn.response;
    out.corners = drawn.corners;
    out.equaliser = detail::is_equaliser(drawn.response);
    out.remarks = solver.remarks();
    for (const Unmodelled& part : solver.unmodelled()) out.remarks.push_back(part.ref + " is left out: " + part.why);

    const bool powered = base.setup || std::any_of(base.parts.begin(), base.parts.end(), [&](const Part& part) {
        return base.kind_of(part).name == "battery";
    });
    if (!powered) out.why_not = "neither file says what the circuit is worked with: no <setup>, no battery";
    else if (!drawn.point.converged) out.why_not = drawn.point.says;

    if (out.why_not.empty()) {
        SpreadOptions spread = options.spread;
        if (spread.threads == 0) spread.threads = options.threads;
        out.spread = production_spread(base, solver, out.hz, spread);
    } else {
        out.spread.why_not = out.why_not;
    }

    const auto the_same = [](const Finding& finding) {
        Consequence consequence;
        consequence.finding = finding.id;
        consequence.told = true;
        consequence.grade = consequence.grade_alone = Grade::nothing;
        consequence.says = "nothing: the same value, made up of other parts";
        return consequence;
    };
    // One finding; none: all that cost.
    const auto carried_out = [&](const std::string& id, const Finding* finding) {
        if (!out.why_not.empty()) return consequence_of_nothing(id, out.why_not);
        detail::Trial trial(drawing, board, comparison);
        const bool any = finding ? trial.carry_out(*finding) : trial.carry_out_all();
        if (!any) return consequence_of_nothing(id, finding ? trial.why() : "no finding that costs");
        const Solver changed(trial.circuit(), options.solve);
        const detail::WorkedOut found = detail::work_out(trial.circuit(), changed, out.hz);
        Consequence consequence = detail::effect_of(base, drawn, trial.circuit(), found, out.spread, out.equaliser);
        consequence.finding = id;
        consequence.says = detail::words_of(consequence, out.equaliser);
        if (finding) consequence.formula = detail::formula_of(*finding, drawing, board, drawn.corners, found.corners);
        return consequence;
    };

    const std::size_t count = comparison.findings.size();
    out.findings.resize(count);
    std::mutex telling;
    std::size_t finished = 0;
    detail::for_each_number(count, options.threads, [&](std::size_t i) {
        const Finding& finding = comparison.findings[i];
        out.findings[i] = finding.what == What::equivalent ? the_same(finding) : carried_out(finding.id, &finding);
        judge_safety(drawing, board, finding, out.findings[i]);
        const std::lock_guard lock(telling);
        ++finished;
        if (options.progress) options.progress(static_cast<double>(finished) / static_cast<double>(count));
    });
    out.together = carried_out("all", nullptr);
    out.ranking = rank(out.findings, out.equaliser);
    out.readings = detail::reading_evidence(untouched, drawing, board, comparison, options);
    return out;
}

}  // namespace tallyboard
