#include "cli/json.h"

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

}  // namespace

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
