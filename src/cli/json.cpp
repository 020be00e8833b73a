#include "cli/json.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace tallyboard {
namespace {

using Json = nlohmann::ordered_json;

std::string text_of(const Json& json) {
    return json.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

Json net_names(const Circuit& circuit, const std::vector<NetId>& nets) {
    Json names = Json::array();
    for (NetId net : nets) names.push_back(net_name(circuit, net));
    return names;
}

Json number(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }

std::string_view reading_word(ReadingWhat what) {
    switch (what) {
        case ReadingWhat::voltage: return "voltage";
        case ReadingWhat::resistance: return "resistance";
        case ReadingWhat::current: return "current";
    }
    return "";
}

Json fault_json(const Circuit& circuit, const Fault& fault) {
    Json out{{"part", circuit[fault.part].ref}, {"how", fault_word(fault.how)}};
    if (fault.value) out["value"] = *fault.value;
    return out;
}

}  // namespace

std::string diagnosis_json(const Circuit& circuit, const Diagnosis& diagnosis) {
    Json out;
    out["healthy"] = diagnosis.healthy;
    const auto singles = [&](const std::vector<Explanation>& explanations) {
        Json rows = Json::array();
        for (const Explanation& e : explanations) {
            Json row = fault_json(circuit, e.faults.front());
            row["misfit"] = e.misfit;
            row["fits"] = e.fits;
            rows.push_back(std::move(row));
        }
        return rows;
    };
    out["explanations"] = singles(diagnosis.explanations);
    if (!diagnosis.hints.empty()) out["hints"] = singles(diagnosis.hints);
    if (!diagnosis.pairs.empty()) {
        out["pairs"] = Json::array();
        for (const Explanation& e : diagnosis.pairs) {
            Json faults = Json::array();
            for (const Fault& fault : e.faults) faults.push_back(fault_json(circuit, fault));
            out["pairs"].push_back({{"faults", faults}, {"misfit", e.misfit}, {"fits", e.fits}});
        }
    }
    if (diagnosis.further) {
        const FurtherReading& further = *diagnosis.further;
        Json shows = Json::array();
        for (const auto& [index, volts] : further.shows)
            shows.push_back({{"part", circuit[diagnosis.explanations[index].faults.front().part].ref},
                             {"how", fault_word(diagnosis.explanations[index].faults.front().how)}, {"volts", volts}});
        out["further"] = {{"at", net_name(circuit, further.at)}, {"to", net_name(circuit, further.to)},
                          {"suspects-left", further.suspects_left}, {"shows", shows}};
    }
    return text_of(out);
}

std::string question_json(const Circuit& board, const std::optional<Question>& question, const TracingState& state) {
    Json out;
    if (question)
        out["next"] = {{"from", pin_name(board, question->from)}, {"to", pin_name(board, question->to)},
                       {"likely", question->likely}, {"isolation", question->isolation}, {"why", question->why}};
    else out["next"] = nullptr;
    out["state"] = {{"pins", state.pins}, {"proven", state.proven}, {"assumed", state.assumed}, {"open", state.open},
                    {"nets", state.nets}, {"isolation-left", state.isolation_left}, {"tests", state.tests}};
    return text_of(out);
}

std::string solution_json(const Circuit& circuit, const Solution& solution) {
    Json out;
    out["dc"]["converged"] = solution.dc.converged;
    if (!solution.dc.converged) out["dc"]["resists"] = solution.dc.resists;
    Json nets = Json::object();
    for (std::size_t i = 0; i < circuit.nets.size(); ++i)
        nets[net_name(circuit, NetId{static_cast<std::uint32_t>(i)})] =
            i < solution.dc.net_volts.size() ? number(solution.dc.net_volts[i]) : Json(nullptr);
    out["dc"]["nets"] = nets;
    Json supplies = Json::object();
    for (const SupplyCurrent& supply : solution.dc.supplies) supplies[supply.name] = number(supply.amperes);
    out["dc"]["supplies"] = supplies;
    out["readings"] = Json::array();
    for (const ToldReading& told : solution.readings) {
        const Reading& reading = *told.reading;
        Json r;
        r["what"] = reading_word(reading.what);
        if (reading.what == ReadingWhat::current) {
            r["through"] = reading.through_pin ? pin_name(circuit, *reading.through_pin) : reading.through;
        } else {
            r["at"] = reading.at ? Json(reading.at->text) : Json(nullptr);
            r["to"] = reading.to ? Json(reading.to->text) : Json(nullptr);
        }
        r["is"] = reading.is;
        r["expected"] = number(told.expectation.expected);
        r["unloaded"] = number(told.expectation.unloaded);
        r["low"] = number(told.expectation.low);
        r["high"] = number(told.expectation.high);
        out["readings"].push_back(std::move(r));
    }
    out["response"] = Json::array();
    for (const ResponsePoint& point : solution.response)
        out["response"].push_back({{"hz", point.hz}, {"db", number(point.db)}, {"deg", number(point.deg)}});
    Json unmodelled = Json::array();
    std::vector<PartId> named;
    for (const Unmodelled& part : solution.unmodelled)
        if (std::find(named.begin(), named.end(), part.part) == named.end()) {
            named.push_back(part.part);
            unmodelled.push_back(circuit[part.part].ref);
        }
    out["unmodelled"] = unmodelled;
    return text_of(out);
}

std::string comparison_json(const Circuit& drawing, const Circuit& board, const Comparison& c) {
    Json out;
    out["tallyboard"] = 1;
    out["drawing"] = {{"file", drawing.source.name()}, {"parts", c.drawing_parts}, {"nets", c.drawing_nets}};
    out["board"] = {{"file", board.source.name()}, {"parts", c.board_parts}, {"nets", c.board_nets}};
    out["agree"] = c.agree;
    out["cost"] = c.cost;
    out["proved"] = c.proved;
    out["bound"] = c.bound;
    out["says"] = c.says;
    out["parts"] = Json::array();
    for (const PartPair& pair : c.parts)
        out["parts"].push_back({{"drawing", pair.drawing_name}, {"board", pair.board_name}});
    out["nets"] = Json::array();
    for (const NetPair& pair : c.nets)
        out["nets"].push_back({{"drawing", net_names(drawing, pair.drawing)}, {"board", net_names(board, pair.board)}});
    out["findings"] = Json::array();
    for (const Finding& finding : c.findings) {
        Json f;
        f["id"] = finding.id;
        f["what"] = what_word(finding.what);
        f["cost"] = finding.cost;
        f["drawing"] = finding.drawing;
        f["board"] = finding.board;
        if (!finding.drawn.empty() || !finding.found.empty()) {
            f["drawn"] = finding.drawn;
            f["found"] = finding.found;
        }
        f["says"] = finding.says;
        out["findings"].push_back(std::move(f));
    }
    return text_of(out);
}

}  // namespace tallyboard
