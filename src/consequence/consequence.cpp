#include "consequence/consequence.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>

#include <fmt/format.h>

#include "base/text.h"
#include "base/threads.h"
#include "consequence/effect.h"
#include "consequence/feedback.h"
#include "consequence/polarity.h"
#include "consequence/reading_evidence.h"
#include "consequence/trial.h"
#include "consequence/untold.h"
#include "consequence/words.h"

namespace tallyboard {

namespace {

// A part that protects counts as grave whatever the figures say.
void judge_safety(const Circuit& drawing, const Circuit& board, const Finding& finding, Consequence& out) {
    const std::string words = detail::safety_words(drawing, board, finding);
    out.safety = !words.empty();
    if (!out.safety) return;
    out.grade = out.grade_alone = Grade::major;
    out.says += "; " + words;
}

// What turns a loop round may do. Values and parts taken out do not.
bool may_latch(What what) {
    switch (what) {
        case What::reversed:
        case What::moved:
        case What::split:
        case What::joined:
        case What::kind:
        case What::extra:
        case What::inserted:
        case What::bypassed: return true;
        case What::value:
        case What::missing:
        case What::equivalent:
        case What::drift:
        case What::unverified: break;
    }
    return false;
}

// Op-amp sections that one side holds and the other does not: a sign turned in a feedback loop.
void put_latches(const std::vector<std::string>& drawn, const std::vector<std::string>& found, Consequence& out) {
    const auto without = [](const std::vector<std::string>& all, const std::vector<std::string>& others) {
        std::vector<std::string> left;
        for (const std::string& ref : all)
            if (std::find(others.begin(), others.end(), ref) == others.end()) left.push_back(ref);
        return left;
    };
    const std::vector<std::string> as_drawn = without(drawn, found), as_found = without(found, drawn);
    std::vector<std::string> words;
    const auto tell = [&](const std::vector<std::string>& refs, const char* side) {
        if (!refs.empty())
            words.push_back(fmt::format("{} {} up {}, the feedback being in phase, and passes no signal", join_words(refs), refs.size() == 1 ? "latches" : "latch", side));
    };
    tell(as_drawn, "as drawn");
    tell(as_found, "as found");
    if (words.empty()) return;
    out.beside = join(words, "; ");
    out.silenced = true;
    out.grade = out.grade_alone = Grade::major;
    out.inside_spread = false;
}

void put_untold(const detail::Untold& untold, Consequence& out) {
    if (untold.says.empty()) return;
    out.beside += (out.beside.empty() ? "" : "; ") + untold.says;
    if (untold.doubtful && out.grade == Grade::nothing) out.grade = Grade::unknown;
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

    const std::string heard_at = base.setup && base.setup->load ? net_name(base, base.setup->load->net) : "the load";
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
        const detail::CarriedOut change{base, drawn, trial.circuit(), found};
        Consequence consequence = detail::effect_of(change, out.spread, out.equaliser);
        consequence.finding = id;
        if (consequence.told && (!finding || may_latch(finding->what))) {
            const std::set<NetId> nets = detail::changed_nets(base, trial.circuit());
            put_latches(detail::latching_sections(base, options.solve, drawn.point, nets),
                        detail::latching_sections(trial.circuit(), options.solve, found.point, nets), consequence);
        }
        if (consequence.told && finding) put_untold(detail::untold_of(change, board, *finding), consequence);
        consequence.says = detail::words_of(consequence, out.equaliser, heard_at);
        if (finding) consequence.formula = detail::formula_of(*finding, drawing, board, drawn.corners, found.corners);
        return consequence;
    };

    const std::size_t count = comparison.findings.size();
    out.findings.resize(count);
    std::mutex telling;
    std::size_t finished = 0;
    for_each_number(count, options.threads, [&](std::size_t i) {
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
