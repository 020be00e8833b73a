#include "compare/words.h"

#include <algorithm>

#include <fmt/format.h>

#include "base/text.h"

namespace tallyboard::detail {

Words::Words(const Outcome& outcome) : outcome_(outcome), problem_(outcome.problem) {}

std::string listed(const std::vector<std::string>& items, std::size_t most) {
    if (items.size() <= most + 1) return join_words(items);
    std::vector<std::string> some(items.begin(), items.begin() + static_cast<std::ptrdiff_t>(most));
    return join(some, ", ") + fmt::format(" and {} more", items.size() - most);
}

std::string Words::value_words(const Side& side, int part) const {
    std::string value, model, taper;
    for (PartId member : side.members[part]) {
        const Part& it = (*side.circuit)[member];
        if (value.empty() && it.nominal()) value = it.nominal()->text;
        if (model.empty()) model = it.model;
        if (taper.empty()) taper = it.taper;
    }
    std::string out = value;
    for (const std::string& more : {model, taper})
        if (!more.empty()) out += (out.empty() ? "" : " ") + more;
    return out;
}

std::string Words::kind_words(const Side& side, int part) const {
    const auto& shapes = &side == &problem_.board ? problem_.found_shapes : problem_.drawn_shapes;
    const KindUse& use = problem_.kinds[shapes[side.shape[part]].forms.front().kind];
    const Kind& kind = (*use.table)[use.id];
    return kind.says.empty() ? "a part of kind " + kind.name : kind.says;
}

std::string Words::part_words(const Side& side, int part) const {
    const std::string value = value_words(side, part);
    std::string out = side.name[part];
    if (!value.empty()) out += " (" + value + ")";
    return out;
}

std::string Words::pin_words(const Side& side, int terminal) const {
    const auto& pins = side.pins[terminal];
    const Pin& pin = (*side.circuit)[pins.front()];
    const std::string& ref = pins.size() == 1 ? (*side.circuit)[pins.front().part].ref : side.name[side.part[terminal]];
    if (is_digit(pin.name[0])) return fmt::format("pin {} of {}", pin.name, ref);
    return fmt::format("{}'s {}", ref, pin.name);
}

std::string Words::drawn_net(int net) const { return net_text(problem_.drawing, net); }

std::string Words::found_net(int net) const {
    const int as = outcome_.pairing.found_net(net);
    const int main = outcome_.main_of_found[as];
    const std::string own = net_text(problem_.board, net);
    if (main == none || outcome_.main_of_drawn[outcome_.kept[main].drawn] != main) return own == "-" ? own : own + " on the board";
    const std::string drawn = net_text(problem_.drawing, outcome_.kept[main].drawn);
    return drawn == own || own == "-" ? drawn : fmt::format("{} ({} on the board)", drawn, own);
}

// A net as someone with a meter would say it: a rail by its name, else by the most telling pin on it, else by its name.
std::string Words::net_place(bool on_board, int net, int but) const {
    const Side& side = on_board ? problem_.board : problem_.drawing;
    for (NetId id : side.written[net]) {
        const Net& written = (*side.circuit)[id];
        const bool rail = written.role != NetRole::unsaid && written.role != NetRole::signal && written.role != NetRole::other;
        if (!written.name.empty() && (rail || side.degree(net) > 8)) return written.name;
    }
    int best = none, best_rank = 0;
    for (int i = side.net_first[net]; i < side.net_first[net + 1]; ++i) {
        const int t = side.net_terminals[i], part = side.part[t];
        if (part == but || (on_board && outcome_.pairing.partner_of_found(part) == none)) continue;
        const int rank = std::min(side.pin_count(part), 15);   // transistors, valves and circuits say more than resistors
        if (rank > best_rank) best_rank = rank, best = t;
    }
    if (best == none) return side.written[net].empty() ? "nowhere" : net_text(side, net);
    if (!on_board) return pin_words(side, best);
    // By the drawing's reference for the part, since that is on the paper.
    const int p = outcome_.pairing.partner_of_found(side.part[best]);
    for (int d = problem_.drawing.first[p]; d < problem_.drawing.first[p + 1]; ++d)
        if (outcome_.terminal_to[d] == best) return pin_words(problem_.drawing, d);
    return pin_words(side, best);
}

std::string Words::place_words(bool on_board, int part) const {
    const Side& side = on_board ? problem_.board : problem_.drawing;
    std::vector<std::string> places;
    std::vector<int> nets;
    for (int t = side.first[part]; t < side.first[part + 1] && places.size() < 4; ++t) {
        if (std::find(nets.begin(), nets.end(), side.net[t]) != nets.end()) continue;
        nets.push_back(side.net[t]);
        places.push_back(net_place(on_board, side.net[t], part));
    }
    if (places.empty() || side.pin_count(part) > 3) return "";
    if (places.size() == 1) return (places.front() == "nowhere" ? "" : "at ") + places.front();
    return "between " + join_words(places);
}

std::string Words::drawn_place(int p) const { return place_words(false, p); }
std::string Words::found_place(int q) const { return place_words(true, q); }
std::string Words::drawn_value(int p) const { return value_words(problem_.drawing, p); }
std::string Words::found_value(int q) const { return value_words(problem_.board, q); }
std::string Words::drawn_kind(int p) const { return kind_words(problem_.drawing, p); }
std::string Words::found_kind(int q) const { return kind_words(problem_.board, q); }
std::string Words::drawn_pin(int terminal) const { return pin_words(problem_.drawing, terminal); }
std::string Words::found_pin(int terminal) const { return pin_words(problem_.board, terminal); }

std::string Words::drawn_part(int p) const {
    const std::string place = drawn_place(p);
    return part_words(problem_.drawing, p) + (place.empty() ? "" : " " + place);
}
std::string Words::found_part(int q) const {
    const std::string place = found_place(q);
    return part_words(problem_.board, q) + (place.empty() ? "" : " " + place);
}

}  // namespace tallyboard::detail
